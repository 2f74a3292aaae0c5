"""Pulls found in a million rows, beside the same search written with pandas' rolling windows, in one run.

The peer takes the same steps as ours, as somebody fluent in pandas would write them: holes in the stamps; lost readings
by comparison with both neighbours; the throttle's ends as the highest and lowest reading that is kept for a third of a
second; slope of the engine speed by a rolling least-squares line, once wide for the rise and once narrow for a moment
in which it breaks off; noise of the engine speed; ratio of engine to road speed with its rolling spread; gears from
where the ratio gathers; rises numbered by a cumulative sum and judged group by group; for stretches of full throttle
without a pull, and rises at half throttle and more, a reason. It knows fewer reasons than ours. Both answer with start,
end, gear and ramp; how many of the pulls that were made each finds stands beside the times.

A second peer, "short", is given the throttle's ends and takes differences of rolling means for slopes: fewer steps and
less exact, the least one could do.

Bound: ours at least 20 times as fast as either, processor time, at 100 rows a second and at 20, where a million rows
are fourteen hours and 180 pulls and there is less to leave out.
"""

from __future__ import annotations

import argparse
import math
import statistics
import time
from typing import Any

import numpy as np

from boostwright.logs.pulls.search import find_pulls_in
from boostwright.logs.series import ChannelsInMemory, Series

RPM = 0.10471975511965977
RATIOS = (50.0, 36.0, 27.0, 21.0, 17.0)
BOUND = 20.0


def drive(rows: int, rate: float, seed: int = 0) -> tuple[dict[str, np.ndarray], list[tuple[float, float]]]:
    """A day of driving: cruising, pulls in third and fourth gear, short bursts, rises at part throttle; the pulls."""
    rng = np.random.default_rng(seed)
    speed, throttle, road, true = [], [], [], []
    now = 0

    def add(rpm: np.ndarray, opening: float, gear: int) -> None:
        nonlocal now
        speed.append(rpm * RPM)
        throttle.append(np.full(rpm.size, opening))
        road.append(rpm * RPM / RATIOS[gear - 1])
        now += rpm.size

    def rise(low: float, high: float, seconds: float) -> np.ndarray:
        share = np.linspace(0, 1, int(seconds * rate))
        return low + (high - low) * (0.75 * share + 0.25 * share**2)

    while now < rows:
        gear = int(rng.integers(3, 5))
        size = int(rng.uniform(60, 200) * rate)
        add(
            2200 + 300 * np.sin(np.arange(size) / rate * rng.uniform(0.1, 0.4)),
            rng.uniform(0.1, 0.3),
            int(rng.integers(2, 6)),
        )
        kind = rng.random()
        low = rng.uniform(2000, 3000)
        if kind < 0.5:
            begin = now
            add(rise(low, rng.uniform(5200, 6600), rng.uniform(5, 12)), 1.0, gear)
            true.append((begin / rate, (now - 1) / rate))
        elif kind < 0.75:
            add(rise(low, low + rng.uniform(400, 1200), rng.uniform(1, 3)), 1.0, gear)
        else:
            add(rise(low, rng.uniform(4500, 5500), rng.uniform(8, 14)), 0.7, gear)
        size = int(4 * rate)
        add(np.linspace(float(speed[-1][-1]) / RPM, 2000, size), 0.02, gear)
    out = {
        "engine_speed": np.concatenate(speed)[:rows] + rng.normal(0, 5 * RPM, rows),
        "throttle_position": np.clip(np.concatenate(throttle)[:rows] + rng.normal(0, 0.003, rows), 0, 1),
        "vehicle_speed": np.concatenate(road)[:rows] + rng.normal(0, 0.02, rows),
        "pressure_im": rng.normal(100e3, 500, rows),
    }
    end = rows / rate
    return out, [t for t in true if t[1] < end]


def ours(channels: ChannelsInMemory) -> list[tuple[float, float]]:
    found = find_pulls_in(channels, describe=False)
    return [(p.start, p.end) for p in found.pulls]


def peer(
    stamps: np.ndarray, data: dict[str, np.ndarray], rate: float, *, short: bool
) -> list[tuple[float, float]]:
    import pandas as pd

    frame = pd.DataFrame({"time": stamps, **data})
    rise = _moving(frame, rate, short=short)
    full = frame["opening"] > 0.9
    gears = _gears(frame)
    pulls, reasons = [], []
    rising = full & rise
    number = (rising != rising.shift()).cumsum()
    for _, group in frame[rising].groupby(number[rising]):
        first, last = group.iloc[0], group.iloc[-1]
        gained, seconds = last["rpm"] - first["rpm"], last["time"] - first["time"]
        ratio = group["ratio"].median()
        same = abs(group["ratio"] / ratio - 1).max() < 0.05
        if gained >= 1500 and seconds >= 1.0 and same:
            gear = min(gears, key=lambda one: abs(one - ratio))
            ramp = np.polyfit(group["time"], group["engine_speed"], 1)[0]
            pulls.append((first["time"], last["time"], gears.index(gear), ramp))
    for begin, end, group in _stretches(frame, full):
        if end - begin > 0.7 and not any(p[0] <= end and p[1] >= begin for p in pulls):
            gained = group["rpm"].max() - group["rpm"].iloc[0]
            why = "held" if gained < 100 else "falls" if group["slope"].iloc[-1] < 0 else "short"
            reasons.append((begin, end, why))
    for begin, end, group in _stretches(frame, ~full & rise & (frame["opening"] > 0.5)):
        if group["rpm"].iloc[-1] - group["rpm"].iloc[0] > 900:
            reasons.append((begin, end, "throttle"))
    return [(p[0], p[1]) for p in pulls]


