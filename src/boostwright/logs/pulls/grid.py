"""Engine speed in cells, coarse over all the log, finer where it is worth a look; other channels in the same cells."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.pulls.grid_kernel import beat_of, fill_cells
from boostwright.logs.series import Series
from boostwright.numerics.cells import cell_means, every_nth, in_a_row, steps_of

__all__ = [
    "GAP",
    "LOG_ENDS",
    "WINDOW",
    "Grid",
    "Samples",
    "fine_grid",
    "look_over",
    "onto",
    "samples_of",
    "true_samples",
]

_Floats = NDArray[np.float64]
_Whole = NDArray[np.intp]
_FINE = 0.05
"""Finest cell [s]: a pull of 2 s still has 40 of them."""
_COARSE = 0.2
_GAP_STEPS = 3.0
_WINDOW, _LONGEST_BEAT = 3000, 200
_FAST = 0.11
_SPIKE, _LOST = 0.12, 0.6
"""A single sample off both neighbours by so much is a lost reading: no engine does that within two tenths of a second,
and on slower samples only a fall to almost nothing is taken for one."""
WINDOW, GAP, LOG_ENDS = 0, 1, 2
"""What is beyond the border of a chunk: more of the log that is not looked at, a hole in it, nothing."""


@dataclass(frozen=True, eq=False)
class Samples:
    """The true samples of engine speed.

    time    (r,) [s], value (r,) [rad/s]
    step    [s]  usual time between them
    breaks  the samples behind each hole
    held    the file had repeated each until the next one came
    shared  rows share stamps
    alike   by the identity of a series: whether it has these very stamps and no beat of its own
    """

    time: _Floats
    value: _Floats
    step: float
    breaks: _Whole
    held: bool
    shared: bool
    alike: dict[int, bool] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Grid:
    """Engine speed in cells.

    time    (n,) [s]  middle of a cell
    speed   (n,) [rad/s]
    step    [s]  usual time from cell to cell
    chunks  (m, 2)  first and behind the last cell of each stretch without a gap
    borders (m, 2)  what is before and behind each: WINDOW, GAP or LOG_ENDS
    samples what the cells are made of
    stride  a cell is every so manieth sample; 0: a cell is the mean of its samples
    first   (n,) the sample such a mean begins with; behind (n,) the one behind its last; (0,) where there are none
    """

    time: _Floats
    speed: _Floats
    step: float
    chunks: _Whole
    borders: _Whole
    samples: Samples
    first: _Whole
    behind: _Whole
    stride: int


def true_samples(series: Series) -> tuple[_Floats, _Floats, bool]:
    """Stamps and values that were really measured, in order of time; True where the file had repeated them.

    Rows without a number go; a value that is repeated at a fixed beat until the next one comes counts once.
    """
    found = samples_of(series, np.inf)
    return found.time, found.value, found.held


def samples_of(series: Series, gap: float) -> Samples:
    """The true samples of a series.

    gap  [s]  a hole is longer than this and than some usual steps
    """
    time, value = (np.ascontiguousarray(one, dtype=np.float64) for one in (series.time, series.value))
    if value.size == 0:
        return Samples(time, value, 0.0, np.zeros(0, dtype=np.intp), False, False)
    step = _usual(time)
    steps = steps_of(time, value, max(gap, _GAP_STEPS * step))
    if not (steps.in_order and steps.numbers):
        some = np.isfinite(value) & np.isfinite(time)
        time, value = time[some], value[some]
        if time.size and np.any(np.diff(time) < 0):
            order = np.argsort(time, kind="stable")
            time, value = time[order], value[order]
        step = _usual(time)
        steps = steps_of(time, value, max(gap, _GAP_STEPS * step))
    beat = _beat(value)
    if beat == 1:
        return Samples(time, value, step, steps.above, False, steps.shared)
    kept = _one_a_beat(value, beat)
    time, value = time[kept], value[kept]
    step = _usual(time)
    above = steps_of(time, value, max(gap, _GAP_STEPS * step)).above
    return Samples(time, value, step, above, True, steps.shared)


def _beat(value: _Floats) -> int:
    """Rows between the changes of a value that is held and renewed at a fixed beat; 1 where there is no such beat."""
    every = max(_WINDOW, value.size // 4)
    return int(beat_of(value, every, _WINDOW, np.zeros(_LONGEST_BEAT, dtype=np.intp)))


def _one_a_beat(value: _Floats, beat: int) -> _Whole:
    """Row of each new value, and one a beat while it stays the same."""
    changed = np.concatenate(([0], np.flatnonzero(value[1:] != value[:-1]) + 1))
    length = np.diff(np.concatenate((changed, [value.size])))
    count = np.maximum(1, np.rint(length / beat).astype(np.intp))
    within = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    return np.asarray(np.repeat(changed, count) + within * beat, dtype=np.intp)


def _usual(time: _Floats) -> float:
    """Usual time between samples: the median of differences at some thousand places."""
    if time.size < 2:
        return 0.0
    every = max(1, time.size // 2048)
    steps = time[1::every] - time[:-1:every]
    usual = float(np.median(steps))
    if (
        usual <= 0 or np.mean(steps == 0) > 0.02
    ):  # rows share stamps: by the mean of the steps but for the longest
        usual = float(np.mean(np.sort(steps)[: max(1, int(0.99 * steps.size))]))
    return usual if usual > 0 else float((time[-1] - time[0]) / (time.size - 1))


def look_over(samples: Samples) -> Grid | None:
    """Every fifth of a second of a log; None where there are fewer than three samples or no time passes."""
    if samples.time.size < 3 or samples.step <= 0:
        return None
    stride = max(1, int(_COARSE / samples.step + 1e-6))
    size = -(-samples.time.size // stride)
    edges = np.concatenate(([0], -(-samples.breaks // stride), [size])).astype(np.intp)
    chunks = np.stack((edges[:-1], edges[1:]), axis=1)
    borders = np.full_like(chunks, GAP)
    borders[0, 0] = borders[-1, 1] = LOG_ENDS
    some = chunks[:, 1] > chunks[:, 0]  # between two holes there may be too little for a cell
    chunks, borders = chunks[some], borders[some]
    time, speed = samples.time[::stride], samples.value[::stride].copy()
    none = np.zeros(0, dtype=np.intp)
    return Grid(time, speed, stride * samples.step, chunks, borders, samples, none, none, stride)


def fine_grid(samples: Samples, spans: _Whole) -> Grid:
    """Cells of a twentieth of a second, or single samples where these come more slowly.

    spans  (k, 2)  the samples to look at, from and behind the last, in order, none overlapping; holes part them further
    """
    many = max(1, int(_FINE / samples.step + 1e-6))
    spans = _parted(spans, samples.breaks)
    counts = -(-(spans[:, 1] - spans[:, 0]) // many)
    sizes = np.concatenate(([0], np.cumsum(counts))).astype(np.intp)
    chunks = np.stack((sizes[:-1], sizes[1:]), axis=1)
    first, behind = np.empty(sizes[-1], dtype=np.intp), np.empty(sizes[-1], dtype=np.intp)
    time = np.empty(sizes[-1])
    fill_cells(samples.time, spans, many, first, behind, time)
    borders = np.full_like(chunks, WINDOW)
    if samples.breaks.size:
        borders[np.isin(spans, samples.breaks)] = GAP
    borders[spans[:, 0] == 0, 0] = LOG_ENDS
    borders[spans[:, 1] == samples.time.size, 1] = LOG_ENDS
    speed = cell_means(samples.value, first, behind, _SPIKE if samples.step <= _FAST else _LOST)
    step = many * samples.step
    if samples.shared:
        time = _evened(time, max(2, round(0.3 / step)), chunks)
    return Grid(time, speed, step, chunks, borders, samples, first, behind, 0)


def _parted(spans: _Whole, breaks: _Whole) -> _Whole:
    """Spans cut at the breaks within them."""
    if not breaks.size or not spans.size:
        return spans
    parts = []
    for a, b in spans:
        within = breaks[(breaks > a) & (breaks < b)]
        edges = [int(a), *within.tolist(), int(b)]
        parts += list(itertools.pairwise(edges))
    return np.array(parts, dtype=np.intp)


def _evened(stamps: _Floats, half: int, chunks: _Whole) -> _Floats:
    """Stamps that rows share, spread by a running mean; the ends of a chunk by the slope within it."""
    out = stamps.copy()
    if stamps.size <= 2 * half:
        return out
    out[half:-half] = np.convolve(stamps, np.full(2 * half + 1, 1.0 / (2 * half + 1)), "valid")
    for a, b in chunks:
        if b - a <= 2 * half + 1:
            out[a:b] = np.linspace(stamps[a], stamps[b - 1], b - a) if b - a > 2 else stamps[a:b]
            continue
        rate = (out[b - half - 1] - out[a + half]) / (b - a - 2 * half - 1)
        out[a : a + half] = out[a + half] - rate * np.arange(half, 0, -1)
        out[b - half : b] = out[b - half - 1] + rate * np.arange(1, half + 1)
    return out


def onto(
    grid: Grid, series: Series, *, nearest: bool = False, cells: _Whole | None = None
) -> tuple[_Floats, float]:
    """A channel on the grid, NaN where it has no sample near, and the usual time between its true samples [s].

    nearest  the nearest sample and not a line between two: for what jumps between samples
    cells    those that are wanted, an array of any shape; None for all
    On the stamps of the engine speed, with a number in each cell, it has the grid's own; else it is interpolated.
    """
    alike = grid.samples.alike
    if id(series) not in alike:
        alike[id(series)] = _like(series, grid.samples.time)
    if alike[id(series)]:
        value = np.ascontiguousarray(series.value, dtype=np.float64)
        found, known = _own_cells(grid, value, cells)
        if known:
            return found, grid.samples.step
    at = grid.time if cells is None else grid.time[cells]
    time, value, _ = true_samples(series)
    if time.size < 2:
        return np.full(at.shape, np.nan), np.inf
    step = _usual(time)
    many = max(1, int(grid.step / step + 1e-6)) if step > 0 else 1
    if many > 1:
        first = np.arange(0, time.size, many)
        behind = np.append(first[1:], time.size)
        time, value = 0.5 * (time[first] + time[behind - 1]), cell_means(value, first, behind)
    out = np.interp(at, time, value)
    near = max(1.0, 3.0 * max(step, grid.step))
    right = np.minimum(np.searchsorted(time, at), time.size - 1)
    left = np.maximum(right - 1, 0)
    ahead, behind_it = np.abs(time[right] - at), np.abs(at - time[left])
    if nearest:
        out = np.where(ahead < behind_it, value[right], value[left])
    away = np.minimum(ahead, behind_it)
    out[away > near] = np.nan
    return out, step


def _own_cells(grid: Grid, value: _Floats, cells: _Whole | None) -> tuple[_Floats, bool]:
    """A channel on the stamps of the engine speed in the cells of a grid, and True where each is a number."""
    if grid.stride:
        if cells is None:
            return every_nth(value, grid.stride)
        found = value[cells * grid.stride]
        return found, bool(np.isfinite(found.sum()))
    if grid.step == grid.samples.step:  # a cell is a sample
        spans = np.stack((grid.first[grid.chunks[:, 0]], grid.behind[grid.chunks[:, 1] - 1]), axis=1)
        found, known = in_a_row(value, spans)
    else:
        found = cell_means(value, grid.first, grid.behind)
        known = bool(np.isfinite(found.sum()))
    return (found if cells is None else found[cells]), known


def _like(series: Series, stamps: _Floats) -> bool:
    """True where a channel has these very stamps and no beat of its own."""
    same = series.time is stamps or np.array_equal(series.time, stamps)
    return same and _beat(np.ascontiguousarray(series.value, dtype=np.float64)) == 1
