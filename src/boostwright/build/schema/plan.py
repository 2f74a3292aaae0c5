"""[plan]: the days a boost table must hold on, the risk taken, and the parts that might be bought."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "plan",
    "Plan",
    "The days a boost table must hold on, the risk you take, and what you might buy. Every key is optional. The target "
    "is one absolute pressure by engine speed, the same on every day.",
    (
        Parameter(
            "risk",
            "dimensionless",
            "Share of days on which some limit may be exceeded at some speed, over all that is not known of the build.",
            default=0.01,
            default_status="own estimate",
            low=0.0,
            high=0.5,
            high_ask=0.1,
            scale=100.0,
            outside_remedy='Write 0.01 or "1 %".',
            example='"1 %"',
        ),
        Parameter(
            "spike",
            "dimensionless",
            "By how much boost may overshoot its target, a share of the absolute pressure.",
            default=0.05,
            default_status="common practice",
            low=0.0,
            high=0.5,
            high_ask=0.15,
            scale=100.0,
            outside_remedy='Write 0.05 or "5 %".',
            example='"5 %"',
        ),
        Parameter(
            "spike_limits",
            "choice",
            "Which limits a spike must keep. all: every one; fast: not those of exhaust and charge temperature, since "
            "a spike is over before a probe or a cooler core has warmed.",
            choices=("all", "fast"),
            default="all",
            default_status="own estimate",
        ),
        Parameter(
            "colder_by",
            "temperature_difference",
            "How much colder than [ambient] the cold day is; 0 K leaves it out.",
            default="15 K",
            default_status="own estimate",
            low="0 K",
            high="80 K",
            high_ask="50 K",
            example='"15 K"',
        ),
        Parameter(
            "hotter_by",
            "temperature_difference",
            "How much hotter than [ambient] the hot day is; 0 K leaves it out.",
            default="15 K",
            default_status="own estimate",
            low="0 K",
            high="50 K",
            high_ask="35 K",
            example='"15 K"',
        ),
        Parameter(
            "altitude",
            "length",
            "Altitude of the highest place you drive at full load. Its barometer follows from yours by the standard "
            "atmosphere (ISO 2533); its air is as warm as in [ambient], a hot day for that height.",
            default="1500 m",
            default_status="own estimate",
            low="-450 m",
            high="5500 m",
            high_ask="3500 m",
            example='"1500 m"',
        ),
        Parameter(
            "days",
            "days",
            "Days of your own beside the standard ones: what each lays over the build, and its spike.",
            example='[{ name = "hot finish", settings = ["ambient.pressure=79.5 kPa station", '
            '"ambient.temperature=30 degC"], spike = "5 %" }]',
        ),
        Parameter(
            "parts",
            "parts",
            "Parts you might buy: what each changes in the build, and its price with the currency. The plan is made "
            "again with each by itself.",
            example='[{ name = "larger gate", settings = ["wastegate.valve_diameter=50 mm", '
            '"wastegate.branch_bore=50 mm"], price = "240 EUR" }]',
        ),
        Parameter(
            "wanted_torque",
            "torque",
            "Brake torque at the crank that you would like to have, over engine speed; the plan says where it cannot "
            "be had, and why.",
            curve=True,
            low="10 Nm",
            high="5000 Nm",
            low_ask="80 Nm",
            high_ask="1500 Nm",
            example='{ speed = [2500, 4000, 6500], unit = "rpm", value = [300, 380, 330], value_unit = "Nm" }',
        ),
        Parameter(
            "samples",
            "integer",
            "How many days are drawn from what is not known of the build; 0 leaves the draw out.",
            default=1000,
            default_status="own estimate",
            low=0,
            high=100000,
            high_ask=20000,
        ),
        Parameter(
            "seed",
            "integer",
            "Number from which the draw begins: the same seed, the same days.",
            default=1,
            default_status="assumed",
            low=0,
            high=2147483647,
        ),
    ),
)
