"""A build held ready: changes laid over it are assembled from parts that are made once, and solved.

The functions are those of ``predict``, and so are the numbers; only what a change does not touch is not made again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.build.variants import Variant, Variants
from boostwright.build.watched import Remembered
from boostwright.cards.card import Card
from boostwright.cards.look_up import find_card
from boostwright.components.closed_cycle import CycleModel
from boostwright.components.cycle_table import CycleBox, CycleTable
from boostwright.components.fuel_blend import fuel_card
from boostwright.components.known_curve import settings_of_old_engine
from boostwright.solve.case_parts import Parts, PartsMaker, watched_build
from boostwright.solve.case_problem import points_of, problem_with
from boostwright.solve.cycle_store import cycle_table, near_table
from boostwright.solve.problem import Problem
from boostwright.tasks.known_filling import KnownFillings

__all__ = ["Assembled", "LiveBase"]

Array = NDArray[np.float64]
_KINDS = ("compressor", "turbine", "wastegate")
_MANY, _MOST = 200, 1500
"""Changes after which a base had better be made anew, and after which it must be: it remembers parts of every one."""


@dataclass(frozen=True)
class Assembled:
    """A change ready to be solved: the build it makes, its cards, its mode, and the problem."""

    build: Build
    cards: Mapping[str, Card]
    mode: str
    problem: Problem


class LiveBase:
    """One build at the same engine speeds (n,) [rad/s]."""

    def __init__(self, build: Build, speeds: Array) -> None:
        """From the build as it stands in the file. Raises BuildError or CardError where it cannot be predicted."""
        self.build, self.speeds = build, speeds
        self._variants = Variants(build)
        self._makers: dict[tuple[bool, bool], PartsMaker] = {}
        self._fuel = self._of(fuel_card)
        self._cards = {kind: self._of(_card_of(kind)) for kind in _KINDS}
        self._fillings = KnownFillings(speeds)
        self._changes = 0
        self._primed = False
        self._known = self.assembled(()).problem.cycle

    @property
    def tired(self) -> bool:
        """True when it would be good to begin again."""
        return self._changes > _MANY

    @property
    def worn(self) -> bool:
        """True when it is time to begin again."""
        return self._changes > _MOST

    def assembled(self, settings: Sequence[str], rough: bool = False) -> Assembled:
        """The build with ``section.key=value`` laid over it. Raises BuildError or CardError as ``predict`` does.

        rough  True takes a table of closed cycles near that of the build as it stands where it would have to be made
        """
        self._changes += 1
        variant = self._variants.of(settings)
        mode = variant.sections["prediction"]["mode"].text or ""
        cards = self._cards_of(variant)
        filling = self._fillings.of(variant, cards)
        if mode == "no-turbo" and filling is not None:
            # the engine of the known curve has its own intake and exhaust
            old = settings_of_old_engine(variant.build)
            variant = self._variants.of((*settings, *old))
        parts = self._maker(mode, rough).of(variant, cards, filling)
        return Assembled(variant.build, cards, mode, self._problem(parts, mode))

    def prime(self) -> None:
        """Work out beforehand, once, what the first change of the closed cycle would wait for."""
        if self._primed:
            return
        self._primed = True
        burn = self._known.model.burn
        other = replace(self._known.model, burn=replace(burn, wiebe_factor=1.001 * burn.wiebe_factor))
        cycle_table(other, self._known.box, measured=False)
        near_table(other, self._known.box, self._known)

    def _of(self, function: Any) -> Remembered[Any]:
        return Remembered(lambda watched: function(watched_build(self.build, watched)))

    def _maker(self, mode: str, rough: bool) -> PartsMaker:
        """What makes the parts, with a turbo or without one."""
        key = (mode != "no-turbo", rough)
        if key not in self._makers:
            other = next(iter(self._makers.values()), None)
            if not rough:
                self._makers[key] = PartsMaker(self.build, self.speeds, mode, other)
            else:
                self._makers[key] = PartsMaker(self.build, self.speeds, mode, other, self._near)
        return self._makers[key]

    def _near(self, model: CycleModel, box: CycleBox) -> CycleTable:
        """A table near that of the build as it stands."""
        return near_table(model, box, self._known)

    def _cards_of(self, variant: Variant) -> dict[str, Card]:
        values = variant.sections
        found = {"fuel": self._fuel(values)}
        return found | {kind: card for kind in _KINDS if (card := self._cards[kind](values)) is not None}

    def _problem(self, parts: Parts, mode: str) -> Problem:
        """The parts as ``assemble`` would put them together."""
        return problem_with(points_of(parts, self.speeds, mode), parts, self.speeds)


def _card_of(kind: str) -> Any:
    def card(build: Build) -> Card | None:
        section = build[kind]
        return find_card(kind, section.text("card"), build.folder) if section.has("card") else None

    return card
