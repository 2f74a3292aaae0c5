"""[sensors]: what is measured and where, as far as the go / no-go sheet asks for it."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["BOSSES", "SECTION"]

_FITTED = ("fitted", "boss-only", "none")

BOSSES: tuple[tuple[str, str], ...] = (
    ("egt", "exhaust thermocouple in the manifold or its runners"),
    ("exhaust_pressure", "exhaust manifold pressure, at the turbine inlet, on its steel tube"),
    ("gate_pressure", "pressure in the gate's branch, just ahead of the valve"),
    ("compressor_outlet", "pressure and temperature between compressor and cooler"),
    ("downpipe_pressure", "pressure behind the turbine"),
    ("turbo_speed", "speed of the turbocharger's shaft"),
    ("oil_pressure", "oil pressure, at the gallery or the turbocharger's feed"),
    ("fuel_pressure", "fuel pressure at the rail"),
)
"""(key, what is measured): places that want a boss before anything is welded shut or coated."""

SECTION = SectionSchema(
    "sensors",
    "Sensors",
    "What is measured and where, as far as the go / no-go sheet asks for it. No number of a prediction hangs on it; "
    "the exhaust thermocouple itself stands in [probe]. What is left out stands on the sheet as not answered.",
    (
        Parameter(
            "manifold_pressure_highest",
            "pressure",
            "Highest pressure the manifold pressure sensor can show; beyond it fuel and boost cut know nothing.",
            basis=("absolute", "gauge"),
            stored_basis="absolute",
            low="100 kPa",
            high="1500 kPa",
            high_ask="700 kPa",
            example='"300 kPa absolute"',
        ),
        Parameter(
            "pressures_agree",
            "choice",
            "Whether, key on and engine cold, all pressure sensors show the barometer within 1 kPa.",
            choices=("yes", "no", "not-done"),
        ),
        Parameter(
            "turbo_speed_blades",
            "integer",
            "Number of blades a turn that the turbo speed sensor or its logger was told; the log says whether it fits.",
            low=1,
            high=40,
            low_ask=4,
            high_ask=20,
            example="7",
        ),
        Parameter(
            "lambda_place",
            "choice",
            "Where the lambda probe stands. Ahead of the turbine, pressure pushes its reading away from 1.",
            choices=("behind-turbine", "ahead-of-turbine"),
        ),
        Parameter(
            "lambda_angle",
            "angle",
            "How far the probe's body stands above horizontal, tip down, so that no water gathers in it.",
            low="-90 deg",
            high="90 deg",
            low_ask="10 deg",
            example='"30 deg"',
        ),
        Parameter(
            "exhaust_leak_test",
            "choice",
            "Whether the exhaust ahead of the probe has held smoke or low pressure: a leak draws air and reads lean.",
            choices=("held", "lost", "not-done"),
        ),
        *(
            Parameter(
                key,
                "choice",
                f"{words[0].upper()}{words[1:]}: sensor fitted, boss only, or none.",
                choices=_FITTED,
            )
            for key, words in BOSSES
        ),
    ),
)
