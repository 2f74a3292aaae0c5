"""The order in which a polynomial in four variables is laid out where it must be summed fast."""

from __future__ import annotations

import itertools

__all__ = ["GRADED", "GRADED_ORDER"]

_OF_THREE = tuple(
    sorted((d for d in itertools.product(range(5), repeat=3) if sum(d) <= 4), key=lambda d: (sum(d), d))
)
_BLOCKS = (36, 20, 12, 12, 4, 4)  # room for the terms of one degree of the fourth variable, in fours
_HIGHEST = (4, 3, 2, 2, 1, 0)  # total degree of the other three beside it

GRADED = 88
"""Numbers of one polynomial: by the degree of the fourth variable, and within it by the total degree of the other
three, so that every block begins with the same products; unused places are zero."""

GRADED_ORDER: tuple[tuple[int, ...] | None, ...] = tuple(
    (*_OF_THREE[n], m) if n < len(_OF_THREE) and sum(_OF_THREE[n]) <= _HIGHEST[m] else None
    for m, size in enumerate(_BLOCKS)
    for n in range(size)
)
"""Degrees of the four variables at each of the 88 places; None where there is no term."""
