"""What must be known of the car to put its channels in time: plain numbers in SI."""

from __future__ import annotations

from dataclasses import dataclass

from boostwright.logs.timebase.lag import ProbeLag
from boostwright.logs.timebase.lambda_delay import GasWay

__all__ = ["ASSUMED_PROBE", "ASSUMED_WAY", "TimeFacts"]

ASSUMED_PROBE = ProbeLag(
    2.2, 1.0, 4.0, "assumed: a grounded sheath of 3 mm in exhaust at full load, from memory"
)
"""A probe of which nothing is known."""
ASSUMED_WAY = GasWay(
    3e-3,
    1.5e-3,
    6e-3,
    0.06,
    "assumed: 1.5 to 6 l of manifold, turbine and downpipe, own estimate, and 0.06 s of a probe in good order, from "
    "memory",
)
"""A way to the lambda probe of which nothing is known."""


@dataclass(frozen=True)
class TimeFacts:
    """Facts of a car; None or NaN where they are not known.

    probe         of the exhaust temperature; way from port to lambda reading
    lambda_place  "behind-turbine", "ahead-of-turbine" or ""
    displacement  [m3]  of the engine, four strokes: stands in for an air meter
    """

    probe: ProbeLag | None = None
    way: GasWay | None = None
    lambda_place: str = ""
    displacement: float = float("nan")
