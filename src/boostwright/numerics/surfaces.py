"""C1 surfaces over two variables: rows along the first, a normalised coordinate along the second.

A *strip surface* holds rows at rising values of a row variable. Every row carries a few scalars and a few fields
sampled at equal steps of a coordinate from 0 to 1. Rows are joined by cubic Hermite pieces, so that everything is
continuous with its first derivatives. This file holds what is common: slopes, placing of rows, packing. What the
numbers mean is the caller's business.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "BUCKETS",
    "HEADER",
    "hermite_on_grid",
    "limited_slopes",
    "monotone_slopes",
    "pack_strip_surface",
    "rounded_chords",
]

Array = NDArray[np.float64]

HEADER = 16
"""Numbers before the row positions: 0 rows, 1 steps of the coordinate, 2 scalars a row, 3 fields a row, 4
buckets a unit of the row variable, 5 start of the row positions, 6 start of the row blocks, 7 length of a row block,
8 to 15 free for the caller."""

BUCKETS = 256
"""Equal buckets over the row variable that tell the search where to start."""


def monotone_slopes(x: Array, y: Array) -> Array:
    """Slopes of the monotone cubic through points (weighted harmonic mean of the neighbouring chords).

    x  (n,)  strictly rising, n >= 2
    y  (n,)  values
    Returns (n,), in units of y over x. The end slopes are the three-point ones, limited so that no overshoot
    appears.
    Source: Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300, from memory (the same rule as the
    piecewise cubic of the scientific library it is tested against).
    """
    h = np.diff(x)
    d = np.diff(y) / h
    n = len(x)
    if n == 2:
        return np.array([d[0], d[0]])
    s = np.zeros(n)
    w1 = 2.0 * h[1:] + h[:-1]
    w2 = h[1:] + 2.0 * h[:-1]
    same = d[:-1] * d[1:] > 0.0
    with np.errstate(divide="ignore", invalid="ignore"):
        harmonic = (w1 + w2) / (w1 / d[:-1] + w2 / d[1:])
    s[1:-1] = np.where(same, harmonic, 0.0)
    s[0] = _end_slope(h[0], h[1], d[0], d[1])
    s[-1] = _end_slope(h[-1], h[-2], d[-1], d[-2])
    return s


def limited_slopes(x: Array, y: Array, slopes: Array) -> Array:
    """Slopes made small enough that the cubic between neighbours never turns: at most three times either chord.

    x, y, slopes  (n,)  x strictly rising
    Returns (n,). Where the chords on both sides differ in sign the slope becomes 0. Sums of such curves with positive
    weights do not turn either where all of them go the same way.
    Source: Fritsch and Carlson, SIAM J. Numer. Anal. 17 (1980) 238, from memory (a sufficient condition)."""
    chord = np.diff(y) / np.diff(x)
    before, after = np.append(chord[:1], chord), np.append(chord, chord[-1:])
    same = before * after > 0.0
    bound = 3.0 * np.minimum(np.abs(before), np.abs(after))
    signed = np.sign(before) * np.clip(np.sign(before) * slopes, 0.0, bound)
    return np.where(same, signed, 0.0)


def _end_slope(h0: float, h1: float, d0: float, d1: float) -> float:
    slope = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1)
    if slope * d0 <= 0.0:
        return 0.0
    if d0 * d1 <= 0.0 and abs(slope) > 3.0 * abs(d0):
        return 3.0 * d0
    return float(slope)


def hermite_on_grid(x: Array, y: Array, s: Array, grid: Array) -> tuple[Array, Array]:
    """Value and slope of a cubic Hermite curve at the points of a grid.

    x, y, s  (n,)  knots (rising), values, slopes
    grid     (m,)  where to evaluate, inside [x[0], x[-1]]
    Returns two (m,): values and slopes.
    """
    i = np.clip(np.searchsorted(x, grid, side="right") - 1, 0, len(x) - 2)
    h = x[i + 1] - x[i]
    t = (grid - x[i]) / h
    y0, y1, m0, m1 = y[i], y[i + 1], s[i] * h, s[i + 1] * h
    a = 2.0 * y0 - 2.0 * y1 + m0 + m1
    b = -3.0 * y0 + 3.0 * y1 - 2.0 * m0 - m1
    return ((a * t + b) * t + m0) * t + y0, ((3.0 * a * t + 2.0 * b) * t + m0) / h


def rounded_chords(
    q: Array, values: Array, above: Array, *, outer: float, share: float = 0.15
) -> tuple[Array, Array, Array]:
    """Rows that give straight chords between given rows, corners rounded, the given rows kept exactly.

    q       (n,)    row variable of the given rows, rising, all > 0, n >= 2
    values  (n, k)  what each row holds
    above   (k,)    slope with which to go on above the last row
    outer   position of one more row above the last, at which that slope has died away
    share   half width of a rounded corner as a share of the smaller neighbouring gap
    Returns positions (m,), values (m, k), slopes (m, k). Below the first given row everything is constant
    down to 0.
    """
    n = len(q)
    chords = np.vstack([np.zeros_like(above), np.diff(values, axis=0) / np.diff(q)[:, None], above])
    edges = np.concatenate([[0.0], q, [outer]])
    positions, out, slopes = [0.0], [values[0]], [chords[0]]
    for j in range(n):
        r = share * min(edges[j + 1] - edges[j], edges[j + 2] - edges[j + 1])
        before, after = chords[j], chords[j + 1]
        positions += [q[j] - r, q[j], q[j] + r]
        out += [values[j] - r * before, values[j], values[j] + r * after]
        # In the corner itself the gentler of the two slopes, or none: nothing overshoots a row.
        gentler = np.where(np.abs(before) < np.abs(after), before, after)
        slopes += [before, np.where(before * after > 0.0, gentler, 0.0), after]
    # From slope ``above`` to none over what is left: a parabola.
    rest = outer - positions[-1]
    positions.append(outer)
    out.append(out[-1] + 0.5 * rest * above)
    slopes.append(np.zeros_like(above))
    return np.array(positions), np.array(out), np.array(slopes)


def pack_strip_surface(q: Array, scalars: Array, scalar_slopes: Array, fields: Array) -> Array:
    """One flat table from rows.

    q              (m,)           row variable, rising from 0
    scalars        (m, k)         scalars of each row, and
    scalar_slopes  (m, k)         their slopes over the row variable
    fields         (m, n, f, 4)   at each step of the coordinate: value, slope over the coordinate, slope
                                  over the row
                                  variable, mixed slope
    Returns a contiguous 1-D table: header, bucket starts, row positions, then a block a row (scalars and slopes in
    pairs, then the fields step by step).
    """
    m, k = scalars.shape
    n, f = fields.shape[1], fields.shape[2]
    block = 2 * k + n * f * 4
    per_unit = BUCKETS / q[-1]
    edges = np.arange(BUCKETS + 1) / per_unit
    first = np.clip(np.searchsorted(q, edges, side="right") - 1, 0, m - 2)
    header = np.zeros(HEADER)
    header[:8] = [m, n, k, f, per_unit, HEADER + BUCKETS + 1, HEADER + BUCKETS + 1 + m, block]
    pairs = np.stack([scalars, scalar_slopes], axis=2).reshape(m, 2 * k)
    blocks = np.concatenate([pairs, fields.reshape(m, n * f * 4)], axis=1)
    return np.ascontiguousarray(np.concatenate([header, first.astype(float), q, blocks.ravel()]))
