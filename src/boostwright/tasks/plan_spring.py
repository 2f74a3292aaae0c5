"""The spring to fit under a plan's table, and the base duty that brings boost from the spring up to the table."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.components.wastegate import wastegate_fields
from boostwright.solve.kernel.layout import SOLVED, SPRING, TARGET
from boostwright.solve.plan_actuator import ACTUATOR_FIELDS
from boostwright.solve.problem import Problem
from boostwright.solve.quantities import duty_of_share
from boostwright.solve.run import solve
from boostwright.tasks.plan_bench import Bench
from boostwright.tasks.plan_result import SpringAdvice, SpringChoice

__all__ = ["PLUMBINGS", "Allowed", "duties", "spring_advice", "spring_boost", "with_number"]

Array = NDArray[np.float64]

PLUMBINGS = ("lower", "upper", "both")
_STEP = 5e3  # Pa between springs looked at
_SOFTEST = 10e3  # Pa: softer springs hold nothing against the exhaust
_COMMON = (0.5, 0.7)  # of the highest gauge target, common practice
_NEAR = 1e3  # Pa: a table's own step
_LEAST_SHARE = {"lower": 0.0, "upper": 0.0, "both": -1.0}


@dataclass(frozen=True)
class Allowed:
    """What a spring is held against, (n,) [Pa absolute].

    table  nan where no boost is inside; floor, spool; wheel (n,) True where the wheel holds the ceiling itself
    """

    table: Array
    floor: Array
    spool: Array
    wheel: NDArray[np.bool_]

    @property
    def highest(self) -> Array:
        """What a spring alone may give: the table, but where the wheel or the gate itself sets boost as they do."""
        free = self.wheel | ~np.isfinite(self.table)
        return np.where(free, np.inf, np.fmax(self.table, self.floor)) + _NEAR

    @property
    def wanted(self) -> Array:
        """What the solenoid has to reach."""
        wheel = np.where(np.isfinite(self.spool), self.spool, np.inf)
        return np.where(np.isfinite(self.table), np.minimum(self.table, wheel) - _NEAR, -np.inf)


def with_number(build: Build, section: str, key: str, si: float) -> Build:
    """The build with one number changed [SI, on its stored basis], past the checks of a file."""
    old = build[section]
    value = replace(old.values[key], si=si, origin="set")
    return replace(
        build, sections={**build.sections, section: replace(old, values={**old.values, key: value})}
    )


def _with_spring(problem: Problem, build: Build, rating: float) -> Problem:
    """The problem with another spring in the gate; dead solenoid, hose on."""
    points = problem.points.copy()
    fields = wastegate_fields(with_number(build, "wastegate", "spring_rating", rating))
    for name in ACTUATOR_FIELDS:
        points[name] = fields[name]
    points["signal_share"] = 1.0
    return replace(problem, points=points)


def spring_boost(bench: Bench, rating: float) -> Array:
    """Boost (n,) [Pa absolute] that a spring [Pa] holds alone on a day; nan where that is not steady."""
    states = solve(_with_spring(bench.problem, bench.build, rating).at_mode("spring"))
    return np.where(states["outcome"] == SOLVED, states["pressure_im"], np.nan)


def _choice(bench: Bench, rating: float, allowed: Allowed, highest: float) -> SpringChoice:
    held = spring_boost(bench, rating)
    problem = _with_spring(bench.problem, bench.build, rating)
    asked = np.where(np.isfinite(allowed.table), allowed.table, bench.problem.ambient.pressure)
    states = solve(problem.at_targets(asked[None, :]))
    with np.errstate(invalid="ignore"):
        reaches = (states["outcome"] == SOLVED) & (states["pressure_im"] >= allowed.wanted)
        above = held > allowed.highest
    share = rating / highest if highest > 0.0 else float("nan")
    return SpringChoice(rating, held, above, reaches | ~np.isfinite(allowed.table), share)


def spring_advice(bench: Bench, allowed: Allowed) -> SpringAdvice | None:
    """The spring under a table on the plan's own day; None without a gate, or where no boost is inside."""
    gate = bench.build["wastegate"]
    if gate.text("kind") == "none" or not np.isfinite(allowed.table).any():
        return None
    highest = float(np.nanmax(allowed.table)) - bench.problem.ambient.pressure
    fitted = _choice(bench, gate.si("spring_rating"), allowed, highest)
    ratings = np.arange(_SOFTEST, max(highest, _SOFTEST + _STEP), _STEP)
    tried = tuple(_choice(bench, float(rating), allowed, highest) for rating in ratings)
    chosen = _chosen((fitted, *tried))
    return SpringAdvice(gate.text("spring_rating_basis"), fitted, chosen, tried, _words(fitted, chosen))


