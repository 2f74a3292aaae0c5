"""Many cases solved together: each in its own mode, with the gate fully open, and at its boost threshold."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.build.variants import Variant
from boostwright.build.watched import Remembered
from boostwright.cards.card import Card
from boostwright.components.breathing import Filling
from boostwright.errors import BuildError
from boostwright.solve.case_block import Batch, Block, Patch, Patches, SharedPatches, Tables
from boostwright.solve.case_parts import Parts, PartsMaker, watched_build
from boostwright.solve.kernel.layout import MODES, SOLVED
from boostwright.solve.run import solve
from boostwright.solve.threshold import stated_boost, threshold_speeds

__all__ = ["CaseParts", "CaseSolver", "SolvedCases"]

Array = NDArray[np.float64]
States = NDArray[np.void]
_MOST_CHANGES = 2000
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
        self.patches: SharedPatches = {}
        self._fine: dict[float, PartsMaker] = {}

    def fine(self, top: float) -> PartsMaker:
        """Parts at the speeds of the threshold of an engine with this speed limit [rad/s]."""
        if top not in self._fine:
            self._fine[top] = PartsMaker(self.base, threshold_speeds(top), "gate-shut", self.own)
        return self._fine[top]


@dataclass(frozen=True, eq=False)
class _Made:
    """A case put together: its parts, its patches at its own speeds and at those of the threshold (n,) [rad/s], and
    what it was made of."""

    parts: Parts
    own: tuple[Patch, ...]
    fine: tuple[Patch, ...]
    speeds: Array
    variant: Variant
    cards: Mapping[str, Card]
    filling: Filling | None


@dataclass(frozen=True, eq=False)
class _Alone:
    """What one section changes: pieces of the parts and patches, each with its place; ``values`` are the section's,
    kept so that their identity stays theirs."""

    pieces: tuple[tuple[int, Any], ...]
    own: tuple[tuple[int, Patch], ...]
    fine: tuple[tuple[int, Patch], ...]
    speeds: Array
    values: object


def _differing(some: Sequence[Any], others: Sequence[Any]) -> tuple[tuple[int, Any], ...]:
    return tuple(
        (i, one) for i, (one, other) in enumerate(zip(some, others, strict=True)) if one is not other
    )


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
        shared = self._parts.patches
        self._own_patches = Patches(speeds, self._tables, shared)
        self._fine_patches = Patches(fine, self._tables, shared)
        self._block = Block(self.size, (self._parts.mode, "gate-open"), np.arange(speeds))
        self._coarse = np.arange(0, fine, _STRIDE)
        self._fine_block = Block(self.size, ("gate-shut",), self._coarse[:_FIRST])
        self._fine_speeds = np.zeros((self.size, fine))
        self._wanted = np.zeros(self.size)
        self._first: _Made | None = None
        self._behind: tuple[frozenset[str], ...] = ()
        self._changes: dict[tuple[str, int], _Alone] = {}

    def clear(self) -> None:
        """Begin again where the tables have grown too large; only between two batches."""
        if self._tables.full:
            self._begin()

    def put(
        self, place: int, variant: Variant, mode: str, cards: Mapping[str, Card], filling: Filling | None
    ) -> Parts:
        """A case into its place; raises BuildError as ``assemble`` does, and the place stays as it was."""
        made = self._apart(variant, cards, filling) or self._made(variant, cards, filling)
        self._block.put(place, made.own)
        self._block.points["mode"][0, place] = MODES.index(mode)
        self._fine_block.put(place, made.fine)
        self._fine_speeds[place] = made.speeds
        self._wanted[place] = made.parts.ambient.pressure + self._parts.boost(variant.sections)
        return made.parts

    def _made(self, variant: Variant, cards: Mapping[str, Card], filling: Filling | None) -> _Made:
        """A case put together from all its parts."""
        parts, names = self._parts.own.traced(variant, cards, filling)
        maker = self._parts.fine(variant.sections["engine"]["speed_limit"].si or 0.0)
        fine, fine_names = maker.traced(variant, cards, filling)
        behind = (*(one | other for one, other in zip(names, fine_names, strict=True)), frozenset({"engine"}))
        self._behind = behind if not self._behind else tuple(map(frozenset.union, self._behind, behind))
        found = _Made(
            parts,
            self._own_patches.of(parts),
            self._fine_patches.of(fine),
            maker.speeds,
            variant,
            dict(cards),
            filling,
        )
        if not variant.changed:
            self._first = found
        return found

    def _apart(self, variant: Variant, cards: Mapping[str, Card], filling: Filling | None) -> _Made | None:
        """A case put together from cases in which one of its sections is changed; None where two of them meet in some
        part, or where the build as it stands has not been seen."""
        first = self._first
        if first is None or filling is not first.filling:
            return None
        if not variant.changed:
            return first
        pieces, own, fine = list(first.parts.pieces), list(first.own), list(first.fine)
        speeds = first.speeds
        for name in variant.changed:
            alone = self._alone(first, name, variant, cards)
            if alone is None:
                return None
            for index, piece in alone.pieces:
                pieces[index] = piece
            for index, patch in alone.own:
                own[index] = patch
            for index, patch in alone.fine:
                fine[index] = patch
            if name == "engine":
                speeds = alone.speeds
        if any(len(names & variant.changed) > 1 for names in self._behind):
            return None
        return _Made(Parts.of_pieces(pieces), tuple(own), tuple(fine), speeds, variant, cards, filling)

    def _alone(self, first: _Made, name: str, variant: Variant, cards: Mapping[str, Card]) -> _Alone | None:
        """What changes with one section of a variant alone; None where that cannot be."""
        values = variant.sections[name]
        known = self._changes.get((name, id(values)))
        if known is not None:
            return known
        sections = {**first.variant.sections, name: values}
        own_cards = dict(first.cards)
        if name in own_cards or name in cards:
            own_cards.pop(name, None)
            own_cards |= {kind: card for kind, card in cards.items() if kind == name}
        only = replace(variant, sections=sections, changed=frozenset({name}))
        try:
            made = self._made(only, own_cards, first.filling)
        except BuildError:
            return None
        if len(self._changes) > _MOST_CHANGES:
            self._changes.clear()
        found = _Alone(
            _differing(made.parts.pieces, first.parts.pieces),
            _differing(made.own, first.own),
            _differing(made.fine, first.fine),
            made.speeds,
            values,
        )
        self._changes[name, id(values)] = found
        return found

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
