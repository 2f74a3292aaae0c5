"""Passes over the cells of a log in machine code: slopes, holes bridged, where speed rises, the ends of a throttle.

What each means is told where it is used. Nothing here calls a compiled function of another file of ``logs``: the
compiler would not notice an edit there.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.numerics.stretches import finite_of, nth

__all__ = [
    "beat_of",
    "count_idle",
    "count_rises",
    "drop_seldom",
    "fill_cells",
    "fill_level",
    "fill_shares",
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
def beat_of(value: Any, every: Any, window: Any, counts: Any) -> Any:
    """Rows between the changes of a value that is held and renewed at a fixed beat; 1 where there is no such beat.

    Looked at in a window of so many rows at every so manieth one; counts: room, all 0, for as many rows as a beat has.
    Source: own.
    """
    changes, longest = 0, counts.shape[0]
    beat, most = 1, 0
    for told in range(2):  # first which spacing is the most frequent, then how many go by it
        for begin in range(0, value.shape[0], every):
            last = -1
            for i in range(begin + 1, min(begin + window, value.shape[0])):
                if value[i] == value[i - 1]:
                    continue
                spacing = i - last
                if last >= 0 and told:
                    rest = min(spacing % beat, beat - spacing % beat)
                    most += 1 if rest <= 1 and spacing >= beat - 1 else 0
                elif last >= 0:
                    changes += 1
                    if spacing < longest:
                        counts[spacing] += 1
                last = i
        if not told:
            for spacing in range(1, longest):
                if counts[spacing] > most:
                    beat, most = spacing, counts[spacing]
            if changes < 8 or beat < 3:
                return 1
            most = 0
    return beat if most / changes >= 0.85 else 1


@compiled
def fill_cells(stamps: Any, spans: Any, many: Any, first: Any, behind: Any, time: Any) -> Any:
    """Cells of up to ``many`` samples: the first of each, the one behind its last, and the middle of their stamps.

    stamps (r,), spans (k, 2) of samples; first, behind, time (n,): filled. Source: own.
    """
    k = 0
    for j in range(spans.shape[0]):
        a, b = spans[j, 0], spans[j, 1]
        if many == 1:  # as below, but several at once
            for i in range(b - a):
                first[k + i], behind[k + i], time[k + i] = a + i, a + i + 1, stamps[a + i]
            k += b - a
            continue
        for i in range(a, b, many):
            end = min(i + many, b)
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
    ahead, behind = values[begin + 1 : end + 1], values[begin - 1 : end - 1]
    if half % 2:
        for i in range(size):
            sums[i] = ahead[i] - behind[i]
    else:
        further, before = values[begin + 2 : end + 2], values[begin - 2 : end - 2]
        for i in range(size):
            sums[i] = (ahead[i] - behind[i]) + 2 * (further[i] - before[i])
    # two pairs at a time, each added by itself: half as many ways to the sums and back
    for k in range(2 if half % 2 else 3, half, 2):
        ahead, behind = values[begin + k : end + k], values[begin - k : end - k]
        further, before = values[begin + k + 1 : end + k + 1], values[begin - k - 1 : end - k - 1]
        for i in range(size):
            sums[i] = (sums[i] + k * (ahead[i] - behind[i])) + (k + 1) * (further[i] - before[i])


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
def drop_seldom(holds: Any, value: Any, least: Any) -> None:
    """Take away each stretch where a condition holds but less than half of the values reach ``least``, in place."""
    i, size = 0, holds.shape[0]
    while i < size:
        if not holds[i]:
            i += 1
            continue
        begin, reached = i, 0
        while i < size and holds[i]:
            reached += value[i] >= least
            i += 1
        if reached < 0.5 * (i - begin):
            holds[begin:i] = False


@compiled
def fill_shares(value: Any, spans: Any, work: Any, out: Any) -> None:
    """For each span the values with a tenth, half and nine tenths of its numbers below them; NaN where it has none.

    spans (m, 2); work: room for a span; out (m, 3): filled
    """
    for j in range(spans.shape[0]):
        size = finite_of(value, spans[j, 0], spans[j, 1], work)
        if size == 0:
            out[j] = np.nan
            continue
        low, half, high = int(0.1 * size), int(0.5 * size), min(size - 1, int(0.9 * size))
        out[j, 1] = nth(work, size, half)
        # what is below the middle now stands before it, and what is above behind it
        out[j, 0] = nth(work, half, low) if low < half else out[j, 1]
        out[j, 2] = nth(work[half:], size - half, high - half)


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
    for begin in range(0, size - count + 1, 64):
        end, beyond = min(begin + 64, size - count + 1), 0
        block = value[begin:end]
        for i in range(block.shape[0]):  # several at once; hardly any block has one
            beyond += (block[i] > high) | (block[i] < low)
        if beyond == 0:
            continue
        for i in range(begin, end):
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
    count, before, last, begin = 0, False, speed[0], speed[0]
    # whether noise rises is not to be foretold: every step is worked out alike, without a branch
    for i in range(stride, speed.shape[0], stride):
        passed = stamps[i * every] - stamps[(i - stride) * every]
        rate = (speed[i] - last) / (passed if passed > 1e-6 else 1e-6)
        rising = (rate > slowest) & (rate < fastest)
        count += before & (not rising) & (last - begin >= least)
        begin = last if rising & (not before) else begin
        before, last = rising, speed[i]
    return count + (before & (last - begin >= least))


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
