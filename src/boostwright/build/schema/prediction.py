"""[prediction]: which points are worked out when nothing else is said."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["MODES", "SECTION"]

MODES = ("gate-shut", "spring", "target", "gate-open", "no-turbo")

SECTION = SectionSchema(
    "prediction",
    "Prediction",
    "Which points are worked out when nothing else is said.",
    (
        Parameter(
            "speeds",
            "speeds",
            "Engine speeds, from one to another in steps, or a list: { speed = [2000, 4000], unit = "
            '"rpm" }. '
            "Without it, from 1 500 rpm to the engine's speed limit every 250 rpm.",
            default='{ from = "1500 rpm", to = engine.speed_limit, step = "250 rpm" }',
            default_status="computed",
            low="100 rpm",
            high="20000 rpm",
            example='{ from = "1500 rpm", to = "6500 rpm", step = "250 rpm" }',
        ),
        Parameter(
            "mode",
            "choice",
            "gate-shut: the wastegate stays closed; spring: it opens by its spring alone; target: the "
            "boost target is held; gate-open: it stands fully open, which gives the lowest boost the "
            "system can hold; no-turbo: the engine alone. Without it, target when there is a target, "
            "otherwise spring.",
            choices=MODES,
            default="target when boost_control.target is given, otherwise spring",
            default_status="computed",
            example='"target"',
        ),
    ),
)
