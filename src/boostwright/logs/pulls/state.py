"""State and figures of a pull: how warm all is when it begins, the barometer, mean and peak of the main channels."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from boostwright.logs.mapping.names import channel_of
from boostwright.logs.pulls.grid import true_samples
from boostwright.logs.pulls.records import Barometer, ChannelFigures, Pull, Reading
from boostwright.logs.pulls.rules import RPM, PullFacts
from boostwright.logs.series import Channels, Series

__all__ = ["Describer", "barometer_of"]

_STATE = (
    "temperature_coolant", "temperature_oil", "temperature_im", "temperature_bp", "temperature_1", "temperature_amb",
    "egt_reading", "egt_reading_downpipe", "temperature_gearbox", "temperature_fuel", "pressure_oil",
)  # fmt: skip
_NO_FIGURE = {"latitude", "longitude", "gear"}
_STATE_WINDOW = 1.0
_STANDS = 50 * RPM
_QUIET = 400 * RPM


class Describer:
    """Reads each channel of a log once and describes pulls by them."""

    def __init__(self, channels: Channels, facts: PullFacts) -> None:
        """For a log."""
        self._samples: dict[str, tuple[np.ndarray, np.ndarray, str]] = {}
        for name in channels.names:
            if _base(name) not in _NO_FIGURE:
                series = channels.read(name)
                time, value, _ = true_samples(series)
                self._samples[name] = (time, value, series.basis)
        self._barometer = barometer_of(channels, facts)

    def described(self, pull: Pull) -> Pull:
        """The pull with its state, its barometer and the figures of its channels."""
        return replace(
            pull, state=self._state(pull), barometer=self._barometer, figures=tuple(self._figures(pull))
        )

    def _state(self, pull: Pull) -> tuple[Reading, ...]:
        """Readings at the start: the mean of the second before, else the last one before, else the first in it."""
        found = []
        for name, (time, value, _) in self._samples.items():
            if _base(name) not in _STATE or time.size == 0:
                continue
            a, b = np.searchsorted(time, (pull.start - _STATE_WINDOW, pull.start), side="right")
            if b > a:
                found.append(Reading(name, float(np.mean(value[a:b]))))
            elif b > 0 and pull.start - time[b - 1] < 30.0:
                found.append(Reading(name, float(value[b - 1])))
            elif b < time.size and time[b] <= pull.end:
                found.append(Reading(name, float(value[b])))
        return tuple(sorted(found, key=lambda one: (_STATE.index(_base(one.channel)), one.channel)))

    def _figures(self, pull: Pull) -> list[ChannelFigures]:
        speed_time, speed, _ = self._samples["engine_speed"]
        found = []
        for name, (time, value, basis) in self._samples.items():
            a, b = np.searchsorted(time, (pull.start, np.nextafter(pull.end, np.inf)))
            if b <= a:
                continue
            part = value[a:b]
            at = float(np.interp(time[a + int(part.argmax())], speed_time, speed))
            found.append(
                ChannelFigures(
                    name, basis, float(part.mean()), float(part.min()), float(part.max()), at, int(b - a)
                )
            )
        return found


def _base(name: str) -> str:
    found = channel_of(name)
    return found[0].name if found else name


def barometer_of(channels: Channels, facts: PullFacts) -> Barometer:
    """Air pressure at the place: by its own channel, by the manifold with the engine standing, else by the build."""
    if "pressure_amb" in channels.names:
        value = channels.read("pressure_amb").value
        if np.isfinite(value).any():
            return Barometer(float(np.nanmedian(value)), "pressure_amb in the log")
    if {"pressure_im", "engine_speed"} <= set(channels.names):
        pressure = channels.read("pressure_im")
        standing = _standing(pressure, channels.read("engine_speed"))
        if pressure.basis != "gauge" and standing is not None:
            return Barometer(standing, "pressure_im in the log, engine standing")
    if facts.barometer is not None:
        return Barometer(facts.barometer, "ambient pressure of the build")
    return Barometer(float("nan"), "none: the log has no air pressure and no build says it")


def _standing(pressure: Series, speed: Series) -> float | None:
    """Manifold pressure while the engine has stood for two seconds; None where it never does."""
    time, value, _ = true_samples(speed)
    if time.size < 3:
        return None
    turning = np.maximum.accumulate(np.where(value > _STANDS, time, -np.inf))
    at, read, _ = true_samples(pressure)
    if at.size == 0:
        return None
    k = np.searchsorted(time, at, side="right") - 1
    still = (
        (k >= 0) & (value[k] <= _STANDS) & (at - np.maximum(turning[k], time[0]) > 2.0) & (at - time[k] < 3.0)
    )
    readings = read[still]
    if readings.size < 3 or float(np.std(readings)) > 0.01 * float(np.mean(readings)):
        return None
    return float(np.median(readings))
