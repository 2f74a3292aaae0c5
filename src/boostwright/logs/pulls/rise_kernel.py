"""Rises of engine speed in one pass of machine code: trimmed, in one gear, with what is before and behind each.

What each figure means is told in ``pieces``; here it is only worked out, on plain arrays, so that a day's drive takes
microseconds a rise. Nothing in ``logs`` but this file calls or is called by it: the compiler would not notice an edit.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.numerics.stretches import (
    all_of,
    any_of,
    count_near,
    ends_of,
    fill_holes,
    finite_of,
    least_of,
    line_through,
    middle_of,
    most_of,
    nth,
    spread_of,
)

__all__ = ["CODES", "ROW", "rises"]

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
_END_SHARE = 0.1
_TOP_SHARE = 0.965
_FLARE = 1.6
_HOLDS = 0.25  # share of the tolerance of a ratio within which wheels beside a slip still hold
_MOST_SHARE = 0.9


# -- where a rise begins and ends ------------------------------------------------------------------------------------


@compiled
def _trimmed(
    time: Any, speed: Any, slope: Any, full: Any, bounds: Any, chunk: Any, a: Any, b: Any, work: Any
) -> Any:
    """Without ends that hardly rise; on slow samples out to the last one before the turn."""
    if min(slope[a], slope[b - 1]) < _END_SHARE * most_of(
        slope, a, b
    ):  # else it is steep enough for any middle
        least = _END_SHARE * middle_of(slope, a, b, 0.5, work)
        while a < b and not slope[a] >= least:
            a += 1
        while b > a and not slope[b - 1] >= least:
            b -= 1
    if bounds[6] > 0 and b - a >= 2:  # slow samples
        return _to_the_turn(time, speed, full, chunk, a, b, work)
    return a, b


@compiled
def _to_the_turn(time: Any, speed: Any, full: Any, chunk: Any, a: Any, b: Any, work: Any) -> Any:
    """One cell more at each end where speed rises to it much as within: slopes of slow samples miss the last one."""
    size = 0
    for i in range(a + 1, b):
        rate = (speed[i] - speed[i - 1]) / (time[i] - time[i - 1])
        if rate == rate:
            work[size] = rate
            size += 1
    k = min(b - a - 2, (b - a - 1) // 2)
    least = 0.4 * nth(work, size, k) if k < size else np.nan
    end = b
    if b < chunk[1] and full[b] == full[b - 1] and speed[b] - speed[b - 1] > least * (time[b] - time[b - 1]):
        end = b + 1
    if a > chunk[0] and full[a - 1] == full[a] and speed[a] - speed[a - 1] > least * (time[a] - time[a - 1]):
        a -= 1
    return a, end


# -- in one gear -----------------------------------------------------------------------------------------------------


@compiled
def _usual_ratio(ratio: Any, a: Any, b: Any, tolerance: Any, gears: Any, work: Any) -> Any:
    """The ratio most of the rise has: its median where nearly all is there, else of the gear with most of it."""
    size = finite_of(ratio, a, b, work)
    best = nth(work, size, min(size - 1, size // 2))
    most = count_near(ratio, a, b, best, tolerance)
    if most > _MOST_SHARE * size:
        return best
    for k in range(gears.shape[1]):
        count = count_near(ratio, a, b, gears[0, k], tolerance)
        if count > 1.1 * most:
            best, most = gears[0, k], count
    size = 0
    for i in range(a, b):
        if abs(ratio[i] - best) < tolerance:
            work[size] = ratio[i]
            size += 1
    return nth(work, size, min(size - 1, size // 2)) if size > 0 else best


@compiled
def _ratio_row(ratio: Any, a: Any, b: Any, centre: Any, row: Any, work: Any) -> Any:
    """Middle of the known ratios of a rise (that given where it is a number) and their spread."""
    row[4], row[5], row[14] = np.nan, np.nan, 0.0
    size = finite_of(ratio, a, b, work)
    if size == 0:
        row[6] = 0.0
        return
    row[5], row[14] = spread_of(work, 0, size), 1.0
    row[4] = centre if centre == centre else nth(work, size, min(size - 1, size // 2))


@compiled
def _on_ratio(time: Any, ratio: Any, tolerance: Any, bounds: Any, usual: Any, a: Any, b: Any, on: Any) -> Any:
    """Cells of a rise whose ratio is that of the gear, moments off it bridged; True where any is off."""
    off = False
    for i in range(a, b):
        on[i] = not abs(ratio[i] - usual) > bounds[4] + tolerance[i]
        off = off or not on[i]
    if not off:
        return False
    fill_holes(on, time, a, b, max(0.15, 1.2 * bounds[0]))
    return True


@compiled
def _in_one_gear(
    time: Any,
    ratio: Any,
    tolerance: Any,
    bounds: Any,
    gears: Any,
    a: Any,
    b: Any,
    on: Any,
    out: Any,
    count: Any,
    work: Any,
) -> Any:
    """The rise cut where the ratio is off its gear for more than a moment, as rows; how many rows there are then."""
    row = out[count]
    row[0], row[1] = a, b
    row[2], row[3], row[6] = 0.0, 0.0, 0.0
    usual = np.nan
    if finite_of(ratio, a, b, work) > 0:
        usual = _usual_ratio(ratio, a, b, bounds[4] + tolerance[a + (b - a) // 2], gears, work)
    if usual != usual or not _on_ratio(time, ratio, tolerance, bounds, usual, a, b, on):
        _ratio_row(ratio, a, b, usual, row, work)
        return count + 1
    x, last = a, a
    while x < b:
        if not on[x]:
            x += 1
            continue
        y = x
        while y < b and on[y]:
            y += 1
        following = y
        while following < b and not on[following]:
            following += 1
        grip, hold = x, y
        if x > a:  # a slip comes and goes by and by: what is left begins and ends where the wheels still hold
            while x < hold and ratio[x] - usual > _HOLDS * bounds[4]:
                x += 1
        if y < b:
            while y > x and ratio[y - 1] - usual > _HOLDS * bounds[4]:
                y -= 1
        if y - x >= 2:
            ahead = max(most_of(ratio, last, grip), most_of(ratio, hold, following))
            row = out[count]
            row[0], row[1] = x, y
            row[2], row[3] = _SLIP if x > a else 0, _SLIP if y < b else 0
            row[6] = ahead - usual if ahead > -np.inf else 0.0
            _ratio_row(ratio, x, y, np.nan, row, work)
            count += 1
        last, x = hold, following
    return count


# -- what is before and behind ---------------------------------------------------------------------------------------


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
def _without_flare(speed: Any, slope: Any, bounds: Any, row: Any, work: Any) -> Any:
    """Cut where the rise runs away before it falls back at full throttle: wheels spin, and no road speed tells."""
    a, b = int(row[0]), int(row[1])
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
    row[7], row[8] = ends_of(speed, a, first)


@compiled
def _figures(time: Any, speed: Any, slope: Any, road: Any, line: Any, row: Any, work: Any) -> Any:
    """Road speed and, where it is asked for, the line through a rise."""
    a, b = int(row[0]), int(row[1])
    row[9] = 0.0
    for i in range(a, b):
        if road[i] > row[9] or road[i] != road[i]:  # once NaN it stays so
            row[9] = road[i]
    row[10], row[11], row[12], row[13] = np.nan, np.nan, np.nan, np.nan
    if not line:
        return
    row[10], row[11] = line_through(time, speed, a, b)
    size = finite_of(slope, a, b, work)  # a slope is never anything else
    row[12] = nth(work, size, int(0.1 * size))
    row[13] = nth(work, size, min(size - 1, int(0.9 * size)))


@compiled
def rises(
    cells: Any,
    full: Any,
    cut: Any,
    rising: Any,
    want: Any,
    least: Any,
    bounds: Any,
    gears: Any,
    chunks: Any,
    borders: Any,
    on: Any,
    work: Any,
    out: Any,
) -> Any:
    """Rows of all rises where ``rising`` holds and the throttle is full, or where it is not.

    cells    seven (n,): time [s], speed [rad/s], slope [rad/s2], level [rad/s], logarithm of the ratio, its tolerance,
             road speed [m/s]
    full, cut, rising  (n,) as a scene has them; want: full throttle or less
    least    [rad/s] spans over which the level rises by less than nine tenths of this are passed over
    bounds   (14,)   step, error, noise, top, ratio tolerance, slowest ramp, 1 for slow samples, and cells:
                     0.3 s, 0.3 s, just behind, further behind, half a second, flare, before a flare
    gears    (2, g)  logarithm of each ratio and how near one is that is meant
    chunks, borders (m, 2) as a grid has them
    on (n,), work (n + 1,)  room; out (k, ROW): filled
    Lines are laid through the rises at full throttle only. Returns how many rows, -1 where ``out`` is too short.
    Source: own.
    """
    time, speed, slope, level, ratio, tolerance, road = cells
    count = 0
    for home in range(chunks.shape[0]):
        chunk = chunks[home]
        y = chunk[0]
        while y < chunk[1]:
            x = y
            while x < chunk[1] and not (rising[x] and full[x] == want):
                x += 1
            y = x
            while y < chunk[1] and rising[y] and full[y] == want:
                y += 1
            if y - x < 1 or (least > 0 and not level[min(y, level.shape[0] - 1)] - level[x] >= 0.9 * least):
                continue
            a, b = _trimmed(time, speed, slope, full, bounds, chunk, x, y, work)
            if b - a < 2:
                continue
            if count + (b - a) // 2 + 1 > out.shape[0]:
                return -1
            begin = count
            count = _in_one_gear(time, ratio, tolerance, bounds, gears, a, b, on, out, count, work)
            for k in range(begin, count):
                row = out[k]
                if row[2] == 0:
                    row[2] = _before(slope, full, cut, bounds, chunk, borders[home, 0], int(row[0]))
                if row[3] == 0:
                    ends = borders[home, 1]
                    row[3] = _behind(
                        slope, level, ratio, tolerance, full, cut, bounds, gears, chunk, ends, row, work
                    )
                row[7], row[8] = ends_of(speed, int(row[0]), int(row[1]))
                _without_flare(speed, slope, bounds, row, work)
                _figures(time, speed, slope, road, want, row, work)
    return count
