"""Quantities of a log in the units people read: values, differences, and what a table prints of them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright import units
from boostwright.report.display import Shown, shown, shown_number
from boostwright.tasks.derive import Derived

__all__ = ["difference_shown", "how_shown", "label_of", "number_text", "values_shown"]

Array = NDArray[np.float64]
_LARGE = 1e4  # beyond it a number in a unit of no table is written with an exponent


def how_shown(derived: Derived) -> Shown:
    """How a quantity is shown."""
    return shown(derived.quantity.name, derived.quantity.unit)


def _scale(how: Shown) -> tuple[float, float]:
    """Factor and offset from SI to the unit shown."""
    if not how.kind:
        return 1.0, 0.0
    zero = units.convert(0.0, how.kind, how.unit)
    return units.convert(1.0, how.kind, how.unit) - zero, zero


def values_shown(values: Array, how: Shown) -> Array:
    """SI values (n,) in the unit shown."""
    factor, offset = _scale(how)
    return values * factor + offset


def difference_shown(difference: float, how: Shown) -> float:
    """A difference of SI values in the unit shown."""
    return difference * _scale(how)[0]


def number_text(value: float, how: Shown) -> str:
    """An SI value as text without its unit."""
    if not how.kind and abs(value) >= _LARGE:
        return f"{value:.3g}"
    return shown_number(float(values_shown(np.array([value]), how)[0]), how)


def label_of(derived: Derived) -> str:
    """Words, unit and basis for an axis: ``boost, kPa gauge``."""
    how = how_shown(derived)
    return derived.quantity.words if how.label == "-" else f"{derived.quantity.words}, {how.label}"
