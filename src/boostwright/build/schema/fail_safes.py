"""[fail_safes]: what happens when a part of the boost control fails, for the go / no-go sheet and the dyno card."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "fail_safes",
    "Fail-safes",
    "What happens when a part fails, and what stops the engine then. No number of a prediction hangs on it; the go / "
    "no-go sheet and the dyno card do. What is left out stands there as not answered.",
    (
        Parameter(
            "solenoid_dead",
            "choice",
            "What boost does with the solenoid's plug pulled, as tried on the engine or, with air on the hose, on the "
            "bench.",
            choices=("lowest-boost", "highest-boost", "not-tried"),
        ),
        Parameter(
            "boost_cut",
            "pressure",
            "Manifold pressure at which fuel or spark is cut; say gauge or absolute. Kept as absolute.",
            basis=("absolute", "gauge"),
            stored_basis="absolute",
            low="80 kPa",
            high="1000 kPa",
            low_ask="120 kPa",
            high_ask="380 kPa",
            example='"205 kPa absolute"',
        ),
        Parameter(
            "boost_cut_kind",
            "choice",
            "What the cut does. throttle: shuts it, which is slower than the others.",
            choices=("fuel", "spark", "throttle"),
        ),
        Parameter(
            "boost_cut_tried",
            "choice",
            "Whether the cut has been seen to work, set low for the trial.",
            choices=("yes", "no"),
        ),
        Parameter(
            "lean_cut",
            "dimensionless",
            "How far lambda may stand above its target, for longer than the probe's lag, before boost is taken away.",
            low=0.0,
            high=0.3,
            low_ask=0.02,
            high_ask=0.1,
            example="0.05",
        ),
        Parameter(
            "oil_pressure_least",
            "pressure",
            "Oil pressure below which a pull is stopped, at the speed limit, oil hot.",
            basis=("gauge",),
            stored_basis="gauge",
            low="30 kPa",
            high="1500 kPa",
            low_ask="100 kPa",
            high_ask="700 kPa",
            example='"3.5 bar gauge"',
        ),
        Parameter(
            "oil_temperature_least",
            "temperature",
            "Oil temperature below which no full load is asked.",
            low="0 degC",
            high="150 degC",
            low_ask="40 degC",
            high_ask="110 degC",
            example='"80 degC"',
        ),
        Parameter(
            "coolant_temperature_most",
            "temperature",
            "Coolant temperature at which a pull is stopped.",
            low="60 degC",
            high="160 degC",
            low_ask="90 degC",
            high_ask="120 degC",
            example='"105 degC"',
        ),
        Parameter(
            "knock_heard_by",
            "choice",
            "How knock is noticed: ears, with a listening tube or headphones; sensor, by the engine's control; none.",
            choices=("ears", "sensor", "none"),
        ),
    ),
)
