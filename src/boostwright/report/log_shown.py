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
_LOSS_UNIT = "Pa2 s2/(kg2 K)"
_LOSS_FLOW, _LOSS_DENSITY, _AIR = 0.1, 1.2, 287.05  # kg/s, kg/m3, J/(kg K)
_LOSS = Shown("", f"kPa at {1e3 * _LOSS_FLOW:.0f} g/s of {_LOSS_DENSITY:g} kg/m3", 1)
"""A loss coefficient K, loss = K m^2 T/p, as the loss K m^2/(R rho) at a flow and density that a person can picture."""


def how_shown(derived: Derived) -> Shown:
    """How a quantity is shown."""
    if derived.quantity.unit == _LOSS_UNIT:
        return _LOSS
    return shown(derived.quantity.name, derived.quantity.unit)


def _scale(how: Shown) -> tuple[float, float]:
    """Factor and offset from SI to the unit shown."""
    if how is _LOSS:
        return _LOSS_FLOW**2 / (_AIR * _LOSS_DENSITY) / 1e3, 0.0
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
    if how is _LOSS:
        return f"{value * _scale(how)[0]:.1f}"
    if not how.kind and abs(value) >= _LARGE:
        return f"{value:.3g}"
    return shown_number(float(values_shown(np.array([value]), how)[0]), how)


def label_of(derived: Derived) -> str:
    """Words, unit and basis for an axis: ``boost, kPa gauge``."""
    how = how_shown(derived)
    return derived.quantity.words if how.label == "-" else f"{derived.quantity.words}, {how.label}"
