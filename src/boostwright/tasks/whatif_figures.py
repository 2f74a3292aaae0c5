"""From solved cases to figures of merit: cases that the quantities cannot tell apart are worked out in one call."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.build.variants import Variant
from boostwright.build.watched import Place, identities, watched_call
from boostwright.cards.card import Card
from boostwright.solve.case_parts import Parts, watched_build
from boostwright.solve.case_problem import problem_with
from boostwright.solve.cases import SolvedCases
from boostwright.solve.fuel_limits import fuel_limits
from boostwright.solve.limits import limits_of
from boostwright.solve.operating_point import Limit, NoSteadyState
from boostwright.solve.outcomes import outcomes_of
from boostwright.solve.problem import Problem
from boostwright.solve.quantities import judged_quantities, quantities_of
from boostwright.tasks.fuel_figures import fuel_margins
from boostwright.tasks.power_figures import wheel_figures
from boostwright.tasks.runner_figures import runner_figures, shares_of_build
from boostwright.tasks.whatif_result import Case, Row

__all__ = ["FigureMaker", "Placed", "area_weights"]

Array = NDArray[np.float64]
States = NDArray[np.void]
Span = tuple[float, float]


_TOGETHER = 64
"""Cases whose quantities are worked out in one call: more of them no longer fit into the processor's cache."""

_KEPT = 16


@dataclass(frozen=True)
class Placed:
    """A case in the batch that was solved: its variant, parts, cards, mode and limit of the shaft's speed [rad/s]."""

    number: int
    case: Case
    variant: Variant
    parts: Parts
    cards: Mapping[str, Card]
    mode: str
    speed_limit: float
    speed_limit_source: str


@dataclass(frozen=True)
class _Judged:
    """Quantities, limits and steadiness at the points of a group, flat."""

    q: Mapping[str, Array]
    limits: tuple[Limit, ...]
    steady: NDArray[np.bool_]


