"""All days of a plan together: the highest boost inside every limit on every one of them, and what binds there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, with_settings
from boostwright.solve.kernel.layout import SOLVED
from boostwright.solve.plan_ceiling import ON_THE_LIMIT, highest_inside, most_torque
from boostwright.solve.quantities import steady_points
from boostwright.solve.run import solve
from boostwright.tasks.plan_bench import Bench, Change, Judgement, Verdict, bench_of, judge
from boostwright.tasks.plan_days import DayOfPlan

__all__ = ["CREEP_FLOOR", "Field", "Held", "field_of"]

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

CREEP_FLOOR = "creep-floor"
SPOOL = "spool"
TORQUE_FALLS = "torque-falls"
_LEVELS = 24
_BEYOND = 1.02  # of the highest pressure ratio that the compressor's card has


@dataclass(frozen=True)
class Held:
    """The ceiling at n speeds.

    pressure  [Pa absolute]; nan where even the gate fully open is outside a limit
    binding   what holds it: name of a limit, a reason why there is no steady state, 'spool', 'torque-falls'; where
              there is no ceiling 'creep-floor'
    limit     where there is no ceiling the limit that the floor exceeds, else as ``binding``
    day       index of the bench on which it binds
    """

    pressure: Array
    binding: NDArray[np.str_]
    limit: NDArray[np.str_]
    day: Indices


@dataclass(frozen=True)
class Field:
    """The benches of every day at the same speeds (n,) [rad/s]; the first is the build's own day."""

    speeds: Array
    benches: tuple[Bench, ...] = field(repr=False)

    @cached_property
    def ladder(self) -> Array:
        """Targets (k,) [Pa absolute] from the air outside, which asks for the creep floor, to the end of the card."""
        own = self.benches[0].problem
        lines = own.compressor.lines
        top = max(float(line.pressure_ratio.max()) for line in lines)
        ambient = own.ambient.pressure
        return np.linspace(ambient, _BEYOND * top * ambient, _LEVELS)

    @cached_property
    def rungs(self) -> Judgement:
        """Every rung at every speed, rung by rung."""
        count = self.speeds.size
        return judge(self.benches, np.repeat(self.ladder, count), np.tile(np.arange(count), self.ladder.size))

    @cached_property
    def floor(self) -> Array:
        """Creep floor (n,) [Pa absolute] on the own day: gate fully open; nan where that is not steady."""
        return self.in_mode("gate-open")

    @cached_property
    def spool(self) -> Array:
        """Gate shut (n,) [Pa absolute] on the own day: the most the wheel gives; nan where it runs away."""
        return self.in_mode("gate-shut")

    def in_mode(self, mode: str) -> Array:
        """Intake manifold pressure (n,) [Pa absolute] of the own day in a mode; nan where it is not steady."""
        problem = self.benches[0].problem.at_mode(mode)
        states = solve(problem)
        solved = (states["outcome"] == SOLVED) & steady_points(problem, states)
        return np.where(solved, states["pressure_im"], np.nan)

    def at_speeds(self, which: Indices) -> Field:
        """The same days at some of the speeds."""
        return Field(self.speeds[which], tuple(bench.at_speeds(which) for bench in self.benches))

    def held(self, released: frozenset[str] = frozenset()) -> Held:
        """The ceiling, without the limits released."""
        count, levels = self.speeds.size, self.ladder.size
        verdict = self.rungs.worst(released)
        use = verdict.use.reshape(levels, count)
        asked = self._worth_asking(use, released)

        def at(targets: Array, which: Indices) -> Array:
            return judge(asked, targets, which).worst(released).use

        found = highest_inside(at, self.ladder, use)
        inside = self._inside_on_every_day(found.inside, released)
        best, falls = self._most_torque(inside)
        return self._bound(best, found.outside, falls, released)

    def verdict(self, targets: Array, released: frozenset[str] = frozenset()) -> Verdict:
        """Every day at one target (n,) a speed; nan asks for the floor."""
        low = np.where(np.isfinite(targets), targets, self.ladder[0])
        return judge(self.benches, low, np.arange(self.speeds.size)).worst(released)

    def _worth_asking(self, use: Array, released: frozenset[str]) -> tuple[Bench, ...]:
        """The days that are outside first at some speed: only they can hold the ceiling between two rungs."""
        bad = ~(use <= ON_THE_LIMIT)
        first = np.where(bad.any(axis=0), bad.argmax(axis=0), use.shape[0] - 1)
        points = first * self.speeds.size + np.arange(self.speeds.size)
        found = []
        for index, bench in enumerate(self.benches):
            alone = Judgement(
                self.rungs.names[index : index + 1],
                self.rungs.uses[index : index + 1],
                self.rungs.steady[index : index + 1],
                self.rungs.reasons[index : index + 1],
                self.rungs.own,
            )
            if np.any(alone.worst(released, points).use > ON_THE_LIMIT):
                found.append(bench)
        return tuple(found) or self.benches[:1]

    def _inside_on_every_day(self, inside: Array, released: frozenset[str]) -> Array:
        """The ceiling asked once more on all days; where one of them still objects it comes down until none does."""
        known = np.flatnonzero(np.isfinite(inside))
        result = inside.copy()
        step = np.full(inside.shape, 20.0)
        while known.size:
            use = judge(self.benches, result[known], known).worst(released).use
            known = known[use > ON_THE_LIMIT]
            result[known] -= step[known]
            step[known] *= 2.0
            lost = known[result[known] < self.ladder[0]]
            result[lost] = np.nan
            known = known[np.isfinite(result[known])]
        return result

    def _most_torque(self, ceiling: Array) -> tuple[Array, NDArray[np.bool_]]:
        own = self.benches[0]

        def torque(targets: Array, which: Indices) -> Array:
            return np.asarray(own.ask(targets, which).q["torque"], dtype=float)

        rungs = self.rungs.own.q["torque"].reshape(self.ladder.size, -1)
        return most_torque(torque, self.ladder, rungs, ceiling)

    def _bound(
        self, inside: Array, outside: Array, falls: NDArray[np.bool_], released: frozenset[str]
    ) -> Held:
        """What holds the ceiling: asked a little above it, where it is first exceeded."""
        above = np.where(np.isfinite(outside), outside, inside)
        verdict = self.verdict(above, released)
        limit = verdict.limit.copy()
        over = verdict.use > ON_THE_LIMIT
        none = ~np.isfinite(inside)
        limit[~over & ~none] = "compressor-map-end"
        day = np.where(over, verdict.day, 0)
        spool = np.where(np.isfinite(self.spool), self.spool, np.inf)
        wheel = np.isfinite(inside) & (spool <= inside + 1.0)
        pressure = np.minimum(inside, spool)
        limit[falls], day[falls] = TORQUE_FALLS, 0
        limit[wheel], day[wheel] = SPOOL, 0
        binding = np.where(none, CREEP_FLOOR, limit)
        return Held(np.where(none, np.nan, pressure), binding, limit, day)


def field_of(
    build: Build, speeds: Array, days: Sequence[DayOfPlan], ends: Sequence[tuple[str, Change]]
) -> Field:
    """Make every day ready at the speeds (n,) [rad/s].

    build  without a target of its own
    ends   the spark's ends of the knock band; the own day at the first of them comes first
    Raises BuildError where the settings of a day cannot be laid over the build.
    """
    fast = build["plan"].text("spike_limits") == "fast"
    ready: dict[tuple[str, ...], Bench] = {}
    benches: list[Bench] = []
    for variant, change in ends:
        changed: dict[tuple[str, ...], Bench] = {}
        for day in days:
            if day.settings not in ready:
                other = with_settings(build, day.settings) if day.settings else build
                ready[day.settings] = bench_of(other, speeds, settings=day.settings)
            if day.settings not in changed:
                changed[day.settings] = ready[day.settings].changed(variant, change)
            bench = replace(changed[day.settings], name=day.name, words=day.words)
            benches.append(replace(bench, spike=day.spike, fast_only=fast and day.spike > 0.0))
    return Field(speeds, tuple(benches))
