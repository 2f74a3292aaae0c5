"""Weighted sums of many numbers at once, and the weights of a polynomial in four variables.

Compiled with leave to add in any order, which is what lets the processor add several numbers at a time; nothing else of
IEEE arithmetic is given up. The sums are those of a polynomial whose rounding error is far below its fit.
"""

from __future__ import annotations

from typing import Any

import numba

from boostwright.numerics.compiler import compiled, scratch

__all__ = [
    "TERMS",
    "chebyshev_row",
    "chebyshev_sum",
    "chebyshev_weights",
    "graded_products",
    "graded_sums",
    "weighted_rows",
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
    """Coefficients (24,) along the fourth variable of the four polynomials from ``row[start]`` on, six of each."""
    a0 = a1 = a2 = a3 = b0 = b1 = b2 = b3 = 0.0
    c0 = c1 = c2 = c3 = d0 = d1 = d2 = d3 = e0 = e1 = e2 = e3 = 0.0
    at1, at2, at3 = start + 88, start + 176, start + 264
    for n in range(36):
        w = three[n]
        a0 += w * row[start + n]
        a1 += w * row[at1 + n]
        a2 += w * row[at2 + n]
        a3 += w * row[at3 + n]
    for n in range(20):
        w = three[n]
        b0 += w * row[start + 36 + n]
        b1 += w * row[at1 + 36 + n]
        b2 += w * row[at2 + 36 + n]
        b3 += w * row[at3 + 36 + n]
    for n in range(12):
        w = three[n]
        c0 += w * row[start + 56 + n]
        c1 += w * row[at1 + 56 + n]
        c2 += w * row[at2 + 56 + n]
        c3 += w * row[at3 + 56 + n]
        d0 += w * row[start + 68 + n]
        d1 += w * row[at1 + 68 + n]
        d2 += w * row[at2 + 68 + n]
        d3 += w * row[at3 + 68 + n]
    for n in range(4):
        w = three[n]
        e0 += w * row[start + 80 + n]
        e1 += w * row[at1 + 80 + n]
        e2 += w * row[at2 + 80 + n]
        e3 += w * row[at3 + 80 + n]
    along[0], along[1], along[2], along[3], along[4], along[5] = a0, b0, c0, d0, e0, row[start + 84]
    along[6], along[7], along[8], along[9], along[10], along[11] = a1, b1, c1, d1, e1, row[at1 + 84]
    along[12], along[13], along[14], along[15], along[16], along[17] = a2, b2, c2, d2, e2, row[at2 + 84]
    along[18], along[19], along[20], along[21], along[22], along[23] = a3, b3, c3, d3, e3, row[at3 + 84]


@compiled
def chebyshev_sum(c: Any, first: int, x: float) -> float:
    """Sum of ``c[first + k] T_k(x)``, six terms."""
    x2 = 2.0 * x * x - 1.0
    x3 = 2.0 * x * x2 - x
    x4 = 2.0 * x * x3 - x2
    x5 = 2.0 * x * x4 - x3
    return (
        (c[first] + c[first + 1] * x)
        + (c[first + 2] * x2 + c[first + 3] * x3)
        + (c[first + 4] * x4 + c[first + 5] * x5)
    )
