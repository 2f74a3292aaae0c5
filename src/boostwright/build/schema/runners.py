"""[runners]: what each cylinder gets of the air and of the fuel."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "runners",
    "Cylinders apart",
    "What each cylinder gets of the air and of the fuel, in the order you number them. With one of the keys "
    "here a prediction says for each cylinder what leaves its port, what a probe in its runner shows, and how near "
    "knock it is. Without them all cylinders are alike.",
    (
        Parameter(
            "air_share",
            "dimensionless",
            "Air of each cylinder over that of the mean cylinder. Their mean must be 1; a small miss is put right with "
            "a warning.",
            many=True,
            low=0.5,
            high=1.5,
            low_ask=0.85,
            high_ask=1.15,
            scale=100.0,
            example="[1.02, 1.00, 0.99, 1.01, 0.98]",
            outside_remedy="A share stands over the mean cylinder's: 1.02 is 2 % more.",
        ),
        Parameter(
            "fuel_share",
            "dimensionless",
            "Fuel of each cylinder over that of the mean cylinder, from the flow of the injectors side by side. Their "
            "mean must be 1.",
            many=True,
            low=0.5,
            high=1.5,
            low_ask=0.85,
            high_ask=1.15,
            scale=100.0,
            example="[1.00, 0.98, 1.01, 1.00, 1.01]",
            outside_remedy="A share stands over the mean cylinder's: 1.02 is 2 % more.",
        ),
        Parameter(
            "phasing_offset",
            "angle",
            "How much later the spark of each cylinder is than the common one: a trim, or an error of the trigger.",
            many=True,
            low="-15 deg",
            high="15 deg",
            low_ask="-5 deg",
            high_ask="5 deg",
            example='["0 deg", "0 deg", "1 deg", "0 deg", "0 deg"]',
        ),
    ),
)
