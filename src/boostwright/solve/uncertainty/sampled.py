"""Many draws of all doubts through the compiled solver, in one batch."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.cards.card import Card
from boostwright.components.breathing import Filling
from boostwright.solve.kernel.layout import SOLVED
from boostwright.solve.problem import Problem
from boostwright.solve.quantities import quantities_of, steady_points
from boostwright.solve.run import solve
from boostwright.solve.uncertainty.assembling import Assembler
from boostwright.solve.uncertainty.doubts import Doubt, doubts_of
from boostwright.solve.uncertainty.draws import draw
from boostwright.solve.uncertainty.fillings import Fillings
from boostwright.solve.uncertainty.pieces import at_targets, rods_of_samples
from boostwright.solve.uncertainty.shifted import flat_build

__all__ = ["Sampled", "sampled", "sampled_at"]

Array = NDArray[np.float64]
States = NDArray[np.void]

_POINTS_AT_ONCE = 2560
"""Points assembled, solved and read together: few enough to stay in the caches, many enough to share the overhead."""


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
    """

    doubts: tuple[Doubt, ...]
    shifts: Array
    speeds: Array
    mode: str
    seed: int
    quantities: Mapping[str, Array]
    steady: NDArray[np.bool_]
    states: States | None = None


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
    Raises BuildError as a single assembly does.
    """
    drawn = tuple(doubts_of(build, cards) if doubts is None else doubts)
    shifts = draw(drawn, samples, seed)
    maker = Assembler(build, cards, speeds, mode, filling, drawn)
    found = sampled_at(
        maker, shifts, targets=targets, speed_limit=speed_limit, only=only, keep_states=keep_states
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
) -> Sampled:
    """Samples with given shifts (samples, doubts) [-]; the rest as in ``sampled``."""
    n = maker.speeds.size
    levels = 1 if targets is None else len(targets)
    limit = maker.nominal.compressor.speed_limit if speed_limit is None else speed_limit
    fillings = Fillings(maker)
    reader = _Reader(maker, limit, only, keep_states)
    step = max(1, _POINTS_AT_ONCE // (n * levels))
    pieces: list[_Piece] = []
    # one worker solves and reads while the next samples are assembled
    with ThreadPoolExecutor(1) as pool:
        waiting: list[Future[_Piece]] = []
        for first in range(0, len(shifts), step):
            own = shifts[first : first + step]
            filled = fillings.of(own)
            problem = maker.problem(own, filled.fillings)
            if targets is not None:
                problem = at_targets(problem, targets, len(own))
            waiting.append(pool.submit(reader.read, problem, own, levels, filled.missed))
            if len(waiting) > 1:
                pieces.append(waiting.pop(0).result())
        pieces += [job.result() for job in waiting]
    shape = (len(shifts), n) if targets is None else (len(shifts), levels, n)
    names = pieces[0].quantities
    return Sampled(
        doubts=maker.doubts,
        shifts=shifts,
        speeds=maker.speeds,
        mode=maker.mode if targets is None else "target",
        seed=-1,
        quantities={
            name: np.concatenate([piece.quantities[name] for piece in pieces]).reshape(shape)
            for name in names
        },
        steady=np.concatenate([piece.steady for piece in pieces]).reshape(shape),
        states=np.concatenate([piece.states for piece in pieces]).reshape(shape) if keep_states else None,
    )


@dataclass(frozen=True)
class _Piece:
    quantities: dict[str, Array]
    steady: NDArray[np.bool_]
    states: States


@dataclass(frozen=True)
class _Reader:
    """Solves a problem of many samples and reads its quantities."""

    maker: Assembler
    speed_limit: float
    only: Collection[str] | None
    keep_states: bool

    def read(self, problem: Problem, shifts: Array, levels: int, missed: NDArray[np.bool_] | None) -> _Piece:
        """Quantities (k,) of all points; where no filling was found, there are none."""
        states = solve(problem)
        build = flat_build(self.maker.build, self.maker.doubts, shifts, self.maker.speeds.size * levels)
        q = quantities_of(build, problem, states, self.speed_limit)
        turbo = self.maker.mode != "no-turbo"
        steady = steady_points(problem, states) if turbo else np.asarray(states["outcome"] == SOLVED)
        before = set(q)
        rods_of_samples(self.maker, problem, shifts, q)
        for name in set(q) - before:
            q[name] = np.where(steady, q[name], np.nan)
        if missed is not None:
            lost = np.repeat(missed[:, None], levels, axis=1).ravel()
            steady = steady & ~lost
            for name, values in q.items():
                if name != "engine_speed":
                    values[lost] = np.nan
        kept = {name: values for name, values in q.items() if self.only is None or name in self.only}
        return _Piece(kept, steady, states if self.keep_states else states[:0])
