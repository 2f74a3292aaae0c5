"""[exhaust]: everything after the turbine."""

from boostwright.build.parameter import Parameter, SectionSchema
from boostwright.build.schema.known_point import known_point

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "exhaust",
    "Exhaust",
    "Everything after the turbine: downpipe, catalyst, silencers, by one known point.",
    (
        *known_point(
            "15 kPa",
            "0.20 kg/s",
            temperature=None,
            pressure="101.3 kPa absolute",
            high_ask="40 kPa",
            pressure_words="Absolute pressure of the air that the exhaust blew into there.",
        ),
        Parameter(
            "bore",
            "length",
            "Inside diameter of the downpipe.",
            required=True,
            low="20 mm",
            high="200 mm",
            low_ask="40 mm",
            high_ask="110 mm",
            example='"76 mm"',
        ),
    ),
)
