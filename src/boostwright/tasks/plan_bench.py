"""One engine on one day, ready to be asked what it does at any boost target, and whether that is inside every limit."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.cards.card import Card
from boostwright.solve.kernel.layout import NO_BALANCE, NOT_REACHED, RUNS_AWAY, SOLVED
from boostwright.solve.knock_reserve import knock_reserve_limit
from boostwright.solve.limits import limits_of
from boostwright.solve.operating_point import Limit
from boostwright.solve.plan_actuator import free_actuator
from boostwright.solve.problem import Problem, assemble
from boostwright.solve.quantities import quantities_of
from boostwright.solve.run import solve
from boostwright.tasks.fuel_figures import fuel_system_figures
from boostwright.tasks.known_curve import filling_of_known_curve
from boostwright.tasks.ready import cards_of, speed_limit_of
from boostwright.tasks.runner_figures import runner_figures

__all__ = [
    "Answer",
    "Bench",
    "Change",
    "Judgement",
    "Prepare",
    "Verdict",
    "bench_of",
    "judge",
    "unsteady_words",
]

Array = NDArray[np.float64]
Indices = NDArray[np.intp]
Change = Callable[[Problem], Problem]
"""What a plan does to every problem before it is solved, such as the safe end of the knock band."""
Prepare = Callable[[NDArray[np.void]], None]
"""What is written into points (m,) before they are solved, such as a throttle's loss."""

_UNSTEADY = {
    int(RUNS_AWAY): "runs-away",
    int(NOT_REACHED): "compressor-map-end",
    int(NO_BALANCE): "no-balance",
    int(SOLVED): "surge-line",
}
_SLOW = ("egt", "temperature_")  # quantities that a spike is over before they have followed


@dataclass(frozen=True)
class Answer:
    """What a bench says at m points: quantities by name (m,) SI, states, limits, and where it is steady (m,)."""

    q: Mapping[str, Array]
    states: NDArray[np.void]
    limits: tuple[Limit, ...]
    steady: NDArray[np.bool_]


@dataclass(frozen=True)
class Bench:
    """An engine on a day.

    name, words, settings  of the day
    spike                  by how much the boost asked stands over the target, share of the absolute pressure [-]
    fast_only              True where the spike need not keep limits on temperatures
    variant                end of the knock band the spark stands at: 'late', 'early' or ''
    problem                in target mode, one point a speed
    """

    name: str
    words: str
    settings: tuple[str, ...]
    build: Build
    cards: Mapping[str, Card] = field(repr=False)
    problem: Problem = field(repr=False)
    speed_limit: float
    speed_limit_source: str
    spike: float = 0.0
    fast_only: bool = False
    variant: str = ""

    def ask(
        self, targets: Array, which: Indices, *, spiked: bool = True, prepare: Prepare | None = None
    ) -> Answer:
        """The engine at targets (m,) [Pa absolute] and points (m,), the spike put on top unless it is left out.

        prepare  what else is written into the points

        No target lies below the air outside: there the gate stands open, and that is the floor.
        """
        asked = targets * (1.0 + self.spike) if spiked else targets
        asked = np.maximum(asked, self.problem.ambient.pressure)
        problem = self.problem.take(which)
        problem.points["target_pressure"] = asked
        if prepare is not None:
            prepare(problem.points)
        return self.answer(problem)

    def answer(self, problem: Problem) -> Answer:
        """Any problem of this engine solved and judged."""
        states = _readable(problem, solve(problem))
        q = quantities_of(self.build, problem, states, self.speed_limit)
        fuel = fuel_system_figures(self.build, self.cards["fuel"], q)
        q |= fuel.quantities
        limits = limits_of(
            self.build,
            q,
            problem.compressor.speed_lowest_measured,
            self.speed_limit,
            self.speed_limit_source,
        )
        knock = knock_reserve_limit(self.build, problem, q)
        if knock is not None:
            limits = (*(limit for limit in limits if limit.name != knock.name), knock)
        apart = runner_figures(self.build, self.cards["fuel"], problem, q)
        return Answer(q, states, (*limits, *fuel.limits, *apart.limits), np.isfinite(q["pressure_im"]))

    def changed(self, variant: str, change: Change) -> Bench:
        """The same engine with something done to its problem."""
        return replace(self, variant=variant, problem=change(self.problem))

    def at_speeds(self, which: Indices) -> Bench:
        """The same engine at some of its speeds."""
        return replace(self, problem=self.problem.take(which))

    def with_spike(self, spike: float, name: str, words: str, fast_only: bool) -> Bench:
        """The same day with boost over its target."""
        return replace(self, spike=spike, name=name, words=words, fast_only=fast_only)

    def judged(self, limit: Limit) -> bool:
        """Whether a limit counts here."""
        return not (self.fast_only and limit.quantity.startswith(_SLOW))


