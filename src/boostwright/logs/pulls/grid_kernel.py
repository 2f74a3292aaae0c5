"""Passes over the cells of a log in machine code: slopes, holes bridged, where speed rises, the ends of a throttle.

What each means is told where it is used. Nothing here calls a compiled function of another file of ``logs``: the
compiler would not notice an edit there.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled

__all__ = [
    "count_idle",
    "count_rises",
    "fill_cells",
    "fill_level",
    "fill_slopes",
    "fill_stalls",
    "held_time",
    "highest_kept",
    "keep_rising",
    "kept_ends",
    "steeper",
]

_BLOCK = 512


@compiled
def fill_cells(stamps: Any, spans: Any, many: Any, first: Any, behind: Any, time: Any) -> Any:
    """Cells of up to ``many`` samples: the first of each, the one behind its last, and the middle of their stamps.

    stamps (r,), spans (k, 2) of samples; first, behind, time (n,): filled. Source: own.
    """
    k = 0
    for j in range(spans.shape[0]):
        for i in range(spans[j, 0], spans[j, 1], many):
            end = min(i + many, spans[j, 1])
            first[k], behind[k], time[k] = i, end, 0.5 * (stamps[i] + stamps[end - 1])
            k += 1


@compiled
def fill_slopes(time: Any, value: Any, half: Any, chunks: Any, room: Any, out: Any) -> Any:
    """Slope through ``2 half + 1`` points round each, never across the border of a chunk; 0 where there is none.

    time, value (n,), chunks (m, 2); room (2, _BLOCK or more); out (n,): filled
    With weights k = -half ... half it is sum(k y) / sum(k t), exact on a straight line whatever the stamps. Source: the
    least-squares line on even stamps.
    """
    for home in range(chunks.shape[0]):
        a, b = chunks[home, 0], chunks[home, 1]
        if b - a <= 2 * half:
            rise = 0.0
            if b - a > 1 and time[b - 1] > time[a]:
                rise = (value[b - 1] - value[a]) / (time[b - 1] - time[a])
            for i in range(a, b):
                out[i] = rise if np.isfinite(rise) else 0.0
            continue
        begin = a + half
        while begin < b - half:
            end = min(begin + _BLOCK, b - half)
            above, below, slopes = room[0], room[1], out[begin:end]
            _weighed(value, begin, end, half, above)
            _weighed(time, begin, end, half, below)
            for i in range(end - begin):
                rise = above[i] / below[i]
                slopes[i] = rise if np.isfinite(rise) else 0.0
            begin = end
        for i in range(half):
            out[a + i], out[b - 1 - i] = out[a + half], out[b - half - 1]


@compiled
def _weighed(values: Any, begin: Any, end: Any, half: Any, sums: Any) -> Any:
    """Sum of k times the k-th neighbour round each point of a block; by pairs, so that equal parts cancel first."""
    size = end - begin
    for i in range(size):
        sums[i] = 0.0
    for k in range(1, half + 1):
        ahead, behind = values[begin + k : end + k], values[begin - k : end - k]
        for i in range(size):
            sums[i] += k * (ahead[i] - behind[i])


@compiled
def steeper(slope: Any, near: Any, least: Any) -> Any:
    """Put the near slope in place of the wide one where it is steeper than that and than ``least``."""
    for i in range(slope.shape[0]):
        if near[i] > max(least, slope[i]):
            slope[i] = near[i]


@compiled
def fill_level(value: Any, half: Any, chunks: Any, out: Any) -> Any:
    """Mean of ``2 half + 1`` points round each; the ends of a chunk as they are."""
    share = 1.0 / (2 * half + 1)
    for home in range(chunks.shape[0]):
        a, b = chunks[home, 0], chunks[home, 1]
        for i in range(a, b):
            out[i] = value[i]
        size = b - a - 2 * half
        if size <= 0:
            continue
        inner = out[a + half : b - half]
        for i in range(size):
            inner[i] = 0.0
        for k in range(2 * half + 1):
            shifted = value[a + k : a + k + size]
            for i in range(size):
                inner[i] += share * shifted[i]


@compiled
def fill_stalls(slope: Any, aside: Any, least: Any, out: Any) -> Any:
    """Mark cells whose slope is far below that on both sides, ``aside`` cells away."""
    size = slope.shape[0]
    for i in range(size):
        out[i] = False
    if size <= 2 * aside:
        return
    here, left, right = slope[aside : size - aside], slope[: size - 2 * aside], slope[2 * aside :]
    inner = out[aside : size - aside]
    for i in range(size - 2 * aside):
        side = min(left[i], right[i])
        inner[i] = (here[i] < 0.3 * side) & (side - here[i] > least)


@compiled
def keep_rising(rises: Any, slope: Any, lowest: Any, stalls: Any, cut: Any) -> None:
    """Take from where speed rises what falls faster than ``lowest``, stalls or is cut, in place."""
    for i in range(rises.shape[0]):
        rises[i] = rises[i] & (slope[i] > lowest) & (not stalls[i]) & (not cut[i])


@compiled
def highest_kept(value: Any) -> Any:
    """The highest value that two neighbours reach; 0 at least."""
    highest = 0.0
    for i in range(value.shape[0] - 1):
        if value[i] > highest and value[i + 1] > highest:
            highest = min(value[i], value[i + 1])
    return highest


@compiled
def kept_ends(value: Any, count: Any) -> Any:
    """The lowest and the highest value that ``count`` neighbours keep; NaN where there are fewer. None is NaN."""
    size = value.shape[0]
    low, high = np.inf, -np.inf
    if size < count:
        return np.nan, np.nan
    for i in range(size - count + 1):
        if value[i] > high:
            least = value[i]
            for k in range(i + 1, i + count):
                least = value[k] if value[k] < least else least
            high = least if least > high else high
        if value[i] < low:
            most = value[i]
            for k in range(i + 1, i + count):
                most = value[k] if value[k] > most else most
            low = most if most < low else low
    return low, high


@compiled
def count_idle(stamps: Any, every: Any, speed: Any, value: Any, stride: Any, bounds: Any, change: Any) -> Any:
    """How many of every ``stride`` cells have a number and a speed between two bounds that changes by less than
    ``change`` a second, half a second at least; a cell is every ``every``-th stamp."""
    count = 0
    for i in range(0, speed.shape[0], stride):
        if bounds[0] < speed[i] < bounds[1] and np.isfinite(value[i]):
            before = max(i - stride, 0)
            passed = max(stamps[i * every] - stamps[before * every], 0.5)
            count += 1 if i == 0 or abs(speed[i] - speed[before]) < change * passed else 0
    return count


@compiled
def count_rises(
    stamps: Any, every: Any, speed: Any, stride: Any, slowest: Any, fastest: Any, least: Any
) -> Any:
    """How often speed rises by ``least`` in one go, looked at every ``stride`` cells; stamps as for ``count_idle``."""
    count, begin, i = 0, -1, stride
    while i < speed.shape[0]:
        gained = speed[i] - speed[i - stride]
        rising = False
        if gained > 0.0 or slowest < 0.0:
            rising = slowest < gained / max(stamps[i * every] - stamps[(i - stride) * every], 1e-6) < fastest
        if rising and begin < 0:
            begin = i - stride
        if begin >= 0 and not rising:
            count += 1 if speed[i - stride] - speed[begin] >= least else 0
            begin = -1
        i += stride
    if begin >= 0:
        count += 1 if speed[i - stride] - speed[begin] >= least else 0
    return count


@compiled
def held_time(time: Any, slope: Any, level: Any, flat: Any, spans: Any, out: Any) -> Any:
    """For each span of cells its highest level and for how long in all the slope stays below ``flat``, each time for a
    second at least. spans (m, 2); out (m, 2): filled.
    """
    for j in range(spans.shape[0]):
        highest, seconds, begin = -np.inf, 0.0, -1
        for i in range(spans[j, 0], spans[j, 1] + 1):
            inside = i < spans[j, 1]
            if inside:
                highest = max(highest, level[i])
            holds = inside and abs(slope[i]) < flat
            if holds and begin < 0:
                begin = i
            if begin >= 0 and not holds:
                lasted = time[i - 1] - time[begin]
                seconds += lasted if lasted >= 1.0 else 0.0
                begin = -1
        out[j, 0], out[j, 1] = highest, seconds
