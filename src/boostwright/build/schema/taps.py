"""[taps]: the bores at the pressure taps, by which a wall's static pressure is turned to total."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["SECTION", "TAPS"]

TAPS: tuple[tuple[str, str, str], ...] = (
    ("compressor_inlet", "ahead of the compressor", '"70 mm"'),
    ("compressor_outlet", "between compressor and cooler", '"50 mm"'),
    ("boost_pipe", "between cooler and throttle", '"63 mm"'),
    (
        "exhaust_manifold",
        "in the exhaust manifold; where it is left out, the collector's bore is taken",
        '"50 mm"',
    ),
    ("gate_branch", "in the branch to the gate; where it is left out, the branch's bore is taken", '"44 mm"'),
    ("downpipe", "behind the turbine; where it is left out, the exhaust's bore is taken", '"76 mm"'),
)
"""(station, where its tap stands, example of the pipe's bore)."""

SECTION = SectionSchema(
    "taps",
    "Pressure taps",
    "Bores at the pressure taps. A tap in a wall reads static pressure; with the pipe's bore the pressure of the "
    "moving gas is added when a log is worked out. No prediction hangs on it.",
    tuple(
        parameter
        for station, words, example in TAPS
        for parameter in (
            Parameter(
                f"{station}_pipe_bore",
                "length",
                f"Inside diameter of the pipe at the tap {words}.",
                low="10 mm",
                high="250 mm",
                low_ask="25 mm",
                high_ask="120 mm",
                example=example,
                measured_by="measure the pipe where the tap stands",
            ),
            Parameter(
                f"{station}_tap_bore",
                "length",
                "Bore of the hole of that tap; a large one reads high.",
                low="0.3 mm",
                high="30 mm",
                high_ask="8 mm",
                example='"2 mm"',
            ),
        )
    ),
)
