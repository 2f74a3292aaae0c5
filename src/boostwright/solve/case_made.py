"""Cases put together: their parts and patches, section by section, since most parts hang on one section alone."""

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
from boostwright.solve.case_block import Patch, Patches, SharedPatches, Tables
from boostwright.solve.case_parts import Parts, PartsMaker, watched_build
from boostwright.solve.case_problem import problem_of
from boostwright.solve.problem import Problem
from boostwright.solve.threshold import stated_boost, threshold_speeds

__all__ = ["CaseMaker", "Made"]

Array = NDArray[np.float64]
_MOST_CHANGES = 2000


@dataclass(frozen=True, eq=False)
class Made:
    """A case put together: its parts, its patches at its own speeds and at those of the threshold (n,) [rad/s]."""

    parts: Parts
    own: tuple[Patch, ...]
    fine: tuple[Patch, ...]
    speeds: Array


@dataclass(frozen=True, eq=False)
class _First:
    """The build as it stands, and what it was made of."""

    made: Made
    fine: Parts
    sections: Mapping[str, Any]
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


class CaseMaker:
    """Puts together the cases of one build at the same engine speeds (n,) [rad/s], and at those of their thresholds.

    tables      surfaces and turbine tables of the cases
    generation  goes up when the tables are begun again: patches from before no longer fit
    """

    def __init__(self, base: Build, speeds: Array, mode: str) -> None:
        """From the build, the speeds and the mode most cases are in, which has a turbo."""
        self.base, self.speeds, self.mode = base, speeds, mode
        self._own = PartsMaker(base, speeds, mode)
        self._fine: dict[float, PartsMaker] = {}
        self._boost = Remembered(lambda watched: stated_boost(watched_build(base, watched)))
        self.generation = 0
        self._begin()

    def _begin(self) -> None:
        """Empty tables."""
        self.generation += 1
        self.tables = Tables()
        shared: SharedPatches = {}
        self._own_patches = Patches(self.speeds.size, self.tables, shared)
        self._fine_patches = Patches(threshold_speeds(1.0).size, self.tables, shared)
        self._first: _First | None = None
        self._behind: tuple[frozenset[str], ...] = ()
        self._apart: dict[frozenset[str], bool] = {}
        self._changes: dict[tuple[str, int], _Alone] = {}

    def clear(self) -> None:
        """Begin again where the tables have grown too large; only between two batches."""
        if self.tables.full:
            self._begin()

    def fine(self, top: float) -> PartsMaker:
        """Parts at the speeds of the threshold of an engine with this speed limit [rad/s]."""
        if top not in self._fine:
            self._fine[top] = PartsMaker(self.base, threshold_speeds(top), "gate-shut", self._own)
        return self._fine[top]

    def as_it_stands(self, speeds: Array) -> Problem | None:
        """The build as it stands with the gate shut, at the speeds of its threshold; None where it has not been put
        together, or its threshold is sought at other speeds."""
        if self._first is None or not np.array_equal(self._first.made.speeds, speeds):
            return None
        return problem_of(self._first.fine, speeds, "gate-shut")

    def of(self, variant: Variant, cards: Mapping[str, Card], filling: Filling | None) -> Made:
        """A case; raises BuildError as ``assemble`` does."""
        return self._composed(variant, cards, filling) or self._made(variant, cards, filling)

    def boost(self, variant: Variant) -> float:
        """Boost [Pa gauge] that the threshold of a variant is stated for."""
        return self._boost.of(variant.sections, variant.changed)

    def _made(self, variant: Variant, cards: Mapping[str, Card], filling: Filling | None) -> Made:
        """A case put together from all its parts."""
        parts, names = self._own.traced(variant, cards, filling)
        maker = self.fine(variant.sections["engine"]["speed_limit"].si or 0.0)
        fine, fine_names = maker.traced(variant, cards, filling)
        behind = (*(one | other for one, other in zip(names, fine_names, strict=True)), frozenset({"engine"}))
        known = behind if not self._behind else tuple(map(frozenset.union, self._behind, behind))
        if known != self._behind:
            self._behind = known
            self._apart.clear()
        found = Made(parts, self._own_patches.of(parts), self._fine_patches.of(fine), maker.speeds)
        if not variant.changed:
            self._first = _First(found, fine, variant.sections, dict(cards), filling)
        return found

    def _composed(self, variant: Variant, cards: Mapping[str, Card], filling: Filling | None) -> Made | None:
        """A case put together from cases in which one of its sections is changed; None where two of them meet in some
        part, or where the build as it stands has not been seen."""
        first = self._first
        if first is None or filling is not first.filling:
            return None
        if not variant.changed:
            return first.made
        pieces, own, fine = list(first.made.parts.pieces), list(first.made.own), list(first.made.fine)
        speeds = first.made.speeds
        for name in variant.changed:
            alone = self._changes.get((name, id(variant.sections[name])))
            alone = alone or self._alone(first, name, variant, cards)
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
        if variant.changed not in self._apart:
            self._apart[variant.changed] = all(len(names & variant.changed) < 2 for names in self._behind)
        if not self._apart[variant.changed]:
            return None
        return Made(Parts.of_pieces(pieces), tuple(own), tuple(fine), speeds)

    def _alone(self, first: _First, name: str, variant: Variant, cards: Mapping[str, Card]) -> _Alone | None:
        """What changes with one section of a variant alone; None where that cannot be."""
        values = variant.sections[name]
        own_cards = dict(first.cards)
        if name in own_cards or name in cards:
            own_cards.pop(name, None)
            own_cards |= {kind: card for kind, card in cards.items() if kind == name}
        sections = {**first.sections, name: values}
        only = replace(variant, sections=sections, changed=frozenset({name}))
        try:
            made = self._made(only, own_cards, first.filling)
        except BuildError:
            return None
        if len(self._changes) > _MOST_CHANGES:
            self._changes.clear()
        found = _Alone(
            _differing(made.parts.pieces, first.made.parts.pieces),
            _differing(made.own, first.made.own),
            _differing(made.fine, first.made.fine),
            made.speeds,
            values,
        )
        self._changes[name, id(values)] = found
        return found
