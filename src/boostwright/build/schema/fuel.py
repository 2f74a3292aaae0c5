"""[fuel]: what is burned, and how rich."""

from boostwright.build.parameter import Parameter, SectionSchema, When

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
            "blend_card",
            "text",
            "Name of the card of a second fuel that is mixed in, an alcohol for instance.",
            example='"ethanol"',
        ),
        Parameter(
            "blend_share",
            "dimensionless",
            "Share of the second fuel in the mixture, 0 to 1 or in %. Say of what: volume, as pumps and labels state "
            "it, or mass.",
            required_when=When("blend_card"),
            low=0.0,
            high=1.0,
            scale=100.0,
            basis=("volume", "mass"),
            example="0.30",
            outside_remedy='Write 0.30 or "30 %".',
            measured_by="test the fuel: shake a sample with water, or read a fuel-composition sensor",
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
            measured_by="log lambda at full load with a checked probe behind the turbine",
        ),
    ),
)