def _chosen(choices: Sequence[SpringChoice]) -> SpringChoice | None:
    """The first that does everything and lies in the common range, the fitted one before others; else the one that
    does everything nearest to that range; else the stiffest that is nowhere above the table."""
    usable = [choice for choice in choices if not choice.above.any()]
    whole = [choice for choice in usable if choice.reaches.all()]
    if whole:
        return min(whole, key=_from_common)
    return max(usable, key=lambda choice: (int(choice.reaches.sum()), choice.rating), default=None)


def _from_common(choice: SpringChoice) -> float:
    return max(_COMMON[0] - choice.share, 0.0, choice.share - _COMMON[1])


def _words(fitted: SpringChoice, chosen: SpringChoice | None) -> str:
    if chosen is None:
        return (
            "every spring looked at, down to 0.1 bar, gives more than the table somewhere: a softer one, a larger "
            "gate, or a higher table"
        )
    common = "50 to 70 % of the highest gauge target is common practice"
    words = (
        f"{chosen.rating / 1e5:.2f} bar, {100.0 * chosen.share:.0f} % of the highest gauge target ({common})"
    )
    words += "; alone it is nowhere above the table"
    if not chosen.reaches.all():
        words += ", but the solenoid does not reach the table at every speed"
    if chosen is fitted:
        return f"the spring fitted does: {words}"
    why = "is above the table at some speed" if fitted.above.any() else "lies outside the common range"
    if not fitted.above.any() and not fitted.reaches.all():
        why = "does not let the solenoid reach the table at every speed"
    return f"{words}; the one fitted, {fitted.rating / 1e5:.2f} bar, {why}"


def duties(bench: Bench, rating: float, allowed: Allowed) -> Mapping[str, Array]:
    """Base duty (n,) [-] by plumbing kind that holds the table with a spring [Pa]; nan where no duty does.

    Where the wheel gives less than the table the duty of the next speed that is held stands, so that boost comes in
    under control.
    """
    problem = _with_spring(bench.problem, bench.build, rating)
    asked = np.where(np.isfinite(allowed.table), allowed.table, bench.problem.ambient.pressure)
    problem = problem.at_targets(asked[None, :])
    problem.points["signal_share_low"] = -1.0
    states = solve(problem)
    held = (states["outcome"] == SOLVED) & (states["mode_held"] == TARGET) & (states["gate_pushed_open"] == 0)
    share = np.where(held, states["signal_share"], np.nan)
    # the spring alone stands on the table, to within its step: the solenoid has nothing to do
    with np.errstate(invalid="ignore"):
        alone = (states["mode_held"] == SPRING) & (np.abs(states["pressure_im"] - asked) <= 2.0 * _NEAR)
    share = np.where(alone & (states["gate_pushed_open"] == 0), 1.0, share)
    found = {}
    for kind in PLUMBINGS:
        usable = np.where(share >= _LEAST_SHARE[kind], share, np.nan)
        duty = duty_of_share(usable, kind)
        found[kind] = _carried_down(duty, allowed.wheel)
    return found


def _carried_down(duty: Array, wheel: NDArray[np.bool_]) -> Array:
    """Where the wheel gives too little, the duty of the next higher speed that has one."""
    result = np.where(wheel, np.nan, duty)
    for i in range(result.size - 2, -1, -1):
        if wheel[i]:
            result[i] = result[i + 1]
    return result