@dataclass(frozen=True)
class Verdict:
    """The largest use of any limit on any day at m points.

    use    (m,) 1 on the limit; infinite where a day has no steady state
    limit  (m,) its name, or the reason why there is no steady state
    day    (m,) index of the bench
    """

    use: Array
    limit: NDArray[np.str_]
    day: Indices


@dataclass(frozen=True)
class Judgement:
    """What every bench said at m points, limits apart, so that some can be left out afterwards.

    names   limits of each bench that count there
    uses    (limits, m) of each bench; -inf where a limit does not run
    steady  (m,) of each bench; reasons why not (m,)
    own     what the first bench answered
    """

    names: tuple[tuple[str, ...], ...]
    uses: tuple[Array, ...]
    steady: tuple[NDArray[np.bool_], ...]
    reasons: tuple[NDArray[np.str_], ...]
    own: Answer

    def worst(self, released: frozenset[str] = frozenset(), only: Indices | None = None) -> Verdict:
        """The largest use at the points, or at some of them, without the limits released."""
        chosen = np.arange(self.steady[0].size) if only is None else only
        use = np.full(chosen.shape, -np.inf)
        limit = np.full(chosen.shape, "", dtype="U40")
        day = np.zeros(chosen.shape, dtype=np.intp)
        for index, (names, uses, steady) in enumerate(zip(self.names, self.uses, self.steady, strict=True)):
            kept = np.array([name not in released for name in names], dtype=bool)
            if kept.any():
                rows = uses[kept][:, chosen]
                top = rows.argmax(axis=0)
                here = np.where(steady[chosen], rows[top, np.arange(chosen.size)], -np.inf)
                worse = here > use
                use[worse], day[worse] = here[worse], index
                limit[worse] = np.array(names)[kept][top[worse]]
            lost = ~steady[chosen] & (use < np.inf)
            use[lost], day[lost] = np.inf, index
            limit[lost] = self.reasons[index][chosen][lost]
        return Verdict(use, limit, day)


def _readable(problem: Problem, states: NDArray[np.void]) -> NDArray[np.void]:
    """States of which every number can be put into a relation: where the solver left none, those of the engine without
    its turbo stand in, the outcome as it was, so that nobody reads them."""
    lost = np.flatnonzero(~np.isfinite(states["temperature_opening"]))
    if not lost.size:
        return states
    filled = states.copy()
    filled[lost] = solve(problem.take(lost).at_mode("no-turbo"))
    filled["outcome"] = states["outcome"]
    filled["outcome"][lost] = np.where(states["outcome"][lost] == SOLVED, NO_BALANCE, states["outcome"][lost])
    return filled


def bench_of(
    build: Build,
    speeds: Array,
    name: str = "",
    words: str = "",
    settings: Sequence[str] = (),
) -> Bench:
    """Make an engine ready at the speeds (n,) [rad/s], its gate free of spring and signal.

    Raises BuildError or CardError as a prediction does.
    """
    cards = cards_of(build)
    filling = filling_of_known_curve(build, cards, speeds)
    problem = free_actuator(assemble(build, cards, speeds, "target", filling))
    limit, source = speed_limit_of(build, cards, problem)
    return Bench(name, words, tuple(settings), build, cards, problem, limit, source)


def unsteady_words(states: NDArray[np.void]) -> NDArray[np.str_]:
    """Why states (m,) are not steady: codes; for a solved state that it lies left of the surge line."""
    return np.array([_UNSTEADY[int(outcome)] for outcome in states["outcome"]], dtype="U40")


def judge(
    benches: Sequence[Bench], targets: Array, which: Indices, prepare: Prepare | None = None
) -> Judgement:
    """Ask every bench at targets (m,) [Pa absolute] and points (m,); ``prepare`` as in ``Bench.ask``."""
    answers = [bench.ask(targets, which, prepare=prepare) for bench in benches]
    counted = [
        [limit for limit in answer.limits if bench.judged(limit)]
        for bench, answer in zip(benches, answers, strict=True)
    ]
    return Judgement(
        tuple(tuple(limit.name for limit in limits) for limits in counted),
        tuple(_uses(limits, targets.size) for limits in counted),
        tuple(answer.steady for answer in answers),
        tuple(unsteady_words(answer.states) for answer in answers),
        answers[0],
    )


def _uses(limits: Sequence[Limit], count: int) -> Array:
    rows = [np.nan_to_num(limit.utilisation, nan=-np.inf) for limit in limits]
    return np.array(rows).reshape(len(rows), count)
