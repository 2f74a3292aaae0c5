"""Passes over cells in machine code, beside the same in numpy or by the definition."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from boostwright.logs.pulls.grid_kernel import (
    beat_of,
    count_idle,
    count_rises,
    drop_seldom,
    fill_cells,
    fill_shares,
    fill_stalls,
    held_time,
    highest_kept,
    kept_ends,
)
from boostwright.logs.pulls.motion import slope_along

CHUNKS = np.array([[0, 700], [700, 705], [705, 2000]], dtype=np.intp)


def _speed() -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(5)
    time = np.cumsum(rng.uniform(0.03, 0.07, 2000)) + 5000.0
    return time, 300.0 + np.cumsum(rng.normal(0, 1, 2000))


@pytest.mark.parametrize("half", [1, 2, 3, 6, 12])
def test_slope_is_that_of_the_weighted_sums_and_keeps_within_a_chunk(half: int) -> None:
    time, speed = _speed()
    slope = slope_along(time, speed, half, CHUNKS)
    weights = np.arange(-half, half + 1)
    for a, b in CHUNKS:
        if b - a <= 2 * half:
            assert slope[a:b] == pytest.approx((speed[b - 1] - speed[a]) / (time[b - 1] - time[a]))
            continue
        for i in range(a, b):
            k = min(max(i, a + half), b - half - 1)  # the ends have the slope of the nearest whole window
            window = slice(k - half, k + half + 1)
            expected = weights @ speed[window] / (weights @ (time[window] - time[k]))
            assert slope[i] == pytest.approx(expected, rel=1e-9)


def test_slope_of_stamps_that_stand_still_is_none() -> None:
    time, speed = np.zeros(50), np.arange(50.0)
    assert (slope_along(time, speed, 3, np.array([[0, 50]], dtype=np.intp)) == 0.0).all()


def test_cells_are_parted_at_each_span() -> None:
    stamps = np.arange(30.0) ** 1.5
    spans = np.array([[2, 9], [9, 10], [20, 26]], dtype=np.intp)
    first, behind, time = np.empty(6, dtype=np.intp), np.empty(6, dtype=np.intp), np.empty(6)
    fill_cells(stamps, spans, 3, first, behind, time)
    assert first.tolist() == [2, 5, 8, 9, 20, 23]
    assert behind.tolist() == [5, 8, 9, 10, 23, 26]
    assert time == pytest.approx(0.5 * (stamps[first] + stamps[behind - 1]))
    first, behind, time = np.empty(14, dtype=np.intp), np.empty(14, dtype=np.intp), np.empty(14)
    fill_cells(stamps, spans, 1, first, behind, time)  # single samples
    assert first.tolist() == [*range(2, 10), *range(20, 26)]
    assert (behind - first).tolist() == [1] * 14
    assert time.tolist() == stamps[first].tolist()


def _beat(value: np.ndarray, every: int = 3000) -> int:
    return int(beat_of(value, every, 3000, np.zeros(200, dtype=np.intp)))


def test_beat_is_that_of_a_value_which_is_held() -> None:
    rng = np.random.default_rng(3)
    readings = rng.normal(size=400)
    for beat in (3, 7, 60):
        held = np.repeat(readings, beat)
        assert _beat(held) == beat
        assert _beat(held, 5000) == beat  # not all of it is looked at
    clocks_that_part = rng.choice([9, 10, 11], readings.size, p=[0.1, 0.8, 0.1])
    assert _beat(np.repeat(readings, clocks_that_part)) == 10
    assert _beat(np.repeat(readings, 2)) == 1
    assert _beat(readings) == 1
    assert _beat(np.repeat(readings, rng.integers(1, 40, readings.size))) == 1  # changes as it likes
    assert _beat(np.repeat(readings[:8], 10)) == 1  # too few to tell
    assert _beat(np.repeat(readings, 250)) == 1
    assert _beat(readings[:0]) == 1
    same = np.repeat(np.repeat(readings[::2], 2), 5)  # every other reading is that of before: whole beats
    assert _beat(same) == 10


@pytest.mark.parametrize("seed", range(30))
def test_beat_is_the_same_in_numpy(seed: int) -> None:
    rng = np.random.default_rng(seed)
    beat = int(rng.integers(1, 12))
    off = rng.choice([-1, 0, 1, beat, 40], 600, p=[0.08, 0.7, 0.08, 0.07, 0.07])
    value = np.repeat(rng.normal(size=600), np.maximum(1, beat + off))
    value[rng.random(value.size) < 0.002] = np.nan
    every = max(500, value.size // 4)
    parts = [value[k : k + 500] for k in range(0, value.size, every)]
    spacing = np.concatenate([np.diff(np.flatnonzero(part[1:] != part[:-1])) for part in parts])
    likely = int(np.bincount(spacing[spacing < 200]).argmax())
    expected = 1
    if likely >= 3:
        rest = np.minimum(spacing % likely, likely - spacing % likely)
        expected = likely if np.mean((rest <= 1) & (spacing >= likely - 1)) >= 0.85 else 1
    assert beat_of(value, every, 500, np.zeros(200, dtype=np.intp)) == expected


def test_what_holds_but_is_seldom_reached_is_dropped() -> None:
    value = np.array([0.9, 0.9, 0.89, 0.0, 0.89, 0.89, 0.9, 0.0, 0.9, 0.89, np.nan])
    holds = value > 0.5
    holds[-1] = True  # bridged
    drop_seldom(holds, value, 0.9)
    assert np.flatnonzero(holds).tolist() == [0, 1, 2]


def test_shares_are_those_of_the_sorted_numbers() -> None:
    rng = np.random.default_rng(8)
    value = rng.normal(size=500).round(1)
    value[[5, 40, 41]] = np.nan, np.inf, np.nan
    edges = [0, 1, 3, 6, 16, 120, 300, 500]
    spans = np.array([*itertools.pairwise(edges), (40, 42)], dtype=np.intp)
    out = np.empty((spans.shape[0], 3))
    fill_shares(value, spans, np.empty(200), out)
    for (a, b), shares in zip(spans, out, strict=True):
        inside = np.sort(value[a:b][np.isfinite(value[a:b])])
        if inside.size == 0:
            assert np.isnan(shares).all()
        else:
            assert shares.tolist() == [inside[int(q * inside.size)] for q in (0.1, 0.5, 0.9)]


def test_stall_is_where_both_sides_rise_and_the_middle_does_not() -> None:
    slope = np.full(60, 20.0)
    slope[30] = 5.0
    slope[40:] = 0.0  # no rise behind: an end, not a stall
    out = np.empty(60, dtype=np.bool_)
    fill_stalls(slope, 8, 10.0, out)
    assert np.flatnonzero(out).tolist() == [30]
    fill_stalls(slope, 8, 16.0, out)
    assert not out.any()
    fill_stalls(slope[:10].copy(), 8, 10.0, out[:10])
    assert not out[:10].any()


@pytest.mark.parametrize("count", [1, 2, 4, 6])
def test_ends_are_kept_by_so_many_neighbours(count: int) -> None:
    rng = np.random.default_rng(count)
    for size in (count, 7, 300):
        value = rng.normal(size=max(size, count)).round(1)
        windows = np.lib.stride_tricks.sliding_window_view(value, count)
        assert kept_ends(value, count) == (windows.max(axis=1).min(), windows.min(axis=1).max())
    assert np.isnan(kept_ends(np.ones(count - 1), count)).all()
    assert highest_kept(np.array([1.0, 9.0, 3.0, 4.0])) == 3.0


def test_rises_are_counted_by_what_they_gain() -> None:
    speed = np.concatenate((np.linspace(-1.0, 50.0, 60), np.linspace(50, 10, 20), np.linspace(10, 30, 20)))
    time = np.arange(100.0)
    assert count_rises(time, 1, speed, 1, 0.2, 5.0, 15.0) == 2
    assert count_rises(time, 1, speed, 5, 0.2, 5.0, 15.0) == 2  # the last one lasts to the end
    assert count_rises(np.arange(0.0, 100.0, 0.25), 4, speed, 1, 0.2, 5.0, 15.0) == 2
    assert count_rises(time, 1, speed, 1, 0.2, 5.0, 30.0) == 1
    assert count_rises(time, 1, speed, 1, 0.2, 0.9, 15.0) == 1  # the second one is steeper


def test_idle_is_slow_and_steady_and_has_a_reading() -> None:
    stamps = np.arange(400) * 0.1
    speed = np.full(200, 90.0)
    speed[100:] = 300.0
    speed[20:24] = [90.0, 120.0, 90.0, 90.0]
    value = np.full(200, 0.05)
    value[50:60] = np.nan
    within = (speed > 30) & (speed < 125)
    steady = np.abs(np.diff(speed, prepend=speed[0])) < 5.0 * 0.5
    expected = int(np.sum(within & steady & np.isfinite(value)))
    assert count_idle(stamps, 2, speed, value, 1, (30.0, 125.0), 5.0) == expected


def test_holds_of_less_than_a_second_are_not_counted() -> None:
    time = np.arange(100) * 0.1
    slope = np.full(100, 30.0)
    slope[10:16] = 0.0
    slope[40:61] = -1.0
    slope[90:] = 0.0
    level = np.linspace(1.0, 2.0, 100)
    out = np.empty((2, 2))
    held_time(time, slope, level, 2.0, np.array([[0, 80], [45, 100]], dtype=np.intp), out)
    assert out[0] == pytest.approx([level[79], 2.0])
    assert out[1] == pytest.approx([2.0, 1.5])
