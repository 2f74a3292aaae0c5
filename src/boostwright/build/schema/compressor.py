"""[compressor]: by the card of its map, or by the dimensions of its wheel; and the margins wanted on it."""

from boostwright.build.parameter import Parameter, SectionSchema, When
from boostwright.build.schema.compressor_wheel import WHEEL

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "compressor",
    "Compressor",
    "The compressor, by the card of its measured speed lines; without a map, by the dimensions of its wheel, an "
    "estimate.",
    (
        Parameter(
            "given_as",
            "choice",
            "What counts: card, the map of the part card; wheel, speed lines estimated from the dimensions below, with "
            "a wide band. The computed default is card.",
            choices=("card", "wheel"),
            default="card",
            default_status="computed",
            example='"card"',
        ),
        Parameter(
            "card",
            "text",
            "Name of the compressor's part card, in the folder's own cards/ or in the library.",
            required_when=When("given_as", ("card",)),
            example='"scaled-cc3-60mm"',
        ),
        *WHEEL,
        Parameter(
            "count",
            "integer",
            "Number of equal turbochargers in parallel.",
            default=1,
            default_status="assumed",
            low=1,
            high=4,
        ),
        Parameter(
            "surge_margin_wanted",
            "dimensionless",
            "Flow margin wanted to the surge line, as a share of the flow there.",
            default=0.10,
            default_status="common practice",
            low=0.0,
            high=0.9,
            high_ask=0.4,
        ),
        Parameter(
            "speed_limit",
            "rotational_speed",
            "Highest shaft speed; without it the card's, and with a wheel that of a usual tip speed.",
            low="1000 rpm",
            high="500000 rpm",
            low_ask="40000 rpm",
            high_ask="300000 rpm",
            example='"150000 rpm"',
        ),
    ),
)
