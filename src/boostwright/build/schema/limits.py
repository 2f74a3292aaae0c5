"""[limits]: what you do not want to pass; every key is optional."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "limits",
    "Limits",
    "What you do not want to pass. Every key is optional; the limit that binds is named at every speed.",
    (
        Parameter(
            "torque",
            "torque",
            "Highest brake torque at the crank.",
            low="10 Nm",
            high="5000 Nm",
            low_ask="80 Nm",
            high_ask="1500 Nm",
            example='"400 Nm"',
        ),
        Parameter(
            "egt_reading",
            "temperature",
            "Highest exhaust temperature as the probe shows it, not as the turbine sees it.",
            low="300 degC",
            high="1200 degC",
            low_ask="700 degC",
            high_ask="1050 degC",
            example='"950 degC"',
        ),
        Parameter(
            "drive_pressure_ratio",
            "dimensionless",
            "Highest ratio of exhaust manifold to intake manifold pressure, both absolute and total.",
            low=0.3,
            high=6.0,
            low_ask=0.9,
            high_ask=3.0,
            example="1.8",
        ),
        Parameter(
            "surge_margin",
            "dimensionless",
            "Least flow margin to the surge line.",
            low=0.0,
            high=0.9,
            high_ask=0.4,
            example="0.10",
        ),
        Parameter(
            "choke_margin",
            "dimensionless",
            "Least flow margin to choke.",
            low=0.0,
            high=0.9,
            high_ask=0.4,
            example="0.05",
        ),
        Parameter(
            "boost",
            "pressure",
            "Highest pressure in the intake manifold; say gauge or absolute. Kept as absolute.",
            basis=("absolute", "gauge"),
            stored_basis="absolute",
            low="20 kPa",
            high="1000 kPa",
            high_ask="350 kPa",
            example='"190 kPa absolute"',
        ),
        Parameter(
            "temperature_im",
            "temperature",
            "Highest charge temperature in the intake manifold.",
            low="-20 degC",
            high="250 degC",
            low_ask="20 degC",
            high_ask="120 degC",
            example='"65 degC"',
        ),
    ),
)