class FigureMaker:
    """Figures of merit of cases at the same engine speeds (n,) [rad/s]."""

    def __init__(self, base: Build, speeds: Array, between: Span) -> None:
        """From the build, the speeds, and those the torque is summed between."""
        self._base, self._speeds = base, speeds
        self._weights = area_weights(speeds, between)
        self._width = between[1] - between[0]
        self._asked = {str(warning) for warning in base.warnings}
        self._places: dict[Place, None] = {}
        self._read_of: dict[tuple[frozenset[str], int], tuple[Place, ...]] = {}
        self._tiled: dict[tuple[int, ...], tuple[Problem, Parts]] = {}

    def rows(self, placed: Sequence[Placed], solved: SolvedCases) -> list[Row]:
        """A row a case, in the order of the cases, which stand in ``solved`` in that order."""
        groups: dict[tuple[object, ...], list[int]] = {}
        for place, case in enumerate(placed):
            groups.setdefault(self._alike(case), []).append(place)
        found: dict[int, Row] = {}
        waiting = [
            group[a : a + _TOGETHER] for group in groups.values() for a in range(0, len(group), _TOGETHER)
        ]
        while waiting:
            members = waiting.pop()
            judged, looked_at = self._judged(members, placed, solved)
            new = [place for place in looked_at if place not in self._places]
            self._places |= dict.fromkeys(new)
            split: dict[tuple[int, ...], list[int]] = {}
            for member in members:
                split.setdefault(tuple(identities(placed[member].variant.sections, new)), []).append(member)
            if len(split) > 1:  # a key that was never looked at before tells them apart after all
                waiting += split.values()
                continue
            found |= self._rows_of(members, placed, solved, judged)
        return [found[place] for place in range(len(placed))]

    def _alike(self, case: Placed) -> tuple[object, ...]:
        """Cases with equal keys differ in their points alone."""
        parts = case.parts
        objects = (parts.ambient, parts.mixture, parts.engine, parts.rows, parts.spark, parts.compressor)
        return (
            *map(id, objects),
            id(case.cards["fuel"]),
            case.mode,
            case.speed_limit,
            *self._differing(case.variant),
        )

    def _differing(self, variant: Variant) -> Iterator[object]:
        """What a variant has other than the build at the places that the figures look at."""
        key = variant.changed, len(self._places)
        if key not in self._read_of:
            self._read_of[key] = tuple(place for place in self._places if place[0] in variant.changed)
        yield self._read_of[key]
        yield from identities(variant.sections, self._read_of[key])

    def _problem(self, members: Sequence[int], placed: Sequence[Placed], solved: SolvedCases) -> Problem:
        """The points of a group as one problem."""
        parts = placed[members[0]].parts
        key = tuple(
            map(id, (parts.ambient, parts.mixture, parts.engine, parts.rows, parts.spark, parts.compressor))
        )
        n = self._speeds.size
        if key not in self._tiled:
            if len(self._tiled) > _KEPT:
                self._tiled.clear()
            one = problem_with(solved.points[0], parts, self._speeds)
            self._tiled[key] = one.take(np.tile(np.arange(n), _TOGETHER)), parts
        tiled = self._tiled[key][0]
        if len(members) < _TOGETHER:
            tiled = tiled.take(np.arange(len(members) * n))
        return replace(tiled, points=_taken(solved.points, members))

    def _judged(
        self, members: Sequence[int], placed: Sequence[Placed], solved: SolvedCases
    ) -> tuple[_Judged, tuple[Place, ...]]:
        case = placed[members[0]]
        problem = self._problem(members, placed, solved)
        states = _taken(solved.states, members)

        def judge(build: Build) -> _Judged:
            if build["limits"].records("own") or shares_of_build(build) is not None:
                q = quantities_of(build, problem, states, case.speed_limit)
            else:
                q = judged_quantities(build, problem, states)
            q |= wheel_figures(build, q).quantities
            q |= fuel_margins(build, case.cards["fuel"], q)
            apart = runner_figures(build, case.cards["fuel"], problem, q)
            q |= apart.quantities
            lowest = problem.compressor.speed_lowest_measured
            limits = limits_of(build, q, lowest, case.speed_limit, case.speed_limit_source)
            limits += (*fuel_limits(build["fuel_system"], q), *apart.limits)
            return _Judged(q, limits, np.isfinite(q["pressure_im"]))

        return watched_call(case.variant.sections, lambda watched: judge(watched_build(self._base, watched)))

    def _rows_of(
        self, members: Sequence[int], placed: Sequence[Placed], solved: SolvedCases, judged: _Judged
    ) -> dict[int, Row]:
        shape = len(members), self._speeds.size
        q = {name: judged.q[name].reshape(shape) for name in _READ}
        lowest = placed[members[0]].parts.compressor.speed_lowest_measured
        measured = q["corrected_speed"] >= lowest
        floor, floor_lost = solved.floors.pressure[list(members)], solved.floors.lost[list(members)]
        used = np.array([limit.utilisation for limit in judged.limits]).reshape(-1, *shape)
        over = np.asarray(used > 1.0)
        exceeded = np.asarray(over.any(axis=2))
        low, high = self._spans(over)
        at_peak, power = _peak(q["power"])
        row = np.arange(shape[0])
        area = _weighted(q["torque"], self._weights)
        with np.errstate(invalid="ignore"):
            figures = {
                "threshold": solved.threshold[list(members)],
                "peak_power": power,
                "peak_power_speed": np.where(np.isfinite(power), self._speeds[at_peak], np.nan),
                "peak_torque": _peak(q["torque"])[1],
                "torque_area": area,
                "mean_torque": area / self._width,
                "drive_pressure_ratio": q["drive_pressure_ratio"][row, at_peak],
                "drive_pressure_ratio_most": _peak(q["drive_pressure_ratio"])[1],
                "creep_floor": floor,
                "surge_margin": -_peak(np.where(measured, -q["surge_margin"], np.nan))[1],
                "choke_margin": -_peak(np.where(measured, -q["choke_margin"], np.nan))[1],
                "shaft_speed": _peak(q["shaft_speed"])[1],
                "egt_reading": _peak(q["egt_reading"])[1],
                "steady_share": judged.steady.reshape(shape).mean(axis=1),
                "limits_exceeded": exceeded.sum(axis=0).astype(float),
            }
        lost = self._lost(members, placed, solved, judged.steady.reshape(shape))
        creeps, creep_ends = np.asarray(floor_lost.any(axis=1)), self._spans(floor_lost)
        every = np.array(list(figures.values())).T.tolist()
        found = {}
        for index, member in enumerate(members):
            case = placed[member]
            unsteady = lost.get(index, {})
            if creeps[index]:
                unsteady["gate-open-runs-away"] = creep_ends[0][index], creep_ends[1][index]
            found[member] = Row(
                case.number,
                case.case,
                dict(zip(figures, every[index], strict=True)),
                {
                    judged.limits[n].name: (low[n][index], high[n][index])
                    for n in np.flatnonzero(exceeded[:, index]).tolist()
                },
                unsteady,
                self._asked_of(case),
            )
        return found

    def _asked_of(self, case: Placed) -> tuple[str, ...]:
        """What is possible but hardly meant of a case, and was not of the build."""
        warnings = case.variant.warnings
        return tuple(text for text in map(str, warnings) if text not in self._asked) if warnings else ()

    def _spans(self, here: NDArray[np.bool_]) -> tuple[Any, Any]:
        """Lowest and highest speed at which each row (..., n) is True, as nested lists; of no meaning where none is."""
        first, last = here.argmax(axis=-1), here.shape[-1] - 1 - here[..., ::-1].argmax(axis=-1)
        return self._speeds[first].tolist(), self._speeds[last].tolist()

    def _lost(
        self,
        members: Sequence[int],
        placed: Sequence[Placed],
        solved: SolvedCases,
        steady: NDArray[np.bool_],
    ) -> dict[int, dict[str, Span]]:
        """Why there is no steady state, for the members of a group that have such points."""
        where, column = np.nonzero(~steady)
        if not where.size:
            return {}
        problem = self._problem(members, placed, solved).take(np.flatnonzero(~steady.ravel()))
        states = _taken(solved.states, members)[~steady.ravel()]
        found: dict[int, dict[str, Span]] = {}
        outcomes = outcomes_of(problem, states, placed[members[0]].speed_limit)
        for index, speed, outcome in zip(
            where.tolist(), self._speeds[column].tolist(), outcomes, strict=True
        ):
            if isinstance(outcome, NoSteadyState):
                spans = found.setdefault(index, {})
                spans[outcome.reason] = spans.get(outcome.reason, (speed, speed))[0], speed
        return found


