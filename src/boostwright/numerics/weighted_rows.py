"""Weighted sums of many numbers at once, and the weights of a polynomial in four variables.

Compiled with leave to add in any order, which is what lets the processor add several numbers at a time; nothing else of
IEEE arithmetic is given up. The sums are those of a polynomial whose rounding error is far below its fit.
"""

from __future__ import annotations

from typing import Any

import numba

from boostwright.numerics.compiler import compiled, scratch

__all__ = ["TERMS", "chebyshev_weights", "weighted_rows"]

TERMS = 80
"""Products of four polynomials: total degree at most 4, or 5 where at least 3 of it are the last variable's. A multiple
of 16, so that the sum leaves no remainder."""

_reordering = numba.njit(cache=True, nogil=True, error_model="numpy", fastmath={"reassoc", "contract"})


@compiled
def _row_of(x: float, row: Any) -> None:
    row[0] = 1.0
    row[1] = x
    for i in range(2, 6):
        row[i] = 2.0 * x * row[i - 1] - row[i - 2]


@compiled
def chebyshev_weights(a: float, b: float, c: float, d: float, weights: Any) -> None:
    """Products of Chebyshev polynomials of four variables in [-1, 1], into (80,).

    Total degree at most 4, or 5 with at least 3 of ``d``'s. The degree of ``d`` changes fastest, that of ``a`` slowest.
    """
    first, second, third, fourth = scratch(6), scratch(6), scratch(6), scratch(6)
    _row_of(a, first)
    _row_of(b, second)
    _row_of(c, third)
    _row_of(d, fourth)
    n = 0
    for i in range(5):
        for j in range(5 - i):
            two = first[i] * second[j]
            for k in range(5 - i - j):
                three = two * third[k]
                rest = i + j + k
                for m in range(6 - rest if rest < 3 else 5 - rest):
                    weights[n] = three * fourth[m]
                    n += 1


@_reordering
def weighted_rows(rows: Any, start: int, columns: int, weights: Any, out: Any) -> None:
    """``out[j]`` = sum over 80 terms of ``weights[k] * rows[start + 80 j + k]``; columns in fours."""
    for first in range(0, columns, 4):
        s0 = s1 = s2 = s3 = 0.0
        at = start + first * 80
        for k in range(80):
            w = weights[k]
            s0 += w * rows[at + k]
            s1 += w * rows[at + 80 + k]
            s2 += w * rows[at + 160 + k]
            s3 += w * rows[at + 240 + k]
        out[first] = s0
        out[first + 1] = s1
        out[first + 2] = s2
        out[first + 3] = s3
