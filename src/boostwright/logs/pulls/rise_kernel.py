"""Where rises of engine speed begin and end, in one pass of machine code: trimmed, in one gear, out to the turn.

What each figure means is told in ``pieces``; here it is only worked out, on plain arrays, so that a day's drive takes
microseconds a rise. Nothing in ``logs`` but this file calls or is called by it: the compiler would not notice an edit.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.numerics.stretches import (
    count_near,
    fill_holes,
    finite_of,
    middle_of,
    most_of,
    nth,
    spread_of,
)

__all__ = ["SPAN", "rises"]

SPAN = 11
"""Figures of a rise: first and behind the last cell; 1 where another part of it is cut off before, and behind; middle
of the logarithm of the ratio, its spread, largest lead of the engine over the road, 1 where the ratio is known; first
and behind the last cell of where its slope shows it; place of its chunk.
"""

_END_SHARE = 0.1
_HOLDS = 0.25  # share of the tolerance of a ratio within which wheels beside a slip still hold
_MOST_SHARE = 0.9
_LIKE_WITHIN, _STEEPEST = 0.4, 1.6  # shares of the slope within between which what is beyond the ends goes on


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
    row[4], row[5], row[7] = np.nan, np.nan, 0.0
    size = finite_of(ratio, a, b, work)
    if size == 0:
        row[6] = 0.0
        return
    row[5], row[7] = spread_of(work, 0, size), 1.0
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
            row[2], row[3] = x > a, y < b
            row[6] = ahead - usual if ahead > -np.inf else 0.0
            _ratio_row(ratio, x, y, np.nan, row, work)
            count += 1
        last, x = hold, following
    return count


# -- out to the turn -------------------------------------------------------------------------------------------------


@compiled
def _goes_on(
    cells: Any, cut: Any, bounds: Any, usual: Any, sign: Any, here: Any, last: Any, like: Any
) -> Any:
    """True where a cell beyond an end belongs to the rise: no cut, the same gear, a slope much as within."""
    time, speed, _slope, _level, ratio, tolerance, _road = cells
    if cut[here] or abs(ratio[here] - usual) > bounds[4] + tolerance[here]:
        return False
    passed, gained = sign * (time[here] - time[last]), sign * (speed[here] - speed[last])
    return _LIKE_WITHIN * like * passed <= gained <= _STEEPEST * like * passed + 2.0 * bounds[2]


@compiled
def _out_to_the_turn(
    cells: Any, full: Any, cut: Any, rising: Any, bounds: Any, since: Any, till: Any, row: Any
) -> Any:
    """The ends led out to where speed turns, if it falls beyond: the wide slope of cells beside such a kink is part of
    the fall, and shows the rise too late or ends it too soon.

    since, till  the cells it stays within
    """
    speed, slope = cells[1], cells[2]
    a, b, reach = int(row[0]), int(row[1]), int(bounds[14])
    inside = min(reach, (b - a) // 3)
    first, last = a, b - 1
    start, end = max(since, a - reach), min(till, b + reach)
    like = slope[first + inside]
    if row[2] == 0 and start < a and slope[start] < -_LIKE_WITHIN * like:
        i = a - 1
        while i >= start and full[i] == full[a]:
            if speed[i] < speed[first] - bounds[2] and _goes_on(cells, cut, bounds, row[4], -1.0, i, a, like):
                first = i
            i -= 1
    like = slope[last - inside]
    if row[3] == 0 and end > b and slope[end - 1] < -_LIKE_WITHIN * like:
        i = b
        while i < end and full[i] == full[a] and not rising[i]:
            if speed[i] > speed[last] + bounds[2] and _goes_on(
                cells, cut, bounds, row[4], 1.0, i, b - 1, like
            ):
                last = i
            i += 1
    row[0], row[1] = first, last + 1


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
    on: Any,
    work: Any,
    out: Any,
) -> Any:
    """Rows of all rises where ``rising`` holds and the throttle is full, or where it is not.

    cells    seven (n,): time [s], speed [rad/s], slope [rad/s2], level [rad/s], logarithm of the ratio, its tolerance,
             road speed [m/s]
    full, cut, rising  (n,) as a scene has them; want: full throttle or less
    least    [rad/s] spans over which the level rises by less than nine tenths of this are passed over
    bounds   (15,)   step, error, noise, top, ratio tolerance, slowest ramp, 1 for slow samples, and cells:
                     0.3 s, 0.3 s, just behind, further behind, half a second, flare, before a flare, half of a slope
    gears    (2, g)  logarithm of each ratio and how near one is that is meant
    chunks   (m, 2)  as a grid has them
    on (n,), work (n + 1,)  room; out (k, SPAN): filled
    Returns how many rows, -1 where ``out`` is too short. Source: own.
    """
    time, speed, slope, level, ratio, tolerance, _road = cells
    count = 0
    for home in range(chunks.shape[0]):
        chunk = chunks[home]
        y, since = chunk[0], chunk[0]
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
                row[8], row[9], row[10] = row[0], row[1], home
                if bounds[6] == 0:
                    _out_to_the_turn(cells, full, cut, rising, bounds, since, chunk[1], row)
                since = max(since, int(row[1]))
    return count
