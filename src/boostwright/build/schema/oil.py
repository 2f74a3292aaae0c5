"""[oil]: feed and drain of the turbocharger, for the go / no-go sheet."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["LINE_MATERIALS", "SECTION", "SHIELDS"]

LINE_MATERIALS = ("steel", "braided-ptfe", "rubber", "plastic")
SHIELDS = ("none", "sleeve", "sheet")

SECTION = SectionSchema(
    "oil",
    "Oil of the turbocharger",
    "Feed and drain of the turbocharger. No number of a prediction hangs on it; the go / no-go sheet asks it. What is "
    "left out stands there as not answered.",
    (
        Parameter(
            "bearing",
            "choice",
            "Bearings of the shaft: journal, which float on plenty of oil; ball, which want little.",
            choices=("journal", "ball"),
        ),
        Parameter(
            "feed_bore",
            "length",
            "Smallest bore of the feed line, hose and fittings, the restrictor left out.",
            low="1 mm",
            high="25 mm",
            low_ask="3 mm",
            high_ask="12 mm",
            example='"4 mm"',
        ),
        Parameter(
            "feed_restrictor",
            "length",
            "Bore of the restrictor in the feed. Where there is none, write the feed's own bore.",
            low="0.3 mm",
            high="25 mm",
            low_ask="0.7 mm",
            high_ask="6 mm",
            example='"1.0 mm"',
        ),
        Parameter(
            "drain_port_bore",
            "length",
            "Bore of the drain port in the turbocharger's own bearing housing.",
            low="5 mm",
            high="60 mm",
            low_ask="10 mm",
            high_ask="32 mm",
            example='"18 mm"',
        ),
        Parameter(
            "drain_bore",
            "length",
            "Smallest bore of the drain line, hose and fittings, all the way to the sump.",
            low="3 mm",
            high="60 mm",
            low_ask="10 mm",
            high_ask="38 mm",
            example='"19 mm"',
        ),
        Parameter(
            "drain_angle",
            "angle",
            "Angle below horizontal of the flattest stretch of the drain line, the car standing level; negative where "
            "it climbs.",
            low="-90 deg",
            high="90 deg",
            low_ask="10 deg",
            example='"45 deg"',
        ),
        Parameter(
            "drain_port_tilt",
            "angle",
            "How far the drain port of the bearing housing is turned from straight down.",
            low="0 deg",
            high="180 deg",
            high_ask="30 deg",
            example='"5 deg"',
        ),
        Parameter(
            "drain_enters",
            "choice",
            "Where the drain comes into the sump: above-oil, or below-oil, where it has to push against the level.",
            choices=("above-oil", "below-oil"),
        ),
        Parameter("feed_material", "choice", "What the feed line is made of.", choices=LINE_MATERIALS),
        Parameter("drain_material", "choice", "What the drain line is made of.", choices=LINE_MATERIALS),
        Parameter(
            "hot_distance",
            "length",
            "Least distance between an oil line and manifold, turbine housing, gate or downpipe.",
            low="0 mm",
            high="3 m",
            example='"60 mm"',
        ),
        Parameter(
            "shield",
            "choice",
            "What stands between the oil lines and the hot parts: none; a sleeve on the line; a sheet with air on both "
            "sides.",
            choices=SHIELDS,
        ),
    ),
)
