"""Readings in words: the units people read, made from SI."""

from __future__ import annotations

from boostwright.logs.mapping.names import channel_of

__all__ = ["apart", "reading", "unit_of"]

_RPM = 0.10471975511965977


def unit_of(name: str) -> str:
    """SI unit of a channel."""
    found = channel_of(name)
    return found[0].si if found else "1"


def reading(name: str, value: float) -> str:
    """A reading of a channel [SI] in words: "98.3 kPa", "812 degC", "4200 rpm"."""
    unit = unit_of(name)
    if unit == "K":
        return f"{value - 273.15:.0f} degC"
    return apart(name, value)


def apart(name: str, value: float) -> str:
    """A difference of two readings of a channel [SI] in words: "3.1 kPa", "12 K"."""
    unit = unit_of(name)
    if unit == "Pa":
        return f"{value / 1e3:.1f} kPa"
    if unit == "K":
        return f"{value:.1f} K" if abs(value) < 20 else f"{value:.0f} K"
    if unit == "rad/s":
        return f"{value / _RPM:.0f} rpm"
    if unit == "m/s":
        return f"{value * 3.6:.1f} km/h"
    if unit == "kg/s":
        return f"{value * 1e3:.1f} g/s"
    return f"{value:.3g}" if unit == "1" else f"{value:.4g} {unit}"
