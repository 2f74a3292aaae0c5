"""Readings that are missing, or jump to a rail and back; and single readings far from their neighbours."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from boostwright.logs.mapping.names import channel_of
from boostwright.logs.sensor_checks.certainty import certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.signal import Signal, runs_of, window_noise
from boostwright.logs.sensor_checks.view import RPM, LogView
from boostwright.logs.sensor_checks.words import reading, unit_of

__all__ = ["FASTEST", "check_dropouts"]

FASTEST: dict[str, float] = {
    "pressure_im": 1.5e6,
    "boost": 1.5e6,
    "pressure_1_static": 3e5,
    "pressure_2_static": 1e6,
    "pressure_bp_static": 1e6,
    "pressure_em_static": 2e6,
    "pressure_g_static": 2e6,
    "pressure_4_static": 1e6,
    "pressure_amb": 2e3,
    "pressure_oil": 2e6,
    "temperature_amb": 5.0,
    "temperature_1": 40.0,
    "temperature_2": 80.0,
    "temperature_bp": 60.0,
    "temperature_im": 60.0,
    "temperature_coolant": 10.0,
    "temperature_oil": 10.0,
    "egt_reading": 900.0,
    "egt_reading_downpipe": 700.0,
    "engine_speed": 1200.0,
    "vehicle_speed": 60.0,
    "shaft_speed": 4e4,
    "voltage_battery": 30.0,
}
"""Channel -> fastest change of the thing itself and its usual sensor, SI a second (wide bounds, common practice)."""

_LONGEST = 10.0
_THROTTLED = ("pressure_im", "boost")
_SPIKE = 3  # samples


@dataclass(frozen=True)
class _Jump:
    """Samples first to last (exclusive) that stand apart, by how much, and how far the readings among them spread."""

    first: int
    last: int
    size: float
    level: float
    flat: bool


def check_dropouts(view: LogView) -> None:
    """Find them, and take them out for the checks that follow."""
    view.did("readings missing or jumping to a rail")
    for name in view.names:
        _missing(view, view.signals[name])
        _jumps(view, view.signals[name])


def _missing(view: LogView, signal: Signal) -> None:
    """Rows without a number where this channel has one in nearly all, and the others go on."""
    lost = signal.missing
    if not lost.size or lost.size > 0.5 * (lost.size + signal.time.size):
        return
    same = [s for s in view.signals.values() if s.name != signal.name]
    if len(same) >= 2:
        together = np.mean([np.isin(lost, s.missing) for s in same], axis=0)
        lost = lost[together < 0.5]
    if not lost.size:
        return
    regular = np.diff(lost)
    share = lost.size / (lost.size + signal.time.size)
    if share > 0.15 and regular.size and np.percentile(regular, 90) <= 1.5 * np.percentile(regular, 10):
        return
    places = 1 + int((np.diff(lost) > 3.0 * max(signal.rows, 1e-3)).sum())
    view.faults.append(
        SensorFault(
            "dropped-out",
            (signal.name,),
            f"{signal.name} has no reading in {lost.size} rows, in {places} places, while other channels go on.",
            certainty_of_deviation(1.9 + 0.3 * np.log10(max(lost.size, 1)), 0.97),
            view.where_times(float(lost[0]), float(lost[-1])),
            (Evidence("rows without a reading", float(lost.size)), Evidence("share of its rows", share)),
            "A sensor that is connected reads something in every row.",
            ("the logger or the bus lost the message, not the sensor",),
            "Wiggle plug and loom with the key on and watch the reading; look whether channels of the same "
            "device go together.",
        )
    )


def _limit(view: LogView, signal: Signal) -> float | None:
    found = channel_of(signal.name)
    rate = FASTEST.get(found[0].name if found else signal.name)
    if rate is None:
        return None
    running = signal.value[np.interp(signal.time, view.grid, view.running.astype(float)) > 0.5]
    # a log that mostly stands still says little of the pulses of an engine that runs
    pulses = float(np.percentile(window_noise(running), 25)) if running.size >= 15 else 0.0
    return max(rate * signal.interval, 8.0 * max(signal.noise, pulses), 6.0 * signal.quantum)


def _apart(signal: Signal, limit: float) -> list[_Jump]:
    """Stretches between a jump beyond what can be, and the jump back."""
    value, time = signal.value, signal.time
    step = np.diff(value)
    big = np.flatnonzero(np.abs(step) > limit)
    found: list[_Jump] = []
    at = 0
    while at < big.size:
        i = int(big[at])
        back = next(
            (
                int(j)
                for j in big[at + 1 :]
                if step[j] * step[i] < 0
                and abs(value[j + 1] - value[i]) < 0.5 * abs(step[i])
                and time[j] - time[i] <= _LONGEST
            ),
            None,
        )
        if back is None:
            at += 1
            continue
        part = value[i + 1 : back + 1]
        flat = float(np.ptp(part)) <= max(2.0 * signal.quantum, 0.02 * abs(step[i]))
        found.append(_Jump(i + 1, back + 1, abs(float(step[i])), float(np.median(part)), flat))
        at = int(np.searchsorted(big, back, side="right"))
    return found


def _outside(signal: Signal) -> list[_Jump]:
    """Stretches outside what the channel can read at all, as long as they are the lesser part."""
    found = channel_of(signal.name)
    if found is None or found[0].name in ("lambda", "air_fuel_ratio"):
        return []
    if found[0].name.endswith("_target") or found[0].kind in ("torque", "power"):
        return []  # what is asked for is no reading; a torque swings far as gears engage
    low, high = found[0].low, found[0].high
    if signal.basis == "gauge" and found[0].basis == "either":
        low, high = low - 110e3, high - 50e3
    span = 0.02 * (high - low)
    out = (signal.value < low - span) | (signal.value > high + span)
    if found[0].basis == "absolute" and signal.name == "pressure_im":
        out |= signal.value < 5e3
    if not out.any() or out.mean() > 0.3:
        return []
    middle = float(np.median(signal.value[~out]))
    jumps = []
    for a, b in runs_of(out):
        level = float(np.median(signal.value[a:b]))
        size = abs(level - middle)
        if b - a > 2 and float(np.ptp(signal.value[a:b])) > 0.03 * size + 6.0 * signal.noise:
            continue
        sides = [
            abs(float(signal.value[k] - signal.value[k - 1])) for k in (a, b) if 0 < k < signal.value.size
        ]
        if sides and max(sides) > max(
            0.4 * size, 6.0 * signal.noise
        ):  # at once: a pressure that climbs there is swapped
            jumps.append(_Jump(a, b, size, level, True))
    return jumps


def _stopped(signal: Signal) -> list[_Jump]:
    """An engine that stands for a moment and turns at once again."""
    if signal.name != "engine_speed":
        return []
    value, time = signal.value, signal.time
    found = []
    for a, b in runs_of(value < 20 * RPM):
        if (
            a > 0
            and b < value.size
            and min(value[a - 1], value[b]) > 1000 * RPM
            and time[b] - time[a - 1] < 3.0
        ):
            found.append(_Jump(a, b, float(min(value[a - 1], value[b])), float(np.median(value[a:b])), True))
    return found


def _jumps(view: LogView, signal: Signal) -> None:
    beyond = _outside(signal) + _stopped(signal)
    limit = _limit(view, signal)
    apart = _apart(signal, limit) if limit is not None else []
    apart = [j for j in apart if not any(j.first < b.last and b.first < j.last for b in beyond)]
    if signal.name in _THROTTLED:  # a throttle shut for a moment is no plug: it leaves the pulses, and lasts
        apart = [j for j in apart if j.flat or j.last - j.first <= _SPIKE]
    rails = beyond + _at_one_level(apart)
    single = [j for j in apart if j not in rails]
    bad = np.zeros(signal.value.size, dtype=bool)
    for jump in (*rails, *single):
        bad[jump.first : jump.last] = True
    if rails:
        size = float(np.median([j.size for j in rails]))
        z = 2.6 if beyond else min(size / (limit or size), 2.6) * (1.3 if len(rails) > 1 else 1.0)
        _say_rail(view, signal, rails, size, z)
    if len(single) >= 3 and limit is not None:
        size = float(np.median([j.size for j in single]))
        _say_spikes(view, signal, single, size, min(size / limit, 2.0) * min(np.sqrt(len(single) / 2), 1.8))
    if 0 < bad.sum() < 0.3 * bad.size:
        view.clean(signal.name, bad)


def _at_one_level(jumps: list[_Jump]) -> list[_Jump]:
    """Jumps that go to one and the same level, or stay level for several samples."""
    if not jumps:
        return []
    levels = np.array([j.level for j in jumps])
    sizes = np.array([j.size for j in jumps])
    near = np.abs(levels[:, None] - levels[None, :]) < 0.03 * sizes.min()
    shared = near.sum(axis=1) >= max(2, 0.5 * len(jumps))
    return [
        j
        for j, s in zip(jumps, shared, strict=True)
        if s or (j.flat and j.last - j.first >= 3) or (len(jumps) == 1 and j.flat)
    ]


def _times(signal: Signal, jumps: list[_Jump]) -> tuple[float, float]:
    return float(signal.time[jumps[0].first]), float(signal.time[jumps[-1].last - 1])


def _say_rail(view: LogView, signal: Signal, jumps: list[_Jump], size: float, z: float) -> None:
    jumps = sorted(jumps, key=lambda j: j.first)
    level = float(np.median([j.level for j in jumps]))
    lost = sum(float(signal.time[j.last - 1] - signal.time[j.first]) + signal.interval for j in jumps)
    view.faults.append(
        SensorFault(
            "dropped-out",
            (signal.name,),
            f"{signal.name} jumps to {reading(signal.name, level)} and back, {_times_words(len(jumps))}.",
            certainty_of_deviation(z),
            view.where_times(*_times(signal, jumps)),
            (
                Evidence("reading while away", level, unit_of(signal.name)),
                Evidence("size of the jump within one sample", size, unit_of(signal.name), step=True),
                Evidence("times", float(len(jumps))),
                Evidence("time away in all", lost, "s"),
            ),
            "What it measures cannot change by that much from one sample to the next and come back.",
            ("a plug or wire that opens with vibration", "the logger writes a number for a lost message"),
            "Wiggle plug and loom with the key on and watch the reading; see whether it happens at one engine speed.",
        )
    )


def _say_spikes(view: LogView, signal: Signal, jumps: list[_Jump], size: float, z: float) -> None:
    view.faults.append(
        SensorFault(
            "spikes",
            (signal.name,),
            f"{signal.name} has {len(jumps)} single readings far from their neighbours.",
            certainty_of_deviation(z, 0.95),
            view.where_times(*_times(signal, jumps)),
            (
                Evidence("typical size", size, unit_of(signal.name), step=True),
                Evidence("count", float(len(jumps))),
            ),
            "What it measures cannot change by that much from one sample to the next and come back.",
            ("ignition or injector current in the sensor's ground", "a wire that opens for a moment"),
            "Look whether they keep step with ignition; ground the sensor at the controller, screen the line.",
        )
    )


def _times_words(count: int) -> str:
    return "once" if count == 1 else f"{count} times"
