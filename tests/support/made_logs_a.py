"""Made channels with known sample times, for the tests of the time base. Nothing here is measured."""

from __future__ import annotations

import numpy as np

from boostwright.logs.series import ChannelsInMemory, Series


def wander(rng: np.random.Generator, count: int, quantum: float, size: float = 40.0) -> np.ndarray:
    """A smooth wandering quantity in steps of a quantum."""
    walk = np.cumsum(rng.normal(0.0, 1.0, count))
    kernel = np.ones(5) / 5
    return np.round(size * np.convolve(walk, kernel, mode="same") / quantum) * quantum


def polled_log(
    rng: np.random.Generator,
    channels: int,
    rows: int,
    row_time: float = 0.09,
    slips: int = 0,
    jitter: float = 0.2,
):
    """A logger that asks one channel a row: channels, truth (name -> bool (rows,)), row times."""
    time = np.cumsum(row_time * (1 + jitter * rng.uniform(-1, 1, rows)))
    order = np.arange(rows)
    for row in np.sort(rng.choice(np.arange(rows // 10, rows - rows // 10), slips, replace=False)):
        order[row:] += int(rng.integers(1, channels))
    asked = order % channels
    true, series = {}, {}
    for k in range(channels):
        fresh = asked == k
        quantity = wander(rng, rows, 1.0, size=float(rng.choice([0.3, 3.0, 30.0])))
        held = np.full(rows, np.nan)
        last = np.nan
        for row in range(rows):
            last = quantity[row] if fresh[row] else last
            held[row] = last
        true[f"c{k}"] = fresh
        series[f"c{k}"] = Series(time, held)
    return ChannelsInMemory(series), true, time


def held_series(rng: np.random.Generator, seconds: float, row_rate: float, rate: float, quantum: float):
    """A channel renewed at its own pace and repeated in between: series, true renewals by row."""
    time = np.arange(0.0, seconds, 1.0 / row_rate)
    ticks = np.arange(0.0, seconds, 1.0 / rate) + rng.uniform(0, 1.0 / rate)
    value = wander(rng, ticks.size, quantum)
    at = np.searchsorted(ticks, time, side="right") - 1
    held = np.where(at >= 0, value[np.clip(at, 0, None)], np.nan)
    fresh = np.zeros(time.size, dtype=bool)
    fresh[1:] = at[1:] > at[:-1]
    return Series(time, held), fresh


def drive(rng: np.random.Generator, seconds: float):
    """Engine speed of a made drive [1/min], smooth through random marks, as a function of time [s]."""
    from scipy.interpolate import PchipInterpolator

    count = int(seconds / rng.uniform(3.0, 15.0)) + 4
    marks = np.unique(np.sort(rng.uniform(-30.0, seconds + 30.0, count)))
    curve = PchipInterpolator(marks, rng.uniform(900.0, 6500.0, marks.size), extrapolate=False)
    return lambda time: np.nan_to_num(curve(time), nan=1000.0)


SCALES = {"same": (1.0, 0.0), "proportional": (0.01, 0.0), "similar": (0.02, 30.0)}


def two_clocks(seed: int, longest: float = 600.0):
    """Two records of one drive on two clocks: first, second, relation, true offset at the second's middle, drift."""
    rng = np.random.default_rng(seed)
    seconds = rng.uniform(40.0, longest)
    speed = drive(rng, seconds)
    first_step, second_step = np.exp(rng.uniform(np.log(0.03), np.log(1.0), 2))
    if rng.random() < 0.3:
        second_step = first_step
    relation = str(rng.choice(sorted(SCALES)))
    offset = rng.uniform(-500.0, 500.0)
    drift = rng.normal(0.0, 50e-6) if seconds > 300.0 else 0.0
    first_time = np.arange(0.0, seconds, first_step)
    window = np.arange(rng.uniform(0.0, 0.2) * seconds, rng.uniform(0.8, 1.0) * seconds, second_step)
    noise = rng.choice([1.0, 10.0, 50.0], 2)
    quantum = float(rng.choice([1.0, 10.0, 40.0]))
    first = np.round((speed(first_time) + rng.normal(0.0, noise[0], first_time.size)) / quantum) * quantum
    scale, level = SCALES[relation]
    second = level + scale * (speed(window) + rng.normal(0.0, noise[1], window.size))
    middle = window.mean() - offset
    second_time = (window - offset + drift * middle) / (1.0 + drift)
    return Series(first_time, first), Series(second_time, second), relation, offset, drift, middle


GAS_SHAPES = ("step", "ramp", "peak", "pull", "stab")


def gas(kind: str, time: np.ndarray) -> np.ndarray:
    """Made exhaust temperatures [K] that start at 873 K."""
    rise = {
        "step": np.where((time > 3) & (time < 7), 300.0, 0.0),
        "ramp": np.where((time > 2) & (time < 10), (time - 2) * 40.0, 0.0),
        "peak": 300.0 * np.clip(1.0 - np.abs(time - 6.0) / 1.5, 0.0, None),
        "pull": np.where(time > 2, 350.0 * (1.0 - np.exp(-(time - 2) / 1.5)), 0.0)
        * np.where(time < 9, 1.0, np.exp(-(np.maximum(time, 9.0) - 9) / 0.4)),
        "stab": np.where((time > 5) & (time < 6), 250.0, 0.0),
    }[kind]
    return 873.15 + rise
