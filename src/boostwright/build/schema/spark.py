"""[spark]: when the charge burns, and how near knock."""

from boostwright.build.parameter import Parameter, SectionSchema, When

__all__ = ["SECTION", "SET_BY"]

SET_BY = ("knock-limit", "phasing", "best-torque", "advance")

SECTION = SectionSchema(
    "spark",
    "Spark",
    "When the charge burns. CA50 is the crank angle at which half of it is burned.",
    (
        Parameter(
            "set_by",
            "choice",
            "knock-limit: best torque, or as late as the knock correlation asks; phasing: best torque, but CA50 never "
            "earlier than the cap below; best-torque: whatever knock says; advance: your table of ignition angles. "
            "Without it, knock-limit where the fuel's card lets knock be predicted, otherwise phasing.",
            choices=SET_BY,
            default="knock-limit where the fuel's knock can be predicted, otherwise phasing",
            default_status="computed",
            example='"knock-limit"',
        ),
        Parameter(
            "phasing",
            "angle",
            "Earliest CA50, after top dead centre, for set_by phasing.",
            curve=True,
            default="20 deg",
            default_status="own estimate",
            used_when=When("set_by", ("phasing",)),
            low="-20 deg",
            high="60 deg",
            low_ask="4 deg",
            high_ask="35 deg",
            example='{ speed = [2000, 5000], unit = "rpm", value = [22, 16], value_unit = "deg" }',
            default_band="4 deg",
            measured_by="log cylinder pressure, or write the spark table",
        ),
        Parameter(
            "advance",
            "angle",
            "Ignition angle before top dead centre at full load, for set_by advance.",
            curve=True,
            required_when=When("set_by", ("advance",)),
            low="-20 deg",
            high="60 deg",
            low_ask="0 deg",
            high_ask="40 deg",
            example='{ speed = [2000, 5000], unit = "rpm", value = [10, 16], value_unit = "deg" }',
        ),
        Parameter(
            "ignition_delay",
            "angle",
            "From the spark to the begin of the burn law, for set_by advance. The law itself burns next to nothing in "
            "its first tenth, so this is short.",
            default="3 deg",
            default_status="own estimate",
            used_when=When("set_by", ("advance",)),
            low="0 deg",
            high="30 deg",
            high_ask="15 deg",
            default_band="2 deg",
            measured_by="log cylinder pressure: spark to a tenth burned",
        ),
        Parameter(
            "best_phasing",
            "angle",
            "CA50 of best torque. Engines have it at 8 to 10 deg whatever their speed and load; the cycle's own "
            "optimum (6 to 13 deg) is not used; work at 8 deg is within 0.8 % of it.",
            default="8 deg",
            default_status="published",
            low="0 deg",
            high="30 deg",
            low_ask="4 deg",
            high_ask="14 deg",
            default_band="2 deg",
            measured_by="sweep the spark at a load that does not knock",
        ),
        Parameter(
            "knock_multiplier",
            "dimensionless",
            "On the knock integral of the correlation: above 1 the engine knocks sooner than it says. Fit it to one "
            "knock-limited point of your own; until then it is worth 0.6 to 1.6.",
            default=1.0,
            default_status="own estimate",
            low=0.1,
            high=10.0,
            low_ask=0.5,
            high_ask=2.0,
        ),
    ),
)
