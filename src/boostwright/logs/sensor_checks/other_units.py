"""Which unit a reading would fit instead: the mixings-up that happen."""

from __future__ import annotations

__all__ = ["PRESSURE_FACTORS", "pressure_unit", "temperature_unit"]

PRESSURE_FACTORS: tuple[tuple[float, str], ...] = (
    (6.894757, "psi read as kPa"),
    (1 / 6.894757, "kPa read as psi"),
    (10.0, "a factor of ten, as mbar and kPa"),
    (0.1, "a factor of ten, as mbar and kPa"),
    (100.0, "a factor of a hundred, as bar and kPa"),
    (0.01, "a factor of a hundred, as bar and kPa"),
    (14.503774, "psi read as bar"),
    (1 / 14.503774, "bar read as psi"),
    (3.386389, "inHg read as kPa"),
    (1 / 3.386389, "kPa read as inHg"),
)
"""(true value over reading, what was mixed up)."""


def pressure_unit(reading: float, true: float, within: float = 0.04) -> str:
    """What was mixed up where another unit makes the reading true; "" where none does.

    reading, true  [Pa] on one basis; true may be off by ``within`` of itself
    """
    if reading <= 0.0 or true <= 0.0:
        return ""
    for factor, words in PRESSURE_FACTORS:
        if abs(reading * factor / true - 1.0) < within:
            return words
    return ""


def temperature_unit(reading: float, true: float, within: float) -> str:
    """The same for temperatures [K]: degF taken as degC, degC as degF; "" where neither.

    within  [K] half-width of what the true one is known to
    """
    shown = reading - 273.15
    if abs((shown - 32.0) / 1.8 + 273.15 - true) < within:
        return "degF read as degC"
    if abs(shown * 1.8 + 32.0 + 273.15 - true) < within:
        return "degC read as degF"
    return ""
