"""[throttle]: wide open here."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "throttle",
    "Throttle",
    "The throttle body, wide open.",
    (
        Parameter(
            "bore",
            "length",
            "Throttle bore.",
            required=True,
            low="15 mm",
            high="150 mm",
            low_ask="35 mm",
            high_ask="100 mm",
            example='"64 mm"',
        ),
        Parameter(
            "discharge_coefficient",
            "dimensionless",
            "Effective over geometric area, wide open, spindle included.",
            default=0.9,
            default_status="from memory",
            low=0.3,
            high=1.0,
            default_band="0.08",
            measured_by="log pressure ahead of and behind the throttle at full load",
        ),
    ),
)
