"""The filling that a known curve is turned back into, worked out once for all changes that leave that engine alone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.build.variants import Variant
from boostwright.cards.card import Card
from boostwright.components.breathing import Filling
from boostwright.tasks.known_curve import filling_of_known_curve

__all__ = ["KnownFillings"]

Array = NDArray[np.float64]
# Sections of what the engine without its turbo does not have: a curve known from it hangs on none of them.
_TURBO = frozenset({"compressor", "turbine", "wastegate", "boost_control", "limits", "plan"})


class KnownFillings:
    """Remembers fillings at the same engine speeds (n,) [rad/s]."""

    def __init__(self, speeds: Array) -> None:
        """Nothing is worked out yet."""
        self._speeds = speeds
        self._kept: dict[tuple[int, ...], tuple[Filling | None, tuple[Any, ...]]] = {}

    def of(self, variant: Variant, cards: Mapping[str, Card]) -> Filling | None:
        """The filling of a variant; None where no known curve is its source. Raises as ``filling_of_known_curve``."""
        if variant.sections["breathing"]["source"].text != "known-curve":
            return None
        own = tuple(values for name, values in variant.sections.items() if name not in _TURBO)
        key = (id(cards["fuel"]), *map(id, own))
        if key not in self._kept:
            found = filling_of_known_curve(variant.build, cards, self._speeds)
            # what the ids stand for is kept beside it, so that none is given to another
            self._kept[key] = found, (cards["fuel"], own)
        return self._kept[key][0]
