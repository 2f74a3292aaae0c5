"""[charge_cooler]: between compressor and throttle."""

from boostwright.build.parameter import Parameter, SectionSchema, When
from boostwright.build.schema.known_point import known_point

__all__ = ["SECTION"]

_AIR = When("kind", ("air",))

SECTION = SectionSchema(
    "charge_cooler",
    "Charge cooler",
    "The charge cooler and the pipes on both sides of it, by one known point.",
    (
        Parameter(
            "kind",
            "choice",
            "Air-to-air, or none.",
            choices=("air", "none"),
            default="air",
            default_status="assumed",
        ),
        Parameter(
            "effectiveness",
            "dimensionless",
            "Temperature drop of the charge over its difference to the cooling air, at the flow below.",
            required_when=_AIR,
            low=0.0,
            high=1.0,
            low_ask=0.4,
            high_ask=0.92,
            example="0.70",
            scale=100.0,
            outside_remedy="Write a share between 0 and 1, for example 0.70.",
            measured_by="log charge temperature ahead of and behind the cooler at full load",
        ),
        *known_point(
            "9 kPa",
            "0.20 kg/s",
            temperature="80 degC",
            pressure="180 kPa absolute",
            high_ask="25 kPa",
            when=_AIR,
        ),
        Parameter(
            "air_side",
            "choice",
            "What blows on the cooler: the road, or a dyno's fan, which is weaker.",
            choices=("road", "dyno-fan"),
            used_when=_AIR,
            default="road",
            default_status="assumed",
        ),
        Parameter(
            "dyno_fan_derating",
            "dimensionless",
            "Share of the effectiveness that is left on a dyno's fan.",
            used_when=When("air_side", ("dyno-fan",)),
            default=0.8,
            default_status="own estimate",
            low=0.1,
            high=1.0,
            default_band="0.2",
            measured_by="log charge temperature ahead of and behind the cooler on that dyno",
        ),
        Parameter(
            "coolant_rise",
            "temperature_difference",
            "Cooling air above ambient, for a cooler behind a radiator or in an engine bay.",
            used_when=_AIR,
            default="0 K",
            default_status="assumed",
            low="0 K",
            high="80 K",
            high_ask="30 K",
            default_band="0 K to 15 K triangular",
            measured_by="read the air just ahead of the cooler at speed",
        ),
    ),
)
