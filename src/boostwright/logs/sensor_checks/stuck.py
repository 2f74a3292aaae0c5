"""Channels that stay at one value to the last digit while what drives them moves."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.mapping.names import channel_of
from boostwright.logs.sensor_checks.certainty import certainty_of_chance, certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.signal import Signal, runs_of
from boostwright.logs.sensor_checks.tolerances import half_width
from boostwright.logs.sensor_checks.view import RPM, LogView
from boostwright.logs.sensor_checks.words import reading, unit_of

__all__ = ["check_stuck"]

Array = NDArray[np.float64]
_TWITCHY = (
    "pressure_",
    "boost",
    "temperature_",
    "egt_",
    "lambda",
    "air_fuel_ratio",
    "mass_flow",
    "shaft_speed",
    "voltage",
)
"""Channels that come from a sensor and scatter; what a controller works out may stand still for long."""
_LEAST = {"temperature": 12.0, "egt": 12.0, "engine_speed": 8.0}
_QUIET = (
    "gear",
    "solenoid_duty",
    "gate_position",
    "knock",
    "ethanol",
    "fuel_trim",
    "altitude",
    "latitude",
    "longitude",
    "humidity",
)


_LEFT_OUT = 10.0  # per cent


def _over_air(view: LogView, share: float) -> Array:
    return share * np.maximum(view.load - view.barometer[0], 0.0)


def _compression(view: LogView) -> Array:
    ratio = np.maximum(view.load / view.barometer[0], 1.0)
    return np.asarray(0.5 * 300.0 * (ratio**0.2857 - 1.0))


def _manifold(view: LogView) -> Array:
    """What the manifold must do, by a sibling pressure, else by air flow, else by the throttle."""
    for name in ("pressure_bp_static", "pressure_2_static"):
        if name in view.signals:
            return 0.6 * np.maximum(view.absolute(name) - view.barometer[0], 0.0)
    if "mass_flow_air" in view.signals and "engine_speed" in view.signals:
        with np.errstate(divide="ignore", invalid="ignore"):
            charge = view.on("mass_flow_air") / view.speed
        return np.asarray(0.5 * 100e3 * charge / np.nanpercentile(charge[view.running], 95))
    if "throttle_position" in view.signals:
        return 25e3 * np.where(view.running, view.on("throttle_position"), np.nan)
    return np.full(view.grid.shape, np.nan)


def _log_of(view: LogView, values: Array, level: float, share: float) -> Array:
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(share * level * np.log(np.where(values > 0, values, np.nan)))


def _charge_air(view: LogView, level: float) -> Array:
    return _log_of(view, np.where(view.running, view.speed * view.load, np.nan), level, 0.5)


def _heat(view: LogView) -> Array:
    air = view.barometer[0]
    return 150.0 * np.clip((view.load - 0.6 * air) / (0.6 * air), 0.0, 1.0)


def _throttle(view: LogView) -> Array:
    """The pedal, where the manifold shows that the throttle itself moved: a diesel's does not."""
    if not {"pedal_position", "pedal_position_1"} & set(view.signals):
        return np.full(view.grid.shape, np.nan)
    pedal = view.on("pedal_position" if "pedal_position" in view.signals else "pedal_position_1")
    with np.errstate(invalid="ignore"):
        throttled = float((view.load[view.running] < 0.65 * view.barometer[0]).mean()) > 0.05
    return 0.6 * pedal if throttled else np.full(view.grid.shape, np.nan)


def _driven(view: LogView, name: str, level: float) -> Array | None:
    """What a channel must have done at least, up to a constant, on the common times; None: nothing is known."""
    found = channel_of(name)
    plain = found[0].name if found else name
    rules: dict[str, Callable[[], Array]] = {
        "pressure_im": lambda: _manifold(view),
        "boost": lambda: _manifold(view),
        "pressure_2_static": lambda: _over_air(view, 0.8),
        "pressure_bp_static": lambda: _over_air(view, 0.8),
        "pressure_em_static": lambda: _over_air(view, 0.4),
        "pressure_g_static": lambda: _over_air(view, 0.4),
        "temperature_2": lambda: _compression(view),
        "egt_reading": lambda: _heat(view),
        "egt_reading_downpipe": lambda: _heat(view),
        "mass_flow_air": lambda: _charge_air(view, level),
        "shaft_speed": lambda: _over_air(view, 2000.0 / 40e3),
        "throttle_position": lambda: _throttle(view),
        "pressure_oil": lambda: np.clip(view.speed - 100.0, 0, 200.0) * 500.0,
    }
    if plain == "engine_speed" and "vehicle_speed" in view.signals:
        speed = view.on("vehicle_speed")
        return _log_of(view, np.where(speed > 3.0, speed, np.nan), level, 0.5)
    sibling = {"pressure_2_static", "pressure_bp_static"} & set(view.signals) - {name}
    if (
        plain in ("pressure_2_static", "pressure_bp_static")
        and "pressure_im" not in view.signals
        and not sibling
    ):
        return None
    return rules[plain]() if plain in rules else None


def check_stuck(view: LogView) -> None:
    """Find them, and take their stuck stretches out for the checks that follow."""
    view.did("channels that never move")
    for name in view.names:
        found = channel_of(name)
        plain = found[0].name if found else name
        if plain.startswith(_QUIET) or plain.endswith("_target"):
            continue
        _one(view, view.signals[name], plain)


