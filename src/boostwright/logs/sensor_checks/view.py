"""A log as the checks see it: signals, one common clock, the engine's states, the air's pressure, what is blamed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.mapping.names import channel_of
from boostwright.logs.sensor_checks.facts import SensorFacts
from boostwright.logs.sensor_checks.records import NotMade, SensorFault, Where
from boostwright.logs.sensor_checks.signal import Signal, runs_of, signal_of, turn_of
from boostwright.logs.sensor_checks.tolerances import half_width
from boostwright.logs.series import Channels, ChannelsInMemory, Series

__all__ = ["RPM", "LogView"]

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
RPM = 0.10471975511965977
_MOST = 60_000
_SETTLE = 3.0
_SELDOM = 3.0
_SLOW = ("pressure_amb", "temperature_amb", "temperature_coolant", "temperature_oil", "voltage_battery")


def _table_of(series: Series) -> tuple[int, float]:
    """What tells the tables of a log apart: their rows."""
    return series.time.size, float(series.time[0]) if series.time.size else 0.0


def _turns(series: Mapping[str, Series]) -> dict[tuple[int, float], int]:
    """For each table how many rows lie between two readings of a channel, by those that change often enough."""
    found: dict[tuple[int, float], list[int]] = {}
    for one in series.values():
        turn = turn_of(one.value[np.isfinite(one.value)], 3)
        if turn:
            found.setdefault(_table_of(one), []).append(turn)
    return {table: int(np.median(turns)) for table, turns in found.items()}


class LogView:
    """Signals by name, and times at which the engine stands, idles or pulls; findings are gathered in it."""

    def __init__(self, channels: Channels, facts: SensorFacts) -> None:
        """Reads every channel once. Raises LogError where one cannot be read."""
        self.facts = facts
        self.signals: dict[str, Signal] = {}
        series = {name: channels.read(name) for name in channels.names}
        turns = _turns(series)
        seldom: list[str] = []
        for name, one in series.items():
            found = signal_of(name, one, turns.get(_table_of(one), 0))
            if found is not None and (found.interval <= _SELDOM or name.startswith(_SLOW)):
                self.signals[name] = found
            elif found is not None:
                seldom.append(name)
        self.faults: list[SensorFault] = []
        self.not_made: list[NotMade] = []
        self.made: list[str] = []
        self.shifted: dict[str, float] = {}
        self._series, self._as_read = series, dict(self.signals)
        self._cache: dict[str, Array] = {}
        if seldom:
            self.could_not(
                "anything on " + ", ".join(seldom), (), f"they are sampled less than once in {_SELDOM:.0f} s"
            )

    @property
    def names(self) -> tuple[str, ...]:
        """Channels with numbers in them."""
        return tuple(self.signals)

    def channels(self, *without: str) -> ChannelsInMemory:
        """What is left of the log: channels as they were read, those that were mended as they are now."""
        return ChannelsInMemory(
            {
                name: self._series[name]
                if self._as_read.get(name) is signal
                else Series(signal.time, signal.value, signal.basis)
                for name, signal in self.signals.items()
                if name not in without
            }
        )

    def numbered(self, plain: str) -> list[str]:
        """The channels of a kind, ``egt_reading_1`` ... or ``egt_reading`` itself, in order."""
        found = [(channel_of(n), n) for n in self.signals]
        return [n for c, n in sorted(found, key=lambda x: x[0][1] if x[0] else 0) if c and c[0].name == plain]

    @cached_property
    def grid(self) -> Array:
        """(m,) [s] common times, 0.1 s apart or as far as a long log needs."""
        if not self.signals:
            return np.zeros(0)
        start = min(float(s.time[0]) for s in self.signals.values())
        end = max(float(s.time[-1]) for s in self.signals.values())
        fastest = min(s.interval for s in self.signals.values())
        step = max(fastest, 0.05, (end - start) / _MOST)
        return np.arange(start, end + 0.5 * step, step)

    @property
    def step(self) -> float:
        """[s] between common times."""
        return float(self.grid[1] - self.grid[0]) if self.grid.size > 1 else 1.0

    def on(self, name: str) -> Array:
        """A channel on the common times, NaN where it has none."""
        if name not in self._cache:
            found = self.signals.get(name)
            self._cache[name] = (
                np.full(self.grid.shape, np.nan) if found is None else np.asarray(found.at(self.grid))
            )
        return self._cache[name]

    def clean(self, name: str, bad: Mask) -> None:
        """Take samples out of a channel, for the checks that follow; what is left must still be a channel."""
        old = self.signals[name]
        if bad.any():
            keep = ~bad
            if keep.sum() < 8:
                self.drop(name)
                return
            self.signals[name] = replace(old, time=old.time[keep], value=old.value[keep])
            self.forget()

    def drop(self, name: str) -> None:
        """Take a channel out of the checks that follow."""
        self.signals.pop(name, None)
        self.forget()

    def exchange(self, one: str, two: str) -> None:
        """Give two channels each other's samples."""
        a, b = self.signals[one], self.signals[two]
        self.signals[one], self.signals[two] = replace(b, name=one), replace(a, name=two)
        self.forget()

    def put_right(
        self, name: str, *, factor: float = 1.0, more: float = 0.0, basis: str | None = None
    ) -> None:
        """Scale, shift or rename the basis of a channel that was found wrong, for the checks that follow."""
        old = self.signals[name]
        self.signals[name] = replace(
            old,
            value=old.value * factor + more,
            noise=old.noise * factor,
            quantum=old.quantum * factor,
            basis=old.basis if basis is None else basis,
        )
        self.forget()

    def condemn(self, *names: str) -> None:
        """Leave doubtful channels out of the checks that follow, and say so."""
        there = [n for n in names if n in self.signals]
        for name in there:
            self.drop(name)
        if there:
            self.could_not(
                "comparisons with " + " and ".join(there), (), "it is doubtful itself, see the faults"
            )

    def forget(self) -> None:
        """Throw away what was worked out from signals."""
        kept_grid = self.__dict__.get("grid")
        for key in ("speed", "running", "off", "idle", "load", "boosted", "pressed", "barometer"):
            self.__dict__.pop(key, None)
        self._cache.clear()
        if kept_grid is not None:
            self.__dict__["grid"] = kept_grid

    @cached_property
    def speed(self) -> Array:
        """Engine speed [rad/s] on the common times, NaN where not logged."""
        return self.on("engine_speed")

    @cached_property
    def running(self) -> Mask:
        """The engine turns by itself; True everywhere where its speed is not logged."""
        if "engine_speed" not in self.signals:
            return np.ones(self.grid.size, dtype=bool)
        with np.errstate(invalid="ignore"):
            return np.asarray(self.speed > 350 * RPM)

    @cached_property
    def off(self) -> Mask:
        """The engine stands and the pipes are at the air's pressure: the first 3 s after it ran are left out."""
        if "engine_speed" not in self.signals:
            return np.zeros(self.grid.size, dtype=bool)
        with np.errstate(invalid="ignore"):
            still = self.speed < 20 * RPM
        edge = max(self.signals["engine_speed"].interval, self.step)
        taken = np.zeros(self.grid.size, dtype=bool)
        for first, last in runs_of(still):
            ran = bool(self.running[:first].any())
            start = self.grid[first] + (_SETTLE if ran else 0.0)
            end = self.grid[last - 1] - 2.0 * edge
            if end - start >= 1.0:
                taken |= (self.grid >= start) & (self.grid <= end)
        return taken

    @cached_property
    def idle(self) -> Mask:
        """Idle for two seconds at least, the car at rest where its speed is logged."""
        if "engine_speed" not in self.signals:
            return np.zeros(self.grid.size, dtype=bool)
        with np.errstate(invalid="ignore"):
            slow = (self.speed > 400 * RPM) & (self.speed < 1250 * RPM)
            if "vehicle_speed" in self.signals:
                slow &= self.on("vehicle_speed") < 1.0
            if "throttle_position" in self.signals:
                opening = self.on("throttle_position")
                slow &= opening < np.nanpercentile(opening, 2) + 0.08
        return self.lasting(slow, 2.0, 1.5)

    @cached_property
    def load(self) -> Array:
        """Intake manifold pressure, absolute [Pa]: of the manifold, the boost, or the pipe; NaN where none."""
        for name in ("pressure_im", "boost", "pressure_bp_static", "pressure_2_static"):
            if name in self.signals:
                return self.absolute(name)
        return np.full(self.grid.shape, np.nan)

    @cached_property
    def boosted(self) -> Mask:
        """The manifold is pressed, 15 % over the air, and moves by less than 12 kPa/s: the engine works."""
        return self._pressed(self.load)

    @cached_property
    def pressed(self) -> Mask:
        """Any of manifold, pipe and compressor outlet is: one of them may be read wrongly, or the throttle be shut."""
        names = [n for n in ("pressure_im", "pressure_bp_static", "pressure_2_static") if n in self.signals]
        return self._pressed(np.fmax.reduce([self.load, *(self.absolute(n) for n in names)]))

    def _pressed(self, pressure: Array) -> Mask:
        load = self.load
        with np.errstate(invalid="ignore"):
            high = pressure > 1.15 * self.barometer[0]
            slope = np.abs(np.gradient(load, self.step)) if load.size > 2 else np.zeros_like(load)
            calm = self._smooth(slope) < 12e3
        return self.lasting(high & calm & self.running, 1.0, 0.3)

    def _smooth(self, values: Array) -> Array:
        width = max(1, round(0.5 / self.step))
        if width < 2:
            return values
        return np.asarray(np.convolve(np.nan_to_num(values, nan=1e9), np.ones(width) / width, mode="same"))

    @cached_property
    def barometer(self) -> tuple[float, float, str]:
        """The air's pressure [Pa], its half-width [Pa] and where it is from."""
        found = self.signals.get("pressure_amb")
        if found is not None:
            middle = float(np.median(found.value))
            if 50e3 < middle < 110e3:
                return middle, self.tolerance("pressure_amb", middle), "pressure_amb"
        rest = [
            float(np.nanmedian(self.on(n)[self.off]))
            for n in ("pressure_im", "pressure_2_static", "pressure_bp_static", "pressure_1_static")
            if n in self.signals
            and n not in self.shifted  # it was put right by another pressure, or by the build's
            and self.signals[n].basis != "gauge"
            and np.isfinite(self.on(n)[self.off]).sum() >= 5
        ]
        rest = [value for value in rest if 60e3 < value < 108e3]
        if rest:
            return float(np.median(rest)), 2e3, "pressures with the engine at rest"
        if self.facts.barometer is not None:
            return self.facts.barometer, 4e3, "the build"
        return 98e3, 8e3, "nothing: 98 kPa taken"

    def absolute(self, name: str) -> Array:
        """A pressure on the common times over vacuum [Pa]."""
        values = self.on(name)
        gauge = name == "boost" or (name in self.signals and self.signals[name].basis == "gauge")
        return values + self.barometer[0] if gauge else values

    def tolerance(self, name: str, value: float) -> float:
        """Half-width of a sound sensor [SI]: tolerance, half its step, twice its scatter of a mean of nine."""
        found = self.signals.get(name)
        own = half_width(name, value, self.facts.tolerance.get(name))
        fine = 0.0 if found is None else (found.quantum / 2) ** 2 + (2 * found.noise / 3) ** 2
        return float(np.sqrt(own**2 + fine))

    def lasting(self, mask: Mask, least: float, trim: float) -> Mask:
        """Stretches of a mask that last, without ``trim`` seconds at their beginning."""
        taken = np.zeros(mask.size, dtype=bool)
        for first, last in runs_of(mask):
            if self.grid[last - 1] - self.grid[first] >= least:
                skip = min(round(trim / self.step), last - first - 1)
                taken[first + skip : last] = True
        return taken

    def where(self, mask: Mask) -> Where:
        """Time and engine speed of a mask on the common times."""
        at = np.flatnonzero(mask)
        if not at.size:
            return Where(np.nan, np.nan, np.nan, np.nan)
        return self.where_times(float(self.grid[at[0]]), float(self.grid[at[-1]]), mask)

    def where_times(self, start: float, end: float, mask: Mask | None = None) -> Where:
        """Between two times [s]; engine speeds of ``mask``, else of all between."""
        inside = (self.grid >= start) & (self.grid <= end) if mask is None else mask
        speeds = self.speed[inside]
        speeds = speeds[np.isfinite(speeds)]
        low, high = (max(float(speeds.min()), 0.0), float(speeds.max())) if speeds.size else (np.nan, np.nan)
        return Where(start, end, low, high)

    def could_not(self, check: str, missing: Sequence[str], why: str) -> None:
        """Note a check that could not be made."""
        self.not_made.append(NotMade(check, tuple(missing), why))

    def did(self, check: str) -> None:
        """Note a check that was made."""
        if check not in self.made:
            self.made.append(check)
