"""[intake]: air filter and pipe ahead of the compressor."""

from boostwright.build.parameter import Parameter, SectionSchema
from boostwright.build.schema.known_point import known_point

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "intake",
    "Intake",
    "Air filter and pipe ahead of the compressor, by one known point of pressure drop and flow.",
    (
        *known_point(
            "2 kPa", "0.20 kg/s", temperature="20 degC", pressure="100 kPa absolute", high_ask="8 kPa"
        ),
        Parameter(
            "recirculation",
            "choice",
            "Recirculation of any gas into the intake.",
            choices=("none",),
            default="none",
            default_status="assumed",
        ),
    ),
)
