"""Engine speed on a grid coarse enough to search and no finer than it was sampled; other channels brought onto it."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.pulls.rules import PullRules
from boostwright.logs.series import Series
from boostwright.numerics.cells import cell_means, steps_above, sum_and_spikes, without_spikes

__all__ = ["GAP", "LOG_ENDS", "WINDOW", "Grid", "make_grid", "onto", "true_samples"]

_Floats = NDArray[np.float64]
_Whole = NDArray[np.intp]
_STEP = 0.05
"""Finest step of the grid [s]: a pull of 2 s still has 40 of them."""
_GAP_STEPS = 3.0
_WINDOW = 3000
_FAST = 0.11
_SPIKE, _LOST = 0.12, 0.6
"""A single sample off both neighbours by so much is a lost reading: no engine does that within two tenths of a second,
and on slower samples only a fall to almost nothing is taken for one."""
WINDOW, GAP, LOG_ENDS = 0, 1, 2
"""What is beyond the border of a chunk: more of the log that is not looked at, a hole in it, nothing."""


@dataclass(frozen=True, eq=False)
class Grid:
    """Engine speed in cells.

    time    (n,) [s]  middle of the stamps in a cell
    speed   (n,) [rad/s]
    step    [s]  usual time from cell to cell
    chunks  (m, 2)  first and behind the last cell of each stretch without a gap
    borders (m, 2)  what is before and behind each: WINDOW, GAP or LOG_ENDS
    raw     (r,) [s]  stamps of the true samples
    first   (n,) the sample a cell begins with; behind (n,) the one behind its last
    raw_step [s]  usual time between true samples
    held    samples had been repeated in the file until the next one came
    whole   False for some windows of it
    """

    time: _Floats
    speed: _Floats
    step: float
    chunks: _Whole
    borders: _Whole
    raw: _Floats
    first: _Whole
    behind: _Whole
    raw_step: float
    held: bool
    whole: bool = True

    def windows(self, near: _Whole) -> tuple[Grid, _Whole]:
        """The grid of some windows only, and which cells they are.

        near  (k, 2)  first and behind the last cell of each window, in order, none overlapping nor across a gap
        """
        which = (
            np.concatenate([np.arange(a, b) for a, b in near]) if len(near) else np.zeros(0, dtype=np.intp)
        )
        edges = np.cumsum(np.concatenate(([0], near[:, 1] - near[:, 0]))).astype(np.intp)
        chunks = np.stack((edges[:-1], edges[1:]), axis=1)
        borders = np.zeros_like(chunks)
        home = np.searchsorted(self.chunks[:, 0], near[:, 0], side="right") - 1
        begins, ends = near[:, 0] == self.chunks[home, 0], near[:, 1] == self.chunks[home, 1]
        borders[begins, 0] = self.borders[home[begins], 0]
        borders[ends, 1] = self.borders[home[ends], 1]
        small = Grid(
            self.time[which],
            self.speed[which],
            self.step,
            chunks,
            borders,
            self.raw,
            self.first[which],
            self.behind[which],
            self.raw_step,
            self.held,
            whole=False,
        )
        return small, which


def true_samples(series: Series) -> tuple[_Floats, _Floats, bool]:
    """Stamps and values that were really measured, in order of time; True where the file had repeated them.

    Rows without a number go; a value that is repeated at a fixed beat until the next one comes counts once.
    """
    return _samples(series, np.inf)[:3]


def _samples(series: Series, gap: float) -> tuple[_Floats, _Floats, bool, _Whole, bool]:
    """The same, the samples behind each gap (longer than ``gap`` and some usual steps), whether rows share stamps."""
    time, value = series.time, series.value
    if value.size == 0:
        return time, value, False, np.zeros(0, dtype=np.intp), False
    limit = max(gap, _GAP_STEPS * _usual(time)) if np.isfinite(gap) else gap
    least, breaks = steps_above(time, limit)
    if np.isnan(least) or least < 0 or not np.isfinite(value.sum()):
        some = np.isfinite(value) & np.isfinite(time)
        time, value = time[some], value[some]
        if time.size and np.any(np.diff(time) < 0):
            order = np.argsort(time, kind="stable")
            time, value = time[order], value[order]
        limit = max(gap, _GAP_STEPS * _usual(time)) if np.isfinite(gap) else gap
        least, breaks = steps_above(time, limit)
    coarse = least == 0.0
    beat = _beat(value)
    if beat == 1:
        return time, value, False, breaks, coarse
    kept = _one_a_beat(value, beat)
    time, value = time[kept], value[kept]
    limit = max(gap, _GAP_STEPS * _usual(time)) if np.isfinite(gap) else gap
    return time, value, True, steps_above(time, limit)[1], coarse


def _beat(value: _Floats) -> int:
    """Rows between the changes of a value that is held and renewed at a fixed beat; 1 where there is no such beat."""
    spacings = []
    for begin in range(0, value.size, max(_WINDOW, value.size // 4)):
        window = value[begin : begin + _WINDOW]
        spacings.append(np.diff(np.flatnonzero(window[1:] != window[:-1])))
    spacing = np.concatenate(spacings)
    if spacing.size < 8:
        return 1
    counts = np.bincount(spacing[spacing < 200]) if (spacing < 200).any() else np.zeros(1, dtype=np.intp)
    beat = int(counts.argmax())
    if beat < 3:
        return 1
    rest = np.minimum(spacing % beat, beat - spacing % beat)
    return beat if np.mean((rest <= 1) & (spacing >= beat - 1)) >= 0.85 else 1


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
    at = np.arange(1, time.size, max(1, time.size // 2048))
    steps = time[at] - time[at - 1]
    usual = float(np.median(steps))
    if (
        usual <= 0 or np.mean(steps == 0) > 0.02
    ):  # rows share stamps: by the mean of the steps but for the longest
        usual = float(np.mean(np.sort(steps)[: max(1, int(0.99 * steps.size))]))
    return usual if usual > 0 else float((time[-1] - time[0]) / (time.size - 1))


def make_grid(series: Series, rules: PullRules) -> Grid | None:
    """The grid of an engine speed; None where it has fewer than three samples."""
    time, value, held, breaks, coarse = _samples(series, rules.largest_gap)
    usual = _usual(time)
    if time.size < 3 or usual <= 0:
        return None
    edges = np.concatenate(([0], breaks, [time.size]))
    many = max(1, int(_STEP / usual + 1e-6))
    starts = [np.arange(a, b, many) for a, b in itertools.pairwise(edges)]
    sizes = np.cumsum([0, *(s.size for s in starts)]).astype(np.intp)
    first = np.concatenate(starts) if len(starts) > 1 else starts[0]
    chunks = np.stack((sizes[:-1], sizes[1:]), axis=1)
    borders = np.full_like(chunks, GAP)
    borders[0, 0] = borders[-1, 1] = LOG_ENDS
    behind = np.append(first[1:], time.size)
    share = _SPIKE if usual <= _FAST else _LOST
    if sum_and_spikes(value, share)[1]:
        value = without_spikes(value, share)
    means = value if many == 1 else cell_means(value, first)
    stamps = time if many == 1 else 0.5 * (time[first] + time[behind - 1])
    if coarse:
        stamps = _evened(stamps, max(2, round(0.3 / (many * usual))), chunks)
    return Grid(stamps, means, many * usual, chunks, borders, time, first, behind, usual, held)


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


def _like(series: Series, stamps: _Floats) -> bool:
    """True where a channel has these very stamps, a number in every row and no beat of its own."""
    if series.time is not stamps and not np.array_equal(series.time, stamps):
        return False
    return bool(np.isfinite(series.value.sum())) and _beat(series.value) == 1


def onto(grid: Grid, series: Series) -> tuple[_Floats, float]:
    """A channel on the grid, NaN where it has no sample near, and the usual time between its true samples [s].

    On the stamps of the engine speed, with no row left out, its cells are the grid's own; else it is interpolated.
    """
    if grid.whole and _like(series, grid.raw):
        if grid.time.size == grid.raw.size:
            return series.value, grid.step
        return cell_means(series.value, grid.first), grid.raw_step
    time, value, _ = true_samples(series)
    if time.size < 2:
        return np.full(grid.time.size, np.nan), np.inf
    step = _usual(time)
    many = max(1, int(grid.step / step + 1e-6)) if step > 0 else 1
    if many > 1:
        first = np.arange(0, time.size, many)
        time, value = cell_means(time, first), cell_means(value, first)
    out = np.interp(grid.time, time, value)
    near = max(1.0, 3.0 * max(step, grid.step))
    right = np.minimum(np.searchsorted(time, grid.time), time.size - 1)
    left = np.maximum(right - 1, 0)
    away = np.minimum(np.abs(time[right] - grid.time), np.abs(grid.time - time[left]))
    out[away > near] = np.nan
    return out, step
