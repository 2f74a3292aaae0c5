"""Keys of [turbine] that describe its wheel and housing, for a turbine without a map."""

from boostwright.build.parameter import Parameter, When

__all__ = ["WHEEL"]

_WHEEL = When("given_as", ("wheel",))

WHEEL = (
    Parameter(
        "tip_width",
        "length",
        "Height of the blade where gas enters the wheel, along the shaft.",
        required_when=_WHEEL,
        low="1 mm",
        high="80 mm",
        low_ask="4 mm",
        high_ask="16 mm",
        example='"7.4 mm"',
    ),
    Parameter(
        "exducer_diameter",
        "length",
        "Exducer: diameter over the blades where gas leaves the wheel, the smaller one.",
        required_when=_WHEEL,
        low="10 mm",
        high="300 mm",
        low_ask="25 mm",
        high_ask="100 mm",
        example='"49 mm"',
    ),
    Parameter(
        "exducer_hub_diameter",
        "length",
        "Diameter of the hub where gas leaves, at the foot of the blades.",
        required_when=_WHEEL,
        low="3 mm",
        high="150 mm",
        low_ask="8 mm",
        high_ask="40 mm",
        example='"15 mm"',
    ),
    Parameter(
        "blades",
        "integer",
        "Number of blades of the turbine wheel.",
        required_when=_WHEEL,
        low=5,
        high=24,
        low_ask=8,
        high_ask=14,
        example="11",
        outside_remedy="Count them at the exducer: radial turbines have 8 to 14.",
    ),
    Parameter(
        "a_over_r",
        "length",
        "A/R of the housing with its unit: area of the throat over the radius of its middle, which is a length. "
        "The stamp is mostly in inch.",
        required_when=_WHEEL,
        low="1 mm",
        high="150 mm",
        low_ask="6 mm",
        high_ask="40 mm",
        example='"0.64 in"',
        outside_remedy="A housing stamped 0.63 is mostly 0.63 inch, which is 16 mm.",
    ),
    Parameter(
        "exducer_blade_angle",
        "angle",
        "Angle of a blade at the exducer, half way up, from the line of the shaft. Without it the band is wider.",
        used_when=_WHEEL,
        default="54 deg",
        default_status="own estimate",
        low="20 deg",
        high="75 deg",
        low_ask="45 deg",
        high_ask="65 deg",
    ),
    Parameter(
        "clearance",
        "length",
        "Gap between blade and housing.",
        used_when=_WHEEL,
        default="0.4 mm",
        default_status="from memory",
        low="0 mm",
        high="3 mm",
        low_ask="0.15 mm",
        high_ask="0.8 mm",
    ),
    Parameter(
        "blade_thickness",
        "length",
        "Thickness of a blade at the exducer.",
        used_when=_WHEEL,
        default="1 mm",
        default_status="own estimate",
        low="0.2 mm",
        high="6 mm",
        high_ask="2.5 mm",
    ),
)
"""Dimensions of wheel and housing; needed, or their defaults taken, only when given_as is wheel."""
