"""Many cases solved together: each in its own mode, with the gate fully open, and at its boost threshold."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.build.variants import Variant
from boostwright.build.watched import Remembered
from boostwright.cards.card import Card
from boostwright.components.breathing import Filling
from boostwright.solve.case_block import Batch, Block, Patches, Tables
from boostwright.solve.case_parts import Parts, PartsMaker, watched_build
from boostwright.solve.kernel.layout import MODES, SOLVED
from boostwright.solve.run import solve
from boostwright.solve.threshold import stated_boost, threshold_speeds

__all__ = ["CaseParts", "CaseSolver", "SolvedCases"]

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


class CaseParts:
    """Parts of the cases of one build at the same engine speeds (n,) [rad/s], and at those of their thresholds."""

    def __init__(self, base: Build, speeds: Array, mode: str) -> None:
        """From the build, the speeds and the mode most cases are in, which has a turbo."""
        self.base, self.speeds, self.mode = base, speeds, mode
        self.own = PartsMaker(base, speeds, mode)
        self.boost = Remembered(lambda watched: stated_boost(watched_build(base, watched)))
        self._fine: dict[float, PartsMaker] = {}

    def fine(self, top: float) -> PartsMaker:
        """Parts at the speeds of the threshold of an engine with this speed limit [rad/s]."""
        if top not in self._fine:
            self._fine[top] = PartsMaker(self.base, threshold_speeds(top), "gate-shut")
        return self._fine[top]


class CaseSolver:
    """Up to ``size`` cases in a block; several solvers may share their parts."""

    def __init__(self, parts: CaseParts, size: int) -> None:
        """From what makes the parts."""
        self.size, self._parts = size, parts
        self._begin()

    def _begin(self) -> None:
        """Empty blocks and tables."""
        speeds = self._parts.speeds.size
        fine = threshold_speeds(1.0).size
        self._tables = Tables()
        self._own_patches, self._fine_patches = Patches(speeds, self._tables), Patches(fine, self._tables)
        self._block = Block(self.size, (self._parts.mode, "gate-open"), np.arange(speeds))
        self._coarse = np.arange(0, fine, _STRIDE)
        self._fine_block = Block(self.size, ("gate-shut",), self._coarse[:_FIRST])
        self._fine_speeds = np.zeros((self.size, fine))
        self._wanted = np.zeros(self.size)

    def clear(self) -> None:
        """Begin again where the tables have grown too large; only between two batches."""
        if self._tables.full:
            self._begin()

    def put(
        self, place: int, variant: Variant, mode: str, cards: Mapping[str, Card], filling: Filling | None
    ) -> Parts:
        """A case into its place; raises BuildError as ``assemble`` does, and the place stays as it was."""
        made = self._parts
        parts = made.own.of(variant, cards, filling)
        maker = made.fine(variant.sections["engine"]["speed_limit"].si or 0.0)
        fine = maker.of(variant, cards, filling)
        self._block.put(place, self._own_patches.of(parts))
        self._block.points["mode"][0, place] = MODES.index(mode)
        self._fine_block.put(place, self._fine_patches.of(fine))
        self._fine_speeds[place] = maker.speeds
        self._wanted[place] = parts.ambient.pressure + made.boost(variant.sections)
        return parts

    def solve(self, count: int, workers: int | None = None) -> SolvedCases:
        """Solve the first ``count`` cases; the points returned are good until another case is put in."""
        own = self._block.written(count)
        states = self._solved(own.reshape(-1), workers).reshape(own.shape)
        return SolvedCases(own[0], states[0], states[1], self._thresholds(count, workers))

    def _solved(self, points: NDArray[np.void], workers: int | None) -> States:
        return solve(Batch(np.ascontiguousarray(points), *self._tables.arrays()), workers)

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
        if not steady[i]:
            return float(high)
        share = (self._wanted[case] - pressure[i - 1]) / (pressure[i] - pressure[i - 1])
        return float(low + share * (high - low))
