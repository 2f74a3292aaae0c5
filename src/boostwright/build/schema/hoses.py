"""[hoses]: boost hoses and the small hoses that carry a pressure as a signal, for the go / no-go sheet."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION"]

_SMALL = ("silicone", "rubber", "nylon", "ptfe", "metal")

SECTION = SectionSchema(
    "hoses",
    "Hoses",
    "Boost hoses, and the small hoses to gate, sensors and fuel regulator. No number of a prediction hangs on them; "
    "the go / no-go sheet asks for them. Where the gate's signal is taken stands in wastegate.signal_source.",
    (
        Parameter(
            "gate_signal_material",
            "choice",
            "What the hose to the gate's diaphragm is made of.",
            choices=_SMALL,
        ),
        Parameter(
            "gate_signal_ends",
            "choice",
            "How that hose is held at both ends: clamped, screwed, or just pushed on.",
            choices=("clamped", "screwed", "push-on"),
        ),
        Parameter(
            "gate_signal_hot_distance",
            "length",
            "Least distance between that hose and manifold, turbine housing, gate or downpipe.",
            low="0 mm",
            high="3 m",
            example='"120 mm"',
        ),
        Parameter(
            "regulator_signal_ends",
            "choice",
            "How the hose from the manifold to the fuel regulator is held at both ends.",
            choices=("clamped", "screwed", "push-on"),
        ),
        Parameter(
            "boost_pipe_ends",
            "choice",
            "Ends of the boost pipes under their hoses: beaded, which a clamp holds; plain, from which boost pushes "
            "the hose.",
            choices=("beaded", "plain"),
        ),
        Parameter(
            "leak_test",
            "choice",
            "Whether inlet and boost pipes have held a low test pressure, engine standing.",
            choices=("held", "lost", "not-done"),
        ),
    ),
)
