"""Many cases solved together: each in its own mode, with the gate fully open, and at its boost threshold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from boostwright.build.variants import Variant
from boostwright.cards.card import Card
from boostwright.components.breathing import Filling
from boostwright.solve.case_block import Batch, Block
from boostwright.solve.case_made import CaseMaker, Made
from boostwright.solve.case_parts import Parts
from boostwright.solve.kernel.layout import MODES, SOLVED
from boostwright.solve.run import solve
from boostwright.solve.threshold import threshold_speeds

if TYPE_CHECKING:
    from concurrent.futures import Executor

__all__ = ["CaseSolver", "SolvedCases"]

Array = NDArray[np.float64]
States = NDArray[np.void]
_STRIDE = (
    6  # of the fine speeds: every sixth first, then those between the two that the threshold lies between
)
_FIRST = (
    6  # of those, looked at before the rest: beyond the threshold the shut gate runs away, which takes long
)


@dataclass(frozen=True)
class SolvedCases:
    """What the solver says of k cases.

    points, states  (k, n) in each case's own mode
    floor           (k, n) states with the gate fully open
    threshold       (k,) [rad/s]; nan where the boost is not reached, -inf where the lowest speed already does
    """

    points: NDArray[np.void]
    states: States
    floor: States
    threshold: Array


class CaseSolver:
    """Up to ``size`` cases in a block; several solvers may share what puts their cases together."""

    def __init__(self, maker: CaseMaker, size: int) -> None:
        """From what makes the cases."""
        self.size, self._maker = size, maker
        self._begin()

    def _begin(self) -> None:
        """Empty blocks."""
        fine = threshold_speeds(1.0).size
        self._generation = self._maker.generation
        self._block = Block(self.size, (self._maker.mode, "gate-open"), np.arange(self._maker.speeds.size))
        self._coarse = np.arange(0, fine, _STRIDE)
        self._fine_block = Block(self.size, ("gate-shut",), self._coarse[:_FIRST])
        self._fine_speeds = np.zeros((self.size, fine))
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
        self._block.points["mode"][0, :count] = self._modes[:count, None]
        self._fine_block.put([made.fine for made in self._put])
        for place, made in enumerate(self._put):
            self._fine_speeds[place] = made.speeds
        self._arrays = self._maker.tables.arrays()

    def solve(self, workers: int | None = None, pool: Executor | None = None) -> SolvedCases:
        """Solve the cases, as ``run.solve`` does; the points returned are good until the next ones are put in."""
        self._pool = pool
        count = len(self._put)
        own = self._block.written(count)
        states = self._solved(own.reshape(-1), workers).reshape(own.shape)
        return SolvedCases(own[0], states[0], states[1], self._thresholds(count, workers))

    def _solved(self, points: NDArray[np.void], workers: int | None) -> States:
        return solve(Batch(np.ascontiguousarray(points), *self._arrays), workers, self._pool)

    def _thresholds(self, count: int, workers: int | None) -> Array:
        """Where each shut-gate balance first reaches its boost, on the fine speeds and straight between two."""
        fine = self._fine_speeds.shape[1]
        pressure = np.full((count, fine), np.nan)
        steady = np.zeros((count, fine), dtype=bool)
        reached = np.zeros((count, fine), dtype=bool)

        def look(cases: NDArray[np.intp], rows: NDArray[np.intp], points: NDArray[np.void]) -> None:
            """Rows (k, r) of cases (k,)."""
            states = self._solved(points, workers)
            at = np.broadcast_to(cases[:, None], rows.shape), rows
            steady[at] = (states["outcome"] == SOLVED).reshape(rows.shape)
            pressure[at] = states["pressure_im"].reshape(rows.shape)
            reached[at] = ~steady[at] | (pressure[at] >= self._wanted[cases][:, None])

        block, everyone = self._fine_block, np.arange(count)
        look(everyone, np.tile(self._coarse[:_FIRST], (count, 1)), block.written(count).reshape(-1))
        if (rest := everyone[~reached.any(axis=1)]).size:
            rows = np.tile(self._coarse[_FIRST:], (rest.size, 1))
            look(rest, rows, block.records(rest, rows))
        first = np.where(reached.any(axis=1), reached.argmax(axis=1), fine)
        if (inner := everyone[(first > 0) & (first < fine)]).size:
            rows = first[inner][:, None] + np.arange(1 - _STRIDE, 0)
            look(inner, rows, block.records(inner, rows))
        first = reached.argmax(axis=1)
        # where it runs away, the two steady speeds before that tell where the boost is reached
        if (away := everyone[(first > 1) & ~steady[everyone, first]]).size:
            rows = first[away][:, None] - 2
            look(away, rows, block.records(away, rows))
        return np.array(
            [self._crossing(int(case), steady[case], pressure[case], reached[case]) for case in everyone]
        )

    def _crossing(
        self, case: int, steady: NDArray[np.bool_], pressure: Array, reached: NDArray[np.bool_]
    ) -> float:
        if not reached.any():
            return float("nan")
        i = int(reached.argmax())
        if i == 0:
            return float("-inf")
        low, high = self._fine_speeds[case, i - 1], self._fine_speeds[case, i]
        j = i if steady[i] else i - 1
        if j == 0:
            return float(high)
        a, b = pressure[j - 1], pressure[j]
        start, step = (
            self._fine_speeds[case, j - 1],
            self._fine_speeds[case, j] - self._fine_speeds[case, j - 1],
        )
        found = start + (self._wanted[case] - a) / (b - a) * step if b > a else high
        return float(min(max(found, low), high))