_READ = (
    "power",
    "torque",
    "drive_pressure_ratio",
    "surge_margin",
    "choke_margin",
    "shaft_speed",
    "egt_reading",
    "corrected_speed",
)


def _taken(records: NDArray[np.void], members: Sequence[int]) -> NDArray[np.void]:
    """Records (k, n) of the members, flat; not copied where they lie in a row."""
    first = members[0]
    if list(members) == list(range(first, first + len(members))):
        return records[first : first + len(members)].reshape(-1)
    return records[list(members)].reshape(-1)


def _peak(values: Array) -> tuple[NDArray[np.intp], Array]:
    """Where the highest value of each row (k, n) stands, and the value; nan in a row without one."""
    filled = np.where(np.isnan(values), -np.inf, values)
    at = filled.argmax(axis=1)
    highest = filled[np.arange(len(filled)), at]
    return at, np.where(np.isfinite(highest), highest, np.nan)


def _weighted(values: Array, weights: Array) -> Array:
    """Sums (k,) over the columns that have a weight: a gap elsewhere does not count."""
    used = weights != 0.0
    return np.asarray(values[:, used] @ weights[used])


def area_weights(speeds: Array, between: Span) -> Array:
    """Weights (n,) [rad/s] that make the integral of a quantity, straight between speeds, from one speed to another.

    speeds   (n,) rising
    between  inside them
    """
    inside = speeds[(speeds > between[0]) & (speeds < between[1])]
    at = np.array([between[0], *inside, between[1]])
    step = np.diff(at)
    trapezoid = np.zeros(at.size)
    trapezoid[:-1] += 0.5 * step
    trapezoid[1:] += 0.5 * step
    reads = np.array([np.interp(at, speeds, unit) for unit in np.eye(speeds.size)])
    return np.asarray(reads @ trapezoid)
