"""Many draws of all doubts through the compiled solver, in one batch."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.cards.card import Card
from boostwright.components.breathing import Filling
from boostwright.solve.kernel.layout import SOLVED
from boostwright.solve.problem import Problem, assemble
from boostwright.solve.quantities import quantities_of, steady_points
from boostwright.solve.run import solve
from boostwright.solve.threshold import stated_boost
from boostwright.solve.uncertainty.assembling import Assembler
from boostwright.solve.uncertainty.doubts import Doubt, doubts_of
from boostwright.solve.uncertainty.draws import draw
from boostwright.solve.uncertainty.fillings import Fillings
from boostwright.solve.uncertainty.pieces import at_targets, points_of, rods_of_samples
from boostwright.solve.uncertainty.room import Room
from boostwright.solve.uncertainty.shifted import flat_build
from boostwright.solve.uncertainty.thresholds import fine_speeds, speeds_about, thresholds_of

__all__ = ["Sampled", "sampled", "sampled_at", "speeds_for_thresholds"]

Array = NDArray[np.float64]
States = NDArray[np.void]

_POINTS_AT_ONCE = 2560
"""Points assembled, solved and read together: few enough to stay in the caches, many enough to share the overhead."""

_AT_WORK = 2
"""Problems at a time: one that is read, and one that is being put together or waits."""

_ENDS_OF_A_BAND = ("_early", "_late")  # of the knock band, which is drawn here


@dataclass(frozen=True)
class Sampled:
    """What every sample gave.

    doubts      what was drawn
    shifts      (samples, doubts) [-] draws, in widths of the bands
    speeds      (speeds,) [rad/s] of the engine
    mode        how boost was controlled
    seed        from which the draws follow; -1 where they were handed in
    quantities  by name, (samples, speeds) or (samples, levels, speeds), SI; NaN where there is no steady state
    steady      the same shape, True where there is one
    states      the same shape, of dtype STATE, where they were asked for
    thresholds  (samples,) [rad/s], where they were asked for; nan where the stated boost is not reached
    """

    doubts: tuple[Doubt, ...]
    shifts: Array
    speeds: Array
    mode: str
    seed: int
    quantities: Mapping[str, Array]
    steady: NDArray[np.bool_]
    states: States | None = None
    thresholds: Array | None = None


def sampled(
    build: Build,
    cards: Mapping[str, Card],
    speeds: Array,
    mode: str,
    filling: Filling | None = None,
    *,
    samples: int,
    seed: int,
    targets: Array | None = None,
    doubts: Sequence[Doubt] | None = None,
    speed_limit: float | None = None,
    only: Collection[str] | None = None,
    keep_states: bool = False,
    with_thresholds: bool = False,
    told: Callable[[int], None] | None = None,
) -> Sampled:
    """Draw every doubt of a build and solve all samples.

    cards        'fuel' and, where the build names one, 'compressor' and 'turbine'
    speeds       (n,) [rad/s] of the engine
    mode         'gate-shut', 'spring', 'target', 'gate-open' or 'no-turbo'
    filling      what the build's known curve was turned back into; each sample turns it back for itself
    samples      [-] how many
    seed         [-] same seed, same draws
    targets      (levels, n) [Pa absolute] to hold in the intake manifold, level by level, in place of the build's own
    doubts       what is drawn; None takes ``doubts_of`` the build
    speed_limit  [rad/s] of the shaft, for its margin; None takes the compressor's
    only         names of the quantities that are kept; None keeps all
    keep_states  whether the solver's records are kept besides
    with_thresholds  whether the threshold of every sample is found besides
    told         called with the number of samples solved, piece by piece; what it raises ends the draw
    Raises BuildError as a single assembly does.
    """
    drawn = tuple(doubts_of(build, cards) if doubts is None else doubts)
    shifts = draw(drawn, samples, seed)
    fine = speeds_for_thresholds(build, cards, mode, filling) if with_thresholds else np.empty(0)
    maker = Assembler(build, cards, np.concatenate([speeds, fine]), mode, filling, drawn)
    found = sampled_at(
        maker,
        shifts,
        targets=targets,
        speed_limit=speed_limit,
        only=only,
        keep_states=keep_states,
        fine=fine.size,
        told=told,
    )
    return Sampled(**{**vars(found), "seed": seed})


def sampled_at(
    maker: Assembler,
    shifts: Array,
    *,
    targets: Array | None = None,
    speed_limit: float | None = None,
    only: Collection[str] | None = None,
    keep_states: bool = False,
    fine: int = 0,
    told: Callable[[int], None] | None = None,
) -> Sampled:
    """Samples with given shifts (samples, doubts) [-]; the rest as in ``sampled``.

    fine  how many of the assembler's speeds, the last ones, are there for the threshold alone
    """
    n = maker.speeds.size - fine
    levels = 1 if targets is None else len(targets)
    limit = maker.nominal.compressor.speed_limit if speed_limit is None else speed_limit
    fillings = Fillings(maker)
    reader = _Reader(maker, limit, only, keep_states, n, targets)
    step = max(1, _POINTS_AT_ONCE // max(n * levels, maker.speeds.size))
    pieces: list[_Piece] = []
    rooms = [Room(min(step, len(shifts)), maker.nominal) for _ in range(_AT_WORK)]
    # one worker solves and reads while the next samples are assembled
    with ThreadPoolExecutor(1) as pool:
        waiting: list[Future[_Piece]] = []
        for turn, first in enumerate(range(0, len(shifts), step)):
            own = shifts[first : first + step]
            filled = fillings.of(own)
            problem = maker.problem(own, filled.fillings, rooms[turn % _AT_WORK])
            missed = None if filled.missed is None else filled.missed[:, :n]
            waiting.append(pool.submit(reader.read, problem, own, missed))
            if len(waiting) == _AT_WORK:
                pieces.append(waiting.pop(0).result())
                if told is not None:
                    told(first)
        pieces += [job.result() for job in waiting]
    shape = (len(shifts), n) if targets is None else (len(shifts), levels, n)
    names = pieces[0].quantities
    return Sampled(
        doubts=maker.doubts,
        shifts=shifts,
        speeds=maker.speeds[:n],
        mode=maker.mode if targets is None else "target",
        seed=-1,
        quantities={
            name: np.concatenate([piece.quantities[name] for piece in pieces]).reshape(shape)
            for name in names
        },
        steady=np.concatenate([piece.steady for piece in pieces]).reshape(shape),
        states=np.concatenate([piece.states for piece in pieces]).reshape(shape) if keep_states else None,
        thresholds=_thresholds(maker, shifts, pieces) if fine else None,
    )


def speeds_for_thresholds(
    build: Build, cards: Mapping[str, Card], mode: str, filling: Filling | None
) -> Array:
    """Engine speeds (m,) [rad/s] among which the thresholds of most samples of a build lie."""
    every = fine_speeds(build["engine"].si("speed_limit"))
    nominal = assemble(build, cards, every, mode, filling)
    found, _ = thresholds_of(nominal, every, np.array([stated_boost(build)]))
    return speeds_about(every, float(found[0]))


def _thresholds(maker: Assembler, shifts: Array, pieces: Sequence[_Piece]) -> Array:
    """Thresholds (samples,) of all pieces; those that lie elsewhere are looked for among all speeds."""
    found = np.concatenate([piece.thresholds for piece in pieces])
    lost = np.flatnonzero(~np.concatenate([piece.between for piece in pieces]))
    every = fine_speeds(maker.build["engine"].si("speed_limit"))
    if lost.size == 0:
        return found
    whole = maker.at_speeds(every)
    fillings = Fillings(whole)
    step = max(1, _POINTS_AT_ONCE // every.size)
    for first in range(0, lost.size, step):
        these = lost[first : first + step]
        problem = whole.problem(shifts[these], fillings.of(shifts[these]).fillings)
        found[these], _ = thresholds_of(problem, every, _stated_boost(maker, shifts[these]))
    return found


def _stated_boost(maker: Assembler, shifts: Array) -> Array:
    """Boost (k,) [Pa gauge] that each sample's threshold is stated for."""
    build = flat_build(maker.build, maker.doubts, shifts, 1)
    return np.broadcast_to(np.asarray(stated_boost(build), dtype=float), (len(shifts),))


