"""What is before and behind each rise of engine speed, and its figures, in machine code.

What each figure means is told in ``pieces``. Nothing in ``logs`` but this file calls or is called by it: the compiler
would not notice an edit there.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.numerics.stretches import (
    all_of,
    any_of,
    ends_of,
    finite_of,
    least_of,
    line_through,
    middle_of,
    most_of,
    nth,
)

__all__ = ["CODES", "ROW", "described"]

CODES = (
    "", "wheel-slip", "throttle-opened", "lifted", "data-gap", "log-ends", "fuel-cut", "speed-falls", "speed-held",
    "gear-change", "limiter", "throttle-not-full",
)  # fmt: skip
"""What is before or behind a rise; a row holds the place in here."""
_SLIP, _OPENED, _LIFTED, _GAP, _ENDS, _CUT, _FALLS, _HELD, _SHIFT, _LIMITER, _PART = range(1, 12)

ROW = 15
"""Figures of a rise: first and behind the last cell, what is before, what is behind, middle of the logarithm of the
ratio, its spread, largest lead of the engine over the road, speed at both ends, highest road speed, least-squares
slope, sum of squares of time about its mean, slope in the slowest and in the fastest tenth, 1 where the ratio is known.
"""

_RPM = 0.10471975511965977
_TOP_SHARE = 0.965
_FLARE = 1.6


@compiled
def _before(slope: Any, full: Any, cut: Any, bounds: Any, chunk: Any, border: Any, a: Any) -> Any:
    """What is just before a rise."""
    if a <= chunk[0] + 1:
        return _OPENED if border == 0 else _GAP if border == 1 else _ENDS
    k = max(chunk[0], a - int(bounds[7]))
    if not all_of(full, k, a):
        return _OPENED
    if any_of(cut, k, a):
        return _CUT
    return _FALLS if least_of(slope, k, a) < -max(60 * _RPM, 4.0 * bounds[1]) else _HELD


@compiled
def _shifted(
    slope: Any,
    level: Any,
    ratio: Any,
    full: Any,
    bounds: Any,
    gears: Any,
    usual: Any,
    b: Any,
    far: Any,
    work: Any,
) -> Any:
    """True where another gear is in soon after: by the ratio, or without one by a fall and a new rise."""
    lowest = b
    for i in range(b + 1, far):
        lowest = i if level[i] < level[lowest] else lowest
    if level[lowest] > 0.92 * level[b - 1]:
        return False
    size = finite_of(ratio, b, far, work)
    if np.isfinite(usual) and size > 0:
        some = min(size, int(bounds[11]))
        for i in range(some):
            work[i] = work[size - some + i]
        last = nth(work, some, min(some - 1, some // 2))
        if not last < usual - 0.08:
            return False
        known = False
        for k in range(gears.shape[1]):
            known = known or abs(gears[0, k] - last) <= gears[1, k]
        return known
    return most_of(slope, lowest, far) > bounds[5] and any_of(full, lowest, far)


@compiled
def _slips(ratio: Any, tolerance: Any, bounds: Any, usual: Any, b: Any, near: Any, work: Any) -> Any:
    """True where engine speed runs ahead of road speed behind a rise."""
    ahead = most_of(ratio, max(0, b - int(bounds[8])), near)
    if not (np.isfinite(usual) and ahead > -np.inf):
        return False
    size = finite_of(tolerance, b - 1, near, work)
    if size == 0:
        return False
    half = nth(work, size, size // 2)
    if size % 2 == 0:
        half = 0.5 * (half + nth(work, size, size // 2 - 1))
    return ahead - usual > bounds[4] + half


@compiled
def _behind(
    slope: Any,
    level: Any,
    ratio: Any,
    tolerance: Any,
    full: Any,
    cut: Any,
    bounds: Any,
    gears: Any,
    chunk: Any,
    border: Any,
    row: Any,
    work: Any,
) -> Any:
    """What is just behind a rise."""
    a, b, usual = int(row[0]), int(row[1]), row[4]
    if b >= chunk[1] - 1:
        return _LIFTED if border == 0 else _GAP if border == 1 else _ENDS
    near, far = min(chunk[1], b + int(bounds[9])), min(chunk[1], b + int(bounds[10]))
    if _shifted(slope, level, ratio, full, bounds, gears, usual, b, far, work):
        return _SHIFT
    if full[a] and not all_of(full, b, min(near, b + int(bounds[7]))):
        return _LIFTED
    last = level[b - 1]
    high = last > _TOP_SHARE * bounds[3]
    if any_of(cut, max(a, b - 2), near):
        return _LIMITER if high else _CUT
    drop = last - least_of(level, b, near)
    if high and drop < 0.08 * last and all_of(full, b, near):
        return _LIMITER
    if drop < max(40 * _RPM, 4.0 * bounds[2]) and abs(level[near - 1] - last) < 0.03 * last:
        return _HELD
    if _slips(ratio, tolerance, bounds, usual, b, near, work):
        return _SLIP
    if not full[a]:
        return _PART
    return _FALLS if all_of(full, b, near) else _LIFTED


@compiled
def _without_flare(slope: Any, bounds: Any, shown: Any, row: Any, work: Any) -> Any:
    """Cut where the rise runs away before it falls back at full throttle: wheels spin, and no road speed tells."""
    a, b = int(row[0]), shown
    if np.isfinite(row[4]) or not (row[3] == _FALLS or row[3] == _SHIFT):
        return
    late = max(a, b - int(bounds[12]))
    if late - a < 3:
        return
    usual = middle_of(slope, max(a, late - int(bounds[13])), late, 0.5, work)
    first = late
    while first < b and not slope[first] > _FLARE * usual:
        first += 1
    if first == b or most_of(slope, late, b) < 1.25 * _FLARE * usual or first - a < 2:
        return
    row[1], row[3] = first, _SLIP


@compiled
def _figures(
    time: Any, speed: Any, slope: Any, road: Any, line: Any, x: Any, y: Any, row: Any, work: Any
) -> Any:
    """Road speed and, where it is asked for, the line through a rise; x, y: the cells whose slope is its own."""
    a, b = int(row[0]), int(row[1])
    row[9] = 0.0
    for i in range(a, b):
        if road[i] > row[9] or road[i] != road[i]:  # once NaN it stays so
            row[9] = road[i]
    row[10], row[11], row[12], row[13] = np.nan, np.nan, np.nan, np.nan
    if not line:
        return
    row[10], row[11] = line_through(time, speed, a, b)
    size = finite_of(slope, x, y, work)  # a slope is never anything else
    row[12] = nth(work, size, int(0.1 * size))
    row[13] = nth(work, size, min(size - 1, int(0.9 * size)))


@compiled
def described(
    cells: Any,
    full: Any,
    cut: Any,
    line: Any,
    bounds: Any,
    gears: Any,
    chunks: Any,
    borders: Any,
    work: Any,
    spans: Any,
    out: Any,
) -> None:
    """Rows of rises with what is beside them and their figures, from the spans that ``rise_kernel`` finds.

    cells, full, cut, bounds, gears, chunks, work  as there; borders (m, 2) as a grid has them
    line   True: a line is laid through each
    spans  (k, SPAN); out (k, ROW): filled
    Source: own.
    """
    time, speed, slope, level, ratio, tolerance, road = cells
    for k in range(spans.shape[0]):
        span, row = spans[k], out[k]
        chunk, border = chunks[int(span[10])], borders[int(span[10])]
        row[0], row[1], row[4], row[5], row[6], row[14] = span[0], span[1], span[4], span[5], span[6], span[7]
        row[2] = _SLIP if span[2] else _before(slope, full, cut, bounds, chunk, border[0], int(row[0]))
        row[3] = _SLIP
        if not span[3]:
            row[3] = _behind(
                slope, level, ratio, tolerance, full, cut, bounds, gears, chunk, border[1], row, work
            )
        _without_flare(slope, bounds, int(span[9]), row, work)
        row[7], row[8] = ends_of(speed, int(row[0]), int(row[1]))
        _figures(time, speed, slope, road, line, int(span[8]), min(int(span[9]), int(row[1])), row, work)
