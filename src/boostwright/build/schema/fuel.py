"""[fuel]: what is burned, and how rich."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "fuel",
    "Fuel",
    "What is burned, and how rich.",
    (
        Parameter(
            "card",
            "text",
            "Name of the fuel's part card, in the folder's own cards/ or in the library.",
            required=True,
            example='"petrol-ron98"',
        ),
        Parameter(
            "lambda_target",
            "dimensionless",
            "Lambda at full load over engine speed: air over the stoichiometric air; below 1 is rich.",
            curve=True,
            required=True,
            scale=14.6,
            low=0.4,
            high=2.0,
            low_ask=0.7,
            high_ask=1.05,
            example='{ speed = [1500, 6500], unit = "rpm", value = [0.95, 0.82] }',
            outside_remedy="Lambda is wanted, not the air-fuel ratio: 12.0 of petrol is lambda 0.82.",
        ),
    ),
)
