"""Flat tops: a channel that stops at one value while its neighbours go on, or at the end of its range."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.mapping.names import channel_of
from boostwright.logs.sensor_checks.certainty import certainty_of_chance, certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.signal import Signal, runs_of
from boostwright.logs.sensor_checks.view import LogView
from boostwright.logs.sensor_checks.words import reading, unit_of

__all__ = ["check_clipped"]

Array = NDArray[np.float64]
_TOP = (
    "pressure_im", "boost", "pressure_1_static", "pressure_2_static", "pressure_bp_static", "pressure_em_static",
    "pressure_g_static", "pressure_4_static", "temperature_2", "temperature_bp", "temperature_im", "egt_reading",
    "egt_reading_downpipe", "mass_flow_air", "shaft_speed", "gate_pressure", "pressure_oil", "fuel_pressure",
)  # fmt: skip
_SIBLINGS = {
    "pressure_im": ("pressure_bp_static", "pressure_2_static"),
    "boost": ("pressure_bp_static", "pressure_2_static"),
    "pressure_bp_static": ("pressure_2_static", "pressure_im"),
    "pressure_2_static": ("pressure_bp_static", "pressure_im"),
}
_WINDOW = 15
_BESIDE = 6  # samples to either side of a flat top
_ONE_BYTE = 255e3
"""[Pa] the highest intake pressure one byte in kPa can say (SAE J1979, from memory)."""


def check_clipped(view: LogView) -> None:
    """Find them, and take the flat tops out for the checks that follow."""
    view.did("flat tops at the end of a range")
    for name in view.names:
        found = channel_of(name)
        plain = found[0].name if found else name
        if plain in _TOP:
            _one(view, view.signals[name], plain, top=True)
        elif plain in ("lambda", "air_fuel_ratio"):
            _one(view, view.signals[name], plain, top=False)


def _one(view: LogView, signal: Signal, plain: str, *, top: bool) -> None:
    value = signal.value
    end = float(value.max() if top else value.min())
    flat = np.abs(value - end) <= 1e-6 * max(abs(end), 1e-9)
    runs = [(a, b) for a, b in runs_of(flat) if b - a >= 3 and b - a < 0.5 * value.size]
    running = np.interp(signal.time, view.grid, view.running.astype(float)) > 0.5
    runs = [(a, b) for a, b in runs if running[a:b].mean() > 0.8]
    if not runs or float(np.ptp(value)) <= 8.0 * signal.quantum:
        return
    z, sibling, gap = _beyond_sibling(view, signal, plain, runs) if top else (np.nan, "", np.nan)
    sure = certainty_of_deviation(z) if np.isfinite(z) else 0.0
    vetoed = np.isfinite(gap) and gap < 2e3
    if not vetoed:
        sure = max(sure, _quiet_top(signal, runs, flat))
    full = view.facts.full_scale.get(signal.name, _ONE_BYTE if plain == "pressure_im" else np.nan)
    seconds = sum(float(signal.time[b - 1] - signal.time[a]) for a, b in runs)
    at_full = top and np.isfinite(full) and abs(end - full) < 0.006 * full and seconds > 0.3
    if at_full:
        sure = max(sure, certainty_of_deviation(2.3))
    if sure < 0.5:
        return
    _say(view, signal, sure, runs, end, seconds, (sibling, gap), (full if at_full else np.nan, top))
    view.clean(signal.name, flat)


def _beyond_sibling(
    view: LogView, signal: Signal, plain: str, runs: list[tuple[int, int]]
) -> tuple[float, str, float]:
    """How far the next pressure goes on while this one stands: z, its name, and by how much."""
    if plain == "mass_flow_air":
        return _beyond_demand(view, signal, runs)
    found = [_beyond_one(view, signal, runs, n) for n in _SIBLINGS.get(plain, ()) if n in view.signals]
    found = [one for one in found if np.isfinite(one[0])]
    return min(found) if found else (np.nan, "", np.nan)


def _beyond_one(
    view: LogView, signal: Signal, runs: list[tuple[int, int]], name: str
) -> tuple[float, str, float]:
    """The same for one of them; over the charge cooler the drop itself grows with the square of flow."""
    other = view.signals[name]
    cooler = 5e3 if "pressure_2_static" in (name, signal.name) else 0.0
    more = []
    for a, b in runs:
        if a < 1:
            continue
        at_edge = float(np.interp(signal.time[a - 1], other.time, other.value)) - float(signal.value[a - 1])
        inside = (other.time >= signal.time[a]) & (other.time <= signal.time[b - 1])
        if inside.sum() < 2:
            continue
        more.append(float(np.percentile(other.value[inside], 90) - signal.value[a]) - at_edge)
    if not more:
        return np.nan, name, np.nan
    gap = float(np.max(more))
    allowed = np.sqrt(
        (2.5e3) ** 2 + cooler**2 + (2 * other.noise) ** 2 + (2 * signal.noise) ** 2 + signal.quantum**2
    )
    return gap / float(allowed), name, gap


def _beyond_demand(view: LogView, signal: Signal, runs: list[tuple[int, int]]) -> tuple[float, str, float]:
    """The same for an air meter, against engine speed times manifold pressure."""
    demand = view.speed * view.load
    if not np.isfinite(demand).any():
        return np.nan, "", np.nan
    best = 0.0
    for a, b in runs:
        inside = (view.grid >= signal.time[a]) & (view.grid <= signal.time[b - 1]) & np.isfinite(demand)
        if inside.sum() < 3 or a < 1:
            continue
        start = float(np.nanmean(demand[inside][:2]))
        best = max(best, float(np.percentile(demand[inside], 95)) / start - 1.0)
    return best / 0.10, "engine_speed times pressure_im", np.nan


def _quiet_top(signal: Signal, runs: list[tuple[int, int]], flat: NDArray[np.bool_]) -> float:
    """A channel that scatters everywhere else and is the same to the last digit at its end."""
    noise, twitch = _scatter_elsewhere(signal.value, flat)
    if twitch < 0.5 or noise <= 0.0:
        return 0.0
    begin, end = max(runs, key=lambda run: run[1] - run[0])
    for beside in (signal.value[max(begin - _BESIDE, 0) : begin], signal.value[end : end + _BESIDE]):
        noise = min(noise, _settled_scatter(beside, float(signal.value[begin]), signal.quantum))
    if signal.quantum > 0.0 and noise < 0.6 * signal.quantum:
        return 0.0
    alike = min(0.7, signal.quantum / (2.0 * noise)) if signal.quantum > 0.0 else 0.1
    return certainty_of_chance(len(signal.value) * max(alike, 0.05) ** min(end - begin - 1, 40), 0.97)


def _settled_scatter(value: Array, level: float, quantum: float) -> float:
    """Standard deviation, from second differences, of samples beside the flat top that stay within steps of it.

    A reading that has settled tells its own scatter there; infinite where it moves or too few are there.
    """
    if value.size < _BESIDE or float(np.abs(value - level).max()) > 3.0 * quantum:
        return np.inf
    return float(np.sqrt(np.mean(np.diff(value, 2) ** 2) / 6.0))


def _scatter_elsewhere(value: Array, flat: NDArray[np.bool_]) -> tuple[float, float]:
    """Scatter of windows of fifteen samples away from the flat top, and how often it turns about.

    0 where a channel stands still elsewhere too: then its standing still at the top says nothing.
    """
    count = value.size // _WINDOW
    v = value[: count * _WINDOW].reshape(count, _WINDOW)
    v = v[~flat[: count * _WINDOW].reshape(count, _WINDOW).any(axis=1)]
    if len(v) < 4:
        return 0.0, 0.0
    bent = np.diff(v, 2, axis=1)
    sigma = np.sqrt(np.mean(bent**2, axis=1) / 6.0)
    if float((np.abs(np.diff(v, axis=1)).max(axis=1) == 0.0).mean()) > 0.08:
        return 0.0, 0.0
    level = float(np.percentile(sigma, 25))
    quiet = bent[sigma <= max(level, float(np.min(sigma)))]
    turns = float((quiet[:, 1:] * quiet[:, :-1] < 0).mean()) if quiet.size else 0.0
    return level, turns


def _say(
    view: LogView,
    signal: Signal,
    sure: float,
    runs: list[tuple[int, int]],
    end: float,
    seconds: float,
    sibling: tuple[str, float],
    scale: tuple[float, bool],
) -> None:
    evidence = [
        Evidence("flat at", end, unit_of(signal.name)),
        Evidence("for, in all", seconds, "s"),
        Evidence("times", float(len(runs))),
    ]
    if np.isfinite(sibling[1]):
        evidence.append(Evidence(f"meanwhile {sibling[0]} went on by", sibling[1], "Pa", step=True))
    if np.isfinite(scale[0]):
        evidence.append(Evidence("its full scale", scale[0], unit_of(signal.name)))
    side = "top" if scale[1] else "bottom"
    start, last = float(signal.time[runs[0][0]]), float(signal.time[runs[-1][1] - 1])
    view.faults.append(
        SensorFault(
            "clipped",
            (signal.name,),
            f"{signal.name} is flat at {reading(signal.name, end)}, the {side} of its range, for {seconds:.1f} s: "
            f"it says "
            f"no more than {'at least' if scale[1] else 'at most'} that.",
            sure,
            view.where_times(start, last),
            tuple(evidence),
            "Real pressures and temperatures scatter; only the end of a sensor, of its amplifier or of a byte is "
            "flat.",
            (
                "a limit in the controller's own scaling and not in the sensor",
                "a very steady control with coarse steps",
            ),
            "Compare with the sensor's full scale. Beyond it fuel, boost cut and every check here are blind: fit "
            "a larger one.",
        )
    )
