"""[clearance]: what the hot parts stay away from, for the go / no-go sheet."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION"]


def _gap(key: str, to: str) -> Parameter:
    """Least gap between the hot parts and one thing."""
    return Parameter(
        key,
        "length",
        f"Least gap, cold and at rest, between manifold, turbine housing, gate or downpipe and {to}.",
        low="0 mm",
        high="3 m",
        example='"40 mm"',
    )


SECTION = SectionSchema(
    "clearance",
    "Clearances",
    "Gaps about the hot parts. No number of a prediction hangs on them; the go / no-go sheet takes heat growth and the "
    "engine's movement off them. What is left out stands there as not answered.",
    (
        Parameter(
            "measured",
            "choice",
            "When the gaps were measured: before-welding, as tacked; after-welding, with all bolted on for good.",
            choices=("before-welding", "after-welding"),
        ),
        _gap("rail", "the chassis rail"),
        _gap("bulkhead", "the bulkhead"),
        _gap("wiring_and_hoses", "wiring, vacuum and boost hoses"),
        _gap("fuel_lines", "the fuel lines"),
        _gap("brakes_and_steering", "brake lines, master cylinder and steering joints"),
        Parameter(
            "fuel_shield",
            "choice",
            "Whether a shield with air on both sides stands between exhaust and fuel lines.",
            choices=("fitted", "none"),
        ),
        Parameter(
            "engine_movement",
            "length",
            "How far the engine moves on its mounts towards them under full torque.",
            default="10 mm",
            default_status="common practice",
            low="0 mm",
            high="80 mm",
            high_ask="30 mm",
        ),
        Parameter(
            "hot_length",
            "length",
            "Length of hot pipe between the head and the place of the least gap, which grows with heat.",
            default="500 mm",
            default_status="own estimate",
            low="0 mm",
            high="4 m",
            high_ask="1500 mm",
        ),
    ),
)
