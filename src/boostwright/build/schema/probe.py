"""[probe]: the exhaust thermocouple."""

from boostwright.build.parameter import Parameter, SectionSchema, When

__all__ = ["PLACES", "SECTION"]

PLACES = ("collector", "runner")
_IN_RUNNER = When("place", ("runner",))

SECTION = SectionSchema(
    "probe",
    "Exhaust gas probe",
    "The thermocouple in the exhaust manifold. What it shows is not what the turbine sees: it loses heat "
    "by radiation and conduction, and weighs the cycle by time, not by flow.",
    (
        Parameter(
            "card",
            "text",
            "Part card of the probe (kind sensor), which fills in diameter, emissivity, time constant and the highest "
            "temperature; a key written here counts before it.",
            example='"thermocouple-k-3mm"',
        ),
        Parameter(
            "place",
            "choice",
            "Where it stands: in the collector, or one in every runner. The limit on the reading is on what it shows "
            "there; in runners, on the hottest cylinder's.",
            choices=PLACES,
            default="collector",
            default_status="assumed",
        ),
        Parameter(
            "port_distance",
            "length",
            "From the head's face along the runner to the tip; the same on every runner, 25 to 75 mm as a rule.",
            default="50 mm",
            default_status="common practice",
            used_when=_IN_RUNNER,
            low="0 mm",
            high="1500 mm",
            low_ask="20 mm",
            high_ask="100 mm",
            default_band="60 %",
            measured_by="measure where the probe stands",
        ),
        Parameter(
            "diameter",
            "length",
            "Diameter of the probe's tip.",
            default="3 mm",
            default_status="common practice",
            low="0.1 mm",
            high="12 mm",
            high_ask="8 mm",
            default_band="1 mm",
            measured_by="measure the sheath of the probe",
        ),
        Parameter(
            "emissivity",
            "dimensionless",
            "Emissivity of the oxidised tip.",
            default=0.8,
            default_status="from memory",
            low=0.0,
            high=1.0,
            default_band="0.15",
            measured_by="compare with a shielded probe",
        ),
        Parameter(
            "time_constant",
            "time",
            "First-order lag in exhaust at full load. A steady reading does not hang on it.",
            low="0 s",
            high="60 s",
            high_ask="15 s",
            example='"2.2 s"',
        ),
        Parameter(
            "highest_temperature",
            "temperature",
            "Highest temperature it is made for.",
            low="300 degC",
            high="1800 degC",
            example='"1100 degC"',
        ),
        Parameter(
            "probe_length",
            "length",
            "From the seat of its fitting to the tip. With wall_depth it says how far the tip reaches into the gas, "
            "and what the sheath conducts away is worked out; without them it is left out.",
            low="2 mm",
            high="300 mm",
            example='"40 mm"',
        ),
        Parameter(
            "wall_depth",
            "length",
            "From the seat of the fitting to the inside of the pipe: boss and wall.",
            required_when=When("probe_length"),
            low="0 mm",
            high="200 mm",
            example='"18 mm"',
        ),
        Parameter(
            "sheath_conductivity",
            "thermal_conductivity",
            "Along the sheath, metal, filling and wires over the whole section.",
            default="15 W/(m*K)",
            default_status="own estimate",
            used_when=When("probe_length"),
            low="0.5 W/(m*K)",
            high="60 W/(m*K)",
            default_band="40 %",
            measured_by="look up the alloy of the sheath",
        ),
        Parameter(
            "wall_temperature_difference",
            "temperature_difference",
            "Manifold wall below the gas, to which the tip radiates.",
            default="150 K",
            default_status="own estimate",
            low="0 K",
            high="700 K",
            default_band="100 K",
            measured_by="read the outside of the runner near the probe",
        ),
        Parameter(
            "cycle_offset",
            "temperature_difference",
            "How much lower the time mean over a cycle stands than the flow mean.",
            default="30 K",
            default_status="own estimate",
            low="-50 K",
            high="200 K",
            high_ask="100 K",
            default_band="25 K",
            measured_by="compare the probe with the heat balance at a known point",
        ),
    ),
)
