"""Weighted sums of many numbers at once, and the weights of a polynomial in four variables.

Compiled with leave to add in any order, which is what lets the processor add several numbers at a time; nothing else of
IEEE arithmetic is given up. The sums are those of a polynomial whose rounding error is far below its fit.
"""

from __future__ import annotations

from typing import Any

import numba

from boostwright.numerics.compiler import compiled, scratch
from boostwright.numerics.graded_order import GRADED

__all__ = [
    "TERMS",
    "chebyshev_row",
    "chebyshev_weights",
    "graded_products",
    "graded_sums",
    "graded_weights",
    "weighted_rows",
    "weighted_three",
]

TERMS = 80
"""Products of four polynomials: total degree at most 4, or 5 where at least 3 of it are the last variable's. A multiple
of 16, so that the sum leaves no remainder."""

_reordering = numba.njit(cache=True, nogil=True, error_model="numpy", fastmath={"reassoc", "contract"})


@compiled
def chebyshev_row(x: float, row: Any) -> None:
    """Chebyshev polynomials of degree 0 to 5 at ``x``, into (6,)."""
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
    chebyshev_row(a, first)
    chebyshev_row(b, second)
    chebyshev_row(c, third)
    chebyshev_row(d, fourth)
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
def weighted_three(row: Any, start: int, weights: Any) -> tuple[float, float, float]:
    """Sums of three polynomials of 88 numbers each from ``row[start]`` on."""
    s0 = s1 = s2 = 0.0
    for k in range(GRADED):
        w = weights[k]
        s0 += w * row[start + k]
        s1 += w * row[start + GRADED + k]
        s2 += w * row[start + 2 * GRADED + k]
    return s0, s1, s2


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


@compiled
def graded_products(a: float, b: float, c: float, three: Any) -> None:
    """Products of Chebyshev polynomials of three variables by total degree, 0 to 4, into (36,); the last is zero.

    Written out, since a loop over their degrees takes three times as long; a test holds the order.
    """
    a2, b2, c2 = 2.0 * a * a - 1.0, 2.0 * b * b - 1.0, 2.0 * c * c - 1.0
    a3, b3, c3 = 2.0 * a * a2 - a, 2.0 * b * b2 - b, 2.0 * c * c2 - c
    a4, b4, c4 = 2.0 * a * a3 - a2, 2.0 * b * b3 - b2, 2.0 * c * c3 - c2
    three[0] = 1.0
    three[1], three[2], three[3] = c, b, a
    three[4], three[5], three[6] = c2, b * c, b2
    three[7], three[8], three[9] = a * c, a * b, a2
    three[10], three[11], three[12], three[13] = c3, b * c2, b2 * c, b3
    three[14], three[15], three[16] = a * c2, a * b * c, a * b2
    three[17], three[18], three[19] = a2 * c, a2 * b, a3
    three[20], three[21], three[22], three[23], three[24] = c4, b * c3, b2 * c2, b3 * c, b4
    three[25], three[26], three[27], three[28] = a * c3, a * b * c2, a * b2 * c, a * b3
    three[29], three[30], three[31] = a2 * c2, a2 * b * c, a2 * b2
    three[32], three[33], three[34] = a3 * c, a3 * b, a4
    three[35] = 0.0


@_reordering
def graded_sums(row: Any, start: int, three: Any, along: Any) -> None:
    """Coefficients (6,) along the fourth variable of the polynomial at ``row[start]``, the other three summed over."""
    s0 = s1 = s2 = s3 = s4 = 0.0
    for n in range(36):
        s0 += three[n] * row[start + n]
    for n in range(20):
        s1 += three[n] * row[start + 36 + n]
    for n in range(12):
        s2 += three[n] * row[start + 56 + n]
        s3 += three[n] * row[start + 68 + n]
    for n in range(4):
        s4 += three[n] * row[start + 80 + n]
    along[0], along[1], along[2], along[3], along[4] = s0, s1, s2, s3, s4
    along[5] = row[start + 84]


@compiled
def graded_weights(three: Any, d: float, weights: Any) -> None:
    """Weights (88,) of all four variables from the products of three."""
    d2 = 2.0 * d * d - 1.0
    d3 = 2.0 * d * d2 - d
    d4 = 2.0 * d * d3 - d2
    for n in range(36):
        weights[n] = three[n]
    for n in range(20):
        weights[36 + n] = three[n] * d
    for n in range(12):
        weights[56 + n] = three[n] * d2
        weights[68 + n] = three[n] * d3
    for n in range(4):
        weights[80 + n] = three[n] * d4
    weights[84] = 2.0 * d * d4 - d3
