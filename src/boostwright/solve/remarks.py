"""Lines about a sweep as a whole: estimates leaned on, knee of the gate, runaway speed, rules of thumb."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.solve.kernel.layout import SOLVED
from boostwright.solve.operating_point import Remark
from boostwright.solve.problem import Problem
from boostwright.solve.run import solve

__all__ = ["estimates", "gate_knee", "rules_of_thumb", "runaway_speed"]

Array = NDArray[np.float64]
_RPM = 30.0 / np.pi
_FULL = 0.999
Assemble = Callable[[Array, str], Problem]


def estimates(problem: Problem) -> tuple[Remark, ...]:
    """A line each for a compressor and a turbine that are estimated from the dimensions of their wheels."""
    found = []
    for code, known in (
        ("compressor-estimate", problem.compressor.known),
        ("turbine-estimate", problem.turbine.known),
    ):
        if known.estimate:
            found.append(Remark(code, known.estimate, None, "", "own estimate of the band"))
    return tuple(found)


def _bisect(low: float, high: float, test: Callable[[float], bool]) -> float:
    """Engine speed [rad/s] at which ``test`` turns true between ``low`` (false) and ``high`` (true)."""
    for _ in range(12):
        middle = 0.5 * (low + high)
        if test(middle):
            high = middle
        else:
            low = middle
    return high


def gate_knee(problem: Problem, states: NDArray[np.void], assemble: Assemble, mode: str) -> Remark | None:
    """Engine speed above which the gate stands at full lift and boost creeps; None where it never does."""
    if mode not in ("spring", "target") or np.all(problem.points["gate_count"] == 0.0):
        return None
    full = problem.points["gate_full_lift"]
    at_stop = (states["outcome"] == SOLVED) & (states["gate_lift"] >= _FULL * full)
    if not at_stop.any():
        share = float(np.max(np.where(states["outcome"] == SOLVED, states["gate_lift"] / full, 0.0)))
        message = f"gate: never at full lift in this range (at most {100.0 * share:.0f} %)"
        return Remark("gate-knee", message, None, "rad/s", "model")
    i = int(np.argmax(at_stop))
    knee = float(problem.speeds[i])
    if i > 0:

        def at_full(speed: float) -> bool:
            state = solve(assemble(np.array([speed]), mode))[0]
            return bool(state["gate_lift"] >= _FULL * full[0])

        knee = _bisect(float(problem.speeds[i - 1]), knee, at_full)
    message = f"gate: at full lift from {knee * _RPM:.0f} rpm; above it boost is what the gate cannot pass"
    return Remark("gate-knee", message, knee, "rad/s", "model")


def runaway_speed(problem: Problem, states: NDArray[np.void], assemble: Assemble, mode: str) -> Remark | None:
    """Engine speed above which there is no steady balance of the shaft; None where there always is one."""
    lost = states["outcome"] != SOLVED
    if not lost.any():
        return None
    i = int(np.argmax(lost))
    edge = float(problem.speeds[i])
    if i > 0:

        def runs(speed: float) -> bool:
            return bool(solve(assemble(np.array([speed]), mode))[0]["outcome"] != SOLVED)

        edge = _bisect(float(problem.speeds[i - 1]), edge, runs)
    message = f"no steady balance of the turbo shaft above {edge * _RPM:.0f} rpm in mode {mode}"
    return Remark("runs-away", message, edge, "rad/s", "model")


def rules_of_thumb(build: Build, q: Mapping[str, Array]) -> tuple[Remark, ...]:
    """Rules of the trade beside what came out; they set nothing."""
    found = []
    ratio = q["drive_pressure_ratio"]
    power = q["power"]
    if np.isfinite(power).any() and np.isfinite(ratio).any():
        at = int(np.nanargmax(power))
        if np.isfinite(ratio[at]):
            message = f"drive-pressure ratio at peak power {ratio[at]:.2f} absolute; "
            message += "track cars aim for 1.3 to 1.5 or less"
            found.append(
                Remark("rule-of-thumb-drive-pressure", message, float(ratio[at]), "1", "common practice")
            )
            message = (
                "exhaust over intake pressure above 1.75 to 2.0 is called too far (basis not stated there)"
            )
            found.append(
                Remark("rule-of-thumb-housing", message, None, "1", "read in a turbo maker's page on A/R")
            )
    control, gate = build["boost_control"], build["wastegate"]
    if control.has("target") and gate.text("kind") != "none":
        target = max(control.curve("target").value) - build["ambient"].si("pressure")
        share = gate.si("spring_rating") / target if target > 0.0 else float("nan")
        message = f"spring {100.0 * share:.0f} % of the highest gauge target; 50 to 70 % is usual"
        found.append(Remark("rule-of-thumb-spring", message, float(share), "1", "common practice"))
    return tuple(found)