def _moving(frame: Any, rate: float, *, short: bool) -> Any:
    """Adds speed, slope, opening and ratio, each smoothed; True where speed rises in one gear without breaking off."""
    speed = frame["engine_speed"]
    before, after = speed.shift(1), speed.shift(-1)
    lost = ((speed - before).abs() > 0.06 * (before + after)) & (
        (speed - after).abs() > 0.06 * (before + after)
    )
    frame["rpm"] = speed.mask(lost).interpolate() / RPM
    wide, narrow = max(3, int(0.6 * rate)), max(3, int(0.3 * rate))
    aside = int(0.6 * rate)
    throttle = frame["throttle_position"]
    if short:
        frame["slope"], dip, noise = _differences(frame, wide, rate), _differences(frame, narrow, rate), 0.0
        low, high = 0.0, 1.0
    else:
        frame["slope"], dip = _line(frame, wide), _line(frame, narrow)
        noise = float(frame["rpm"].diff().diff().abs().median()) / 1.65 / math.sqrt(rate * 0.05)
        kept = throttle.rolling(max(3, int(0.3 * rate)))
        low, high = float(kept.max().min()), float(kept.min().max())
    sides = np.minimum(dip.shift(aside), dip.shift(-aside))
    breaks = (dip < 0.3 * sides) & (sides - dip > max(80.0, 6.0 * noise))
    gaps = frame["time"].diff() > 0.5
    smooth = throttle.rolling(max(3, int(0.2 * rate)), center=True, min_periods=1).mean()
    frame["opening"] = (smooth - low) / (high - low)
    ratio = speed / frame["vehicle_speed"].where(frame["vehicle_speed"] > 2.0)
    rolling = ratio.rolling(wide, center=True, min_periods=1)
    frame["ratio"] = rolling.mean()
    frame["spread"] = rolling.std() / frame["ratio"]
    return (frame["slope"] > 20) & ~breaks & ~gaps & ~(frame["spread"] > 0.05)


def _line(frame: Any, window: int) -> Any:
    """Slope of a least-squares line over a window, as pandas has it: covariance with the time over its variance."""
    time = frame["time"].rolling(window, center=True, min_periods=3)
    return frame["rpm"].rolling(window, center=True, min_periods=3).cov(frame["time"]) / time.var()


def _differences(frame: Any, window: int, rate: float) -> Any:
    """Slope by the difference of rolling means."""
    half = window // 4
    level = frame["rpm"].rolling(window // 2, center=True, min_periods=1).mean()
    return (level.shift(-half) - level.shift(half)) / (2 * half / rate)


def _gears(frame: Any) -> list[float]:
    """Ratios that were driven in for long, shortest gear first."""
    steady = np.log(frame["ratio"][frame["spread"] < 0.02])
    counts = (steady / 0.02).round().value_counts(normalize=True)
    found: list[float] = []
    for key in counts[counts > 0.004].index:
        if all(abs(key * 0.02 - math.log(one)) > 0.07 for one in found):
            found.append(math.exp(key * 0.02))
    return sorted(found, reverse=True)


def _stretches(frame: Any, mask: Any) -> Any:
    number = (mask != mask.shift()).cumsum()
    for _, group in frame[mask].groupby(number[mask]):
        yield group["time"].iloc[0], group["time"].iloc[-1], group


def right(found: list[tuple[float, float]], true: list[tuple[float, float]]) -> int:
    """How many of the pulls that were made were found with at least 80 % in common."""
    return sum(any((min(b, d) - max(a, c)) >= 0.8 * max(b - a, d - c) for c, d in found) for a, b in true)


def main() -> None:
    """Print times, ratios and whether the bound holds."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rows", type=int, default=1_000_000)
    parser.add_argument("--rounds", type=int, default=7)
    arguments = parser.parse_args()
    for rate in (100.0, 20.0):
        compare(arguments.rows, rate, arguments.rounds)


def compare(rows: int, rate: float, rounds: int) -> None:
    """Print the times at one rate."""
    data, true = drive(rows, rate)
    stamps = np.arange(rows) / rate
    channels = ChannelsInMemory({name: Series(stamps, value) for name, value in data.items()})
    contestants = {
        "ours": lambda: ours(channels),
        "pandas": lambda: peer(stamps, data, rate, short=False),
        "pandas, short": lambda: peer(stamps, data, rate, short=True),
    }
    times: dict[str, list[tuple[float, float]]] = {name: [] for name in contestants}
    counts: dict[str, Any] = {}
    for _ in range(rounds):
        for name, one in contestants.items():
            wall, used = time.perf_counter(), time.process_time()
            found = one()
            times[name].append((time.process_time() - used, time.perf_counter() - wall))
            counts[name] = (len(found), right(found, true))
    print(f"{rows} rows x {len(data)} at {rate:.0f} Hz, {len(true)} pulls made")
    middle = {n: tuple(statistics.median(x[k] for x in t) for k in (0, 1)) for n, t in times.items()}
    for name, (used, wall) in middle.items():
        told, hit = counts[name]
        shown = f"processor {used * 1e3:8.1f} ms  wall {wall * 1e3:8.1f} ms"
        print(f"  {name:14} {shown}  {told} found, {hit} right")
    for name in ("pandas", "pandas, short"):
        ratio = middle[name][0] / middle["ours"][0]
        verdict = f" (at least {BOUND:.0f}: {'held' if ratio >= BOUND else 'MISSED'})"
        print(f"  {name} over ours, processor: {ratio:.1f}{verdict}")


if __name__ == "__main__":
    main()
