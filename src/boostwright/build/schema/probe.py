"""[probe]: the exhaust thermocouple."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "probe",
    "Exhaust gas probe",
    "The thermocouple in the exhaust manifold. What it shows is not what the turbine sees: it loses heat "
    "by radiation and conduction, and weighs the cycle by time, not by flow.",
    (
        Parameter(
            "diameter",
            "length",
            "Diameter of the probe's tip.",
            default="3 mm",
            default_status="common practice",
            low="0.1 mm",
            high="12 mm",
            high_ask="8 mm",
        ),
        Parameter(
            "emissivity",
            "dimensionless",
            "Emissivity of the oxidised tip.",
            default=0.8,
            default_status="from memory",
            low=0.0,
            high=1.0,
        ),
        Parameter(
            "wall_temperature_difference",
            "temperature_difference",
            "Manifold wall below the gas, to which the tip radiates.",
            default="150 K",
            default_status="own estimate",
            low="0 K",
            high="700 K",
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
        ),
    ),
)