def _one(view: LogView, signal: Signal, plain: str) -> None:
    value, time = signal.value, signal.time
    same = np.concatenate([np.diff(value) == 0.0, [False]])
    least = max(next((s for k, s in _LEAST.items() if plain.startswith(k)), 4.0), 6.0 * signal.interval)
    runs = [(a, min(b, value.size - 1)) for a, b in runs_of(same)]
    runs = [(a, b) for a, b in runs if time[b] - time[a] >= least and b - a >= 6]
    if not runs:
        return
    best: tuple[float, int, int, float] = (0.0, 0, 0, np.nan)
    for a, b in sorted(runs, key=lambda r: time[r[0]] - time[r[1]])[:12]:
        sure, moved = _how_sure(view, signal, a, b)
        if sure > best[0]:
            best = (sure, a, b, moved)
    sure, a, b, moved = best
    if sure < 0.5:
        return
    _say(view, signal, sure, a, b, moved)
    bad = np.zeros(value.size, dtype=bool)
    for first, last in runs:
        if value[first] == value[a]:
            bad[first : last + 1] = True
    view.clean(signal.name, bad)


def _how_sure(view: LogView, signal: Signal, a: int, b: int) -> tuple[float, float]:
    """Certainty that samples a to b are stuck, and by how much they should have moved."""
    level = float(signal.value[a])
    late = 1.5 * signal.interval  # the others were asked at other moments
    inside = (view.grid >= signal.time[a]) & (view.grid <= signal.time[b] - late) & view.running
    if inside.sum() < 5:
        return 0.0, np.nan
    driven = _driven(view, signal.name, level)
    if driven is not None:
        part = driven[inside & np.isfinite(driven)]
        if part.size >= 5:
            moved = _moved(signal, level, part)
            floor = half_width(signal.name, level) + 1.5 * signal.quantum
            return certainty_of_deviation(moved / float(np.hypot(0.35 * moved, floor)), 0.97), moved
    return _frozen(view, signal, a, b, inside), np.nan


def _moved(signal: Signal, level: float, driven: Array) -> float:
    """How far it should have moved; where it stands at an end of its own range, only the way back from there counts.

    A clipped channel and a closed throttle stand at an end too, as long as their cause is beyond it. A tenth of the
    time does not count: behind a lift-off the manifold is empty at once, and the pipe before it still full.
    """
    low, high = float(signal.value.min()), float(signal.value.max())
    bottom, top = (float(x) for x in np.percentile(driven, [3, 97]))
    start = float(np.median(driven[: max(3, driven.size // 50)]))
    if high > low and level == high:
        return max(start - float(np.percentile(driven, _LEFT_OUT)), 0.0)
    if high > low and level == low:
        return max(top - start, 0.0)
    return top - bottom


def _frozen(view: LogView, signal: Signal, a: int, b: int, inside: NDArray[np.bool_]) -> float:
    """A channel that twitches at nearly every sample and then does not, while the engine's speed or load moves."""
    value = signal.value
    if not signal.name.startswith(_TWITCHY):
        return 0.0
    low, high = float(value.min()), float(value.max())
    if value[a] in (low, high) or value.size < 3 * 15 or b - a < 25:
        return 0.0
    if signal.noise < 0.6 * signal.quantum:
        return 0.0  # steps coarser than its scatter: it stands still wherever it lies in the middle of one
    rest = np.ones(value.size - 1, dtype=bool)
    rest[a:b] = False
    running = np.interp(signal.time[1:], view.grid, view.running.astype(float)) > 0.5
    rest &= running
    if rest.sum() < 40:
        return 0.0
    step = np.diff(value)[rest]
    same = float((step == 0.0).mean())
    turns = step[step != 0.0]
    if same > 0.5 or turns.size < 30 or float((turns[1:] * turns[:-1] < 0.0).mean()) < 0.3:
        return 0.0  # it moves, but it does not scatter: it may stand still as well
    speed, load = view.speed[inside], view.load[inside]
    if not (_range(speed) > 800 * RPM or _range(load) > 25e3):
        return 0.0
    return certainty_of_chance(value.size * max(same, 0.05) ** min(b - a, 60), 0.95)


def _range(values: Array) -> float:
    """From the 3rd to the 97th hundredth; 0 where there are no numbers."""
    values = values[np.isfinite(values)]
    return float(np.percentile(values, 97) - np.percentile(values, 3)) if values.size >= 5 else 0.0


def _say(view: LogView, signal: Signal, sure: float, a: int, b: int, moved: float) -> None:
    level, start, end = float(signal.value[a]), float(signal.time[a]), float(signal.time[b])
    evidence = [Evidence("reading", level, unit_of(signal.name)), Evidence("for", end - start, "s")]
    if np.isfinite(moved):
        evidence.append(Evidence("should have moved by at least", moved, unit_of(signal.name), step=True))
    view.faults.append(
        SensorFault(
            "stuck",
            (signal.name,),
            f"{signal.name} stays at {reading(signal.name, level)} to the last digit for {end - start:.0f} s "
            f"while what "
            "drives it moves.",
            sure,
            view.where_times(start, end),
            tuple(evidence),
            "A sensor that lives follows what it measures, and shows a little scatter even where that stands still.",
            ("the logger holds the last value of a lost message", "a blocked or melted sensing hose"),
            "See whether the controller itself shows a live value; then sensor, plug, hose.",
        )
    )
