"""Numbers on a sheet and in its JSON."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

__all__ = ["cell", "listed", "number", "rpm"]


def cell(value: float, decimals: int) -> str:
    """A number of a table; ``-`` where there is none."""
    if not math.isfinite(value):
        return "-"
    text = f"{value:.{decimals}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def rpm(speed: float) -> str:
    """A speed [rad/s] as text."""
    return f"{speed * 30.0 / math.pi:.0f} rpm"


def number(value: float) -> float | None:
    """A number for JSON; None where there is none."""
    return float(value) if math.isfinite(value) else None


def listed(values: NDArray[np.float64]) -> list[float | None]:
    """A row of numbers for JSON."""
    return [number(float(value)) for value in values]