@dataclass(frozen=True)
class _Piece:
    quantities: dict[str, Array]
    steady: NDArray[np.bool_]
    states: States
    thresholds: Array
    between: NDArray[np.bool_]


@dataclass(frozen=True)
class _Reader:
    """Solves a problem of many samples and reads its quantities, and the threshold at the speeds behind ``asked``."""

    maker: Assembler
    speed_limit: float
    only: Collection[str] | None
    keep_states: bool
    asked: int
    targets: Array | None

    def read(self, whole: Problem, shifts: Array, missed: NDArray[np.bool_] | None) -> _Piece:
        """Quantities (k,) of all points; where no filling was found, there are none."""
        k, every = len(shifts), self.maker.speeds.size
        problem, thresholds, between = whole, np.empty(0), np.empty(0, dtype=bool)
        if every > self.asked:
            places = np.arange(k * every).reshape(k, every)
            problem = points_of(whole, places[:, : self.asked].ravel())
            fine = replace(whole, points=whole.points[places[:, self.asked :].ravel()])
            own = _stated_boost(self.maker, shifts)
            thresholds, between = thresholds_of(fine, self.maker.speeds[self.asked :], own)
        if self.targets is not None:
            problem = at_targets(problem, self.targets, k)
        states = solve(problem)
        q = self._quantities(problem, states, shifts)
        turbo = self.maker.mode != "no-turbo"
        steady = steady_points(problem, states) if turbo else np.asarray(states["outcome"] == SOLVED)
        before = set(q)
        rods_of_samples(self.maker, problem, shifts, q)
        for name in set(q) - before:
            q[name] = np.where(steady, q[name], np.nan)
        if missed is not None:
            levels = 1 if self.targets is None else len(self.targets)
            lost = np.repeat(missed[:, None], levels, axis=1).ravel()
            steady = steady & ~lost
            for name, values in q.items():
                if name != "engine_speed":
                    values[lost] = np.nan
        kept = {
            name: values
            for name, values in q.items()
            if not name.endswith(_ENDS_OF_A_BAND) and (self.only is None or name in self.only)
        }
        return _Piece(kept, steady, states if self.keep_states else states[:0], thresholds, between)

    def _quantities(self, problem: Problem, states: States, shifts: Array) -> dict[str, Array]:
        points = problem.points.size // len(shifts)
        build = flat_build(self.maker.build, self.maker.doubts, shifts, points)
        return quantities_of(build, problem, states, self.speed_limit)
