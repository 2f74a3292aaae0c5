"""Numbers that stand for "no value": the end of a counter's range, or rows of nines, far from all other readings."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["CODES", "missing_code", "without_codes"]

CODES = (
    *(round(top * scale, 3) for top in (65535, 65534, 32767, -32768) for scale in (1.0, 0.1, 0.01, 0.001)),
    *(16777215.0, 2147483647.0, -2147483648.0, 4294967295.0),
    *(999.0, 999.9, 9999.0, 9999.9, 99999.0, 999999.0, -999.0, -999.9, -9999.0, -99999.0),
    *(3.4028234663852886e38, -3.4028234663852886e38, 1e30, -1e30, 1e37, -1e37),
)
"""All ones in 16, 24 and 32 bits with and without sign, as they are and scaled by tenths, and what programs write
for nothing (common practice, no source).
"""

_FAR = 2.0  # times the spread of all other values, by which a code lies outside them
_SINGLE = np.array(sorted({float(np.float32(code)) for code in CODES} | {float(code) for code in CODES}))


def missing_code(values: NDArray[np.float64]) -> float | None:
    """The code that stands for no value in a column, None where none does.

    values  (n,)
    A number of ``CODES`` counts as one only where it lies further outside all the other values than twice their spread
    from smallest to largest: a speed that really climbs to 9 999 passes 9 900 on its way.
    """
    numbers = values[np.isfinite(values)]
    if not numbers.size:
        return None
    ends = [e for e in (float(numbers.max()), float(numbers.min())) if _is_code(e)]
    for end in ends:
        rest = numbers[numbers != end]
        if not rest.size:
            continue
        low, high = float(rest.min()), float(rest.max())
        other = [_is_code(e) for e in (low, high)]
        if any(other):  # a second code at the other end does not widen the spread
            rest = rest[~np.isin(rest, _SINGLE)]
            if not rest.size:
                continue
            low, high = float(rest.min()), float(rest.max())
        gap = end - high if end > high else low - end
        if gap > _FAR * (high - low) and gap > 0.0:
            return end
    return None


def _is_code(value: float) -> bool:
    at = int(np.searchsorted(_SINGLE, value))
    return at < _SINGLE.size and bool(_SINGLE[at] == value)


def without_codes(values: NDArray[np.float64]) -> tuple[NDArray[np.float64], tuple[float, ...]]:
    """The values with NaN where a code stood (the same array where none did), and the codes that were found."""
    found: list[float] = []
    while (code := missing_code(values)) is not None:
        values = np.where(values == code, np.nan, values)
        found.append(code)
    return values, tuple(found)
