"""[boost_control]: what holds the boost besides the spring."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION"]

SECTION = SectionSchema(
    "boost_control",
    "Boost control",
    "What holds the boost besides the spring.",
    (
        Parameter(
            "plumbing",
            "choice",
            "Which chamber the solenoid works on. lower: it bleeds the signal to the lower chamber; "
            "upper: the lower chamber has the signal direct and the solenoid feeds the upper one; both: "
            "it feeds one as it vents the other.",
            choices=("lower", "upper", "both"),
            default="lower",
            default_status="assumed",
        ),
        Parameter(
            "fixed_duty",
            "dimensionless",
            "Solenoid duty in spring mode, 0 to 1. 0 is a dead solenoid, which must give the lowest boost.",
            default=0.0,
            default_status="assumed",
            low=0.0,
            high=1.0,
            scale=100.0,
            outside_remedy='Write a share, 0.4 or "40 %".',
        ),
        Parameter(
            "signal_hose",
            "choice",
            "lost: the reference hose has come off, which gives the highest boost.",
            choices=("connected", "lost"),
            default="connected",
            default_status="assumed",
        ),
        Parameter(
            "target",
            "pressure",
            "Intake manifold pressure to hold, over engine speed. Say gauge or absolute in value_basis. "
            "Kept as absolute.",
            curve=True,
            basis=("absolute", "gauge"),
            stored_basis="absolute",
            low="20 kPa",
            high="1000 kPa",
            high_ask="260 kPa",
            ask_remedy="Is it absolute pressure that was written as gauge?",
            example='{ speed = [2500, 4000, 6500], unit = "rpm", value = [160, 175, 165], '
            'value_unit = "kPa", value_basis = "absolute" }',
            measured_by="log how close the boost control holds its target",
        ),
    ),
)
