"""Channels that scatter more than what they measure can, by their own neighbours in time."""

from __future__ import annotations

import numpy as np

from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.signal import Signal, window_noise
from boostwright.logs.sensor_checks.tolerances import tolerance_of
from boostwright.logs.sensor_checks.view import RPM, LogView
from boostwright.logs.sensor_checks.words import unit_of

__all__ = ["check_noisy"]

_WINDOW = 15
_MOST = 1500


_REST = {"pressure_em_static": 1.5e3, "pressure_g_static": 1.5e3, "pressure_4_static": 0.9e3}
"""[Pa] Scatter of exhaust pressures where nothing pulses, at rest: 0.3 % of 5 and of 3 bar (common practice)."""


def check_noisy(view: LogView) -> None:
    """Find them."""
    view.did("scatter against what can be")
    unjudged = []
    for name in _REST:
        if name in view.signals and not _at_rest(view, view.signals[name]):
            view.could_not(
                f"scatter of {name} below that of its pulses",
                (),
                "it takes the key on and the engine off for a second and 45 samples",
            )
    for name in view.names:
        tolerance = tolerance_of(name)
        if tolerance is None or name == "gear":
            continue
        limit = max(tolerance.noise, 0.5 * view.signals[name].quantum)
        if name == "mass_flow_air":
            limit = max(2e-3, 0.04 * float(np.percentile(view.signals[name].value, 75)))
        if not _one(view, view.signals[name], limit):
            unjudged.append(name)
    if unjudged:
        view.could_not(
            "scatter of " + ", ".join(unjudged), (), "no stretch is steady for fifteen of its samples"
        )


def _one(view: LogView, signal: Signal, limit: float) -> bool:
    """False where nothing could be judged."""
    windows, times = _scatter(view, signal)
    if windows.size < 3:
        return False
    typical = float(np.median(windows))
    burst = float(np.percentile(windows, 92)) if windows.size >= 12 else 0.0
    z = max(typical / limit, burst / (3.0 * limit))
    sure = certainty_of_deviation(z, 0.95)
    if sure < 0.5:
        return True
    rough = times[windows >= min(typical, burst) if burst else windows >= typical]
    view.faults.append(
        SensorFault(
            "noisy",
            (signal.name,),
            f"{signal.name} scatters more than it can.",
            sure,
            view.where_times(float(rough[0]), float(rough[-1])),
            (
                Evidence(
                    "scatter, one standard deviation", max(typical, burst), unit_of(signal.name), step=True
                ),
                Evidence("a sound one keeps to", limit, unit_of(signal.name), step=True),
            ),
            "Between neighbouring samples, with load and speed steady, what it measures hardly moves.",
            (
                "real pulses that the tap, its hose and the sampling turn into scatter",
                "ignition or injector current in the sensor's ground",
            ),
            "Look at it with the engine off and key on: gone then means pulses or ignition; still there means "
            "wiring.",
        )
    )
    return True


def _at_rest(view: LogView, signal: Signal) -> bool:
    """Wiring alone, with the engine at rest; False where that was not logged for long enough."""
    still = np.interp(signal.time, view.grid, view.off.astype(float)) > 0.99
    values = signal.value[still]
    if values.size < 3 * _WINDOW or view.off.sum() * view.step < 1.0:
        return False
    scatter = float(np.sqrt(np.mean(window_noise(values) ** 2)))
    limit = max(_REST[signal.name], 0.5 * signal.quantum)
    sure = certainty_of_deviation(scatter / limit, 0.93)
    if sure >= LEAST:
        view.faults.append(
            SensorFault(
                "noisy",
                (signal.name,),
                f"{signal.name} scatters with the engine at rest, where nothing pulses.",
                sure,
                view.where(view.off),
                (
                    Evidence("scatter at rest, one standard deviation", scatter, "Pa", step=True),
                    Evidence("a sound one keeps to", limit, "Pa", step=True),
                ),
                "With the engine off the air in the line stands still: what scatters is the wiring.",
                ("a sensor of a far wider range", "a pump or fan on the same ground"),
                "Take the sensor's ground to the controller's own, away from coils and pumps, and look again.",
            )
        )
    return True


def _scatter(view: LogView, signal: Signal) -> tuple[np.ndarray, np.ndarray]:
    """Scatter of windows in which the engine runs steadily enough for the rate, and their middle times."""
    value, time = signal.value, signal.time
    count = value.size // _WINDOW
    if count == 0 or signal.interval > 1.5:
        return np.zeros(0), np.zeros(0)
    every = max(1, count // _MOST)  # a long log has enough of them
    v = value[: count * _WINDOW].reshape(count, _WINDOW)[::every]
    t = time[: count * _WINDOW].reshape(count, _WINDOW)[::every]
    # by the median, so that one step of the thing itself within a window does not pass for scatter
    sigma = 1.4826 * np.median(np.abs(np.diff(v, 2, axis=1)), axis=1) / np.sqrt(6.0)
    whole = t[:, -1] - t[:, 0] < 1.6 * (_WINDOW - 1) * signal.interval
    keep = whole & (np.interp(t[:, 7], view.grid, view.running.astype(float)) > 0.5)
    if signal.interval > 0.08 or signal.name in ("engine_speed", "throttle_position"):
        keep &= _steady(view, signal.name, t[:, 0], t[:, -1])
    return sigma[keep], t[keep, 7]


def _steady(view: LogView, name: str, start: np.ndarray, end: np.ndarray) -> np.ndarray:
    """Windows in which speed, load and pedal hardly move, by the other channels than the one that is judged."""
    good = np.ones(start.size, dtype=bool)
    for other, values, most in (
        ("engine_speed", view.speed, 250 * RPM),
        ("pressure_im", view.load, 12e3),
        ("vehicle_speed", view.on("vehicle_speed"), 1.0),
        *((one, view.on(one), 0.06) for one in ("throttle_position", "pedal_position", "pedal_position_1")),
    ):
        if other == name or not np.isfinite(values).any():
            continue
        first = np.searchsorted(view.grid, start)
        last = np.maximum(np.searchsorted(view.grid, end), first + 1)
        for k in range(start.size):
            if good[k]:
                part = values[first[k] : last[k] + 1]
                part = part[np.isfinite(part)]
                good[k] = part.size == 0 or float(np.percentile(part, 98) - np.percentile(part, 2)) < most
    return good
