"""Many cases solved together: each in its own mode, with the gate fully open, and at its boost threshold."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from boostwright.build.variants import Variant
from boostwright.cards.card import Card
from boostwright.components.breathing import Filling
from boostwright.solve.case_block import Batch, Block
from boostwright.solve.case_curves import FloorCurves, Floors, ShutCurves
from boostwright.solve.case_made import CaseMaker, Made
from boostwright.solve.case_parts import Parts
from boostwright.solve.kernel.layout import MODES
from boostwright.solve.run import solve
from boostwright.solve.threshold import threshold_speeds

if TYPE_CHECKING:
    from concurrent.futures import Executor

__all__ = ["CaseSolver", "SolvedCases", "floor_curve", "shut_curve"]

Array = NDArray[np.float64]
States = NDArray[np.void]


@dataclass(frozen=True)
class SolvedCases:
    """What the solver says of k cases.

    points, states  (k, n) in each case's own mode
    floors          with the gate fully open
    threshold       (k,) [rad/s]; nan where the boost is not reached, -inf where the lowest speed already does
    """

    points: NDArray[np.void]
    states: States
    floors: Floors
    threshold: Array


def shut_curve(made: Made) -> Hashable:
    """The same for cases that have one curve with the gate shut, at the speeds of their threshold."""
    return tuple([patch.shut for patch in made.fine])


def floor_curve(made: Made) -> Hashable:
    """The same for cases that have one curve with the gate fully open."""
    return tuple([patch.floor for patch in made.own])


class CaseSolver:
    """Up to ``size`` cases in a block; several solvers may share what puts their cases together, and their curves."""

    def __init__(self, maker: CaseMaker, size: int, like: CaseSolver | None = None) -> None:
        """From what makes the cases, and a solver whose curves are shared; the two never solve at the same time."""
        self.size, self._maker = size, maker
        fine = threshold_speeds(1.0).size
        self._floors: FloorCurves = like._floors if like is not None else FloorCurves(size, maker.speeds.size)
        self._shut: ShutCurves = like._shut if like is not None else ShutCurves(size, fine)
        self._begin()

    def _begin(self) -> None:
        """An empty block."""
        self._generation = self._maker.generation
        self._block = Block(self.size, self._maker.mode, np.arange(self._maker.speeds.size))
        self._wanted = np.zeros(self.size)
        self._modes = np.zeros(self.size, dtype=np.int64)
        self._put: list[Made] = []
        self._pool: Executor | None = None

    def clear(self) -> None:
        """Take out all cases; only between two batches."""
        self._maker.clear()
        if self._maker.generation != self._generation:
            self._begin()
        self._put = []

    def put(self, variant: Variant, mode: str, cards: Mapping[str, Card], filling: Filling | None) -> Parts:
        """A case into the next place; raises BuildError as ``assemble`` does, and the place stays free."""
        made = self._maker.of(variant, cards, filling)
        place = len(self._put)
        self._wanted[place] = made.parts.ambient.pressure + self._maker.boost(variant)
        self._modes[place] = MODES.index(mode)
        self._put.append(made)
        return made.parts

    def close(self) -> None:
        """Write the records of all cases that were put in: they are ready to be solved."""
        count = len(self._put)
        self._block.put([made.own for made in self._put])
        self._block.in_modes(self._modes[:count])
        self._arrays = self._maker.tables.arrays()

    def solve(self, workers: int | None = None, pool: Executor | None = None) -> SolvedCases:
        """Solve the cases, as ``run.solve`` does; the points returned are good until the next ones are put in."""
        put, count = self._put, len(self._put)
        own = self._block.written(count)

        def states_of(points: NDArray[np.void]) -> States:
            return solve(Batch(np.ascontiguousarray(points), *self._arrays), workers, pool)

        states = states_of(own.reshape(-1)).reshape(own.shape)
        surfaces = [made.parts.compressor for made in put]
        floors = self._floors.of(
            [floor_curve(made) for made in put], [made.own for made in put], surfaces, states_of
        )
        threshold = self._shut.thresholds(
            [shut_curve(made) for made in put],
            [made.fine for made in put],
            np.array([made.speeds for made in put]),
            self._wanted[:count],
            states_of,
        )
        return SolvedCases(own, states, floors, threshold)
