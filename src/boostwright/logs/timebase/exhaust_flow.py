"""Exhaust flow, good enough to say how late a reading is: by the air meter, else by speed and boost."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.series import Channels
from boostwright.logs.timebase.facts import TimeFacts
from boostwright.logs.timebase.resample import resample
from boostwright.logs.timebase.sampling import Sampling

__all__ = ["ExhaustFlow", "exhaust_flow"]

Array = NDArray[np.float64]

_FUEL = (
    1.0 / 14.0
)  # of the air, petrol about stoichiometric: a few per cent of the flow either way do not count
_GAS_CONSTANT = 289.0  # J/(kg K), burned gas
_AIR = 287.05
_FILLING = 0.85  # of the displacement at manifold density, own estimate
_HOT = 950.0  # K, where no exhaust temperature is logged, own estimate
_BEHIND = 4e3  # Pa over the air's at a probe behind the turbine, own estimate
_AIR_PRESSURE = 100e3
_PLACES = {"behind-turbine": "pressure_4_static", "ahead-of-turbine": "pressure_em_static"}


@dataclass(frozen=True, eq=False)
class ExhaustFlow:
    """Flow over time.

    time (n,) [s]; mass (n,) [kg/s]; volume (n,) [m3/s] at temperature and pressure of the lambda probe's place;
    speed (n,) [rad/s] of the engine; words: what it is made of
    """

    time: Array
    mass: Array
    volume: Array
    speed: Array
    words: str


def exhaust_flow(channels: Channels, sampled: Mapping[str, Sampling], facts: TimeFacts) -> ExhaustFlow | str:
    """Exhaust flow at the samples of engine speed; a sentence on what is missing where there is none.

    sampled  of the log's channels by name
    Air by meter plus a fourteenth of fuel; without a meter displacement, speed and manifold pressure with a filling of
    0.85. What is not logged is assumed and named.
    """
    if "engine_speed" not in sampled or sampled["engine_speed"].time.size < 2:
        return "engine_speed is not logged"
    time, speed = sampled["engine_speed"].time, sampled["engine_speed"].value
    said = []
    if "mass_flow_air" in sampled and sampled["mass_flow_air"].time.size > 1:
        air = _at(sampled["mass_flow_air"], time)
        said.append("air meter")
    elif "pressure_im" in sampled and sampled["pressure_im"].time.size > 1 and facts.displacement > 0.0:
        charge = (
            _at(sampled["temperature_im"], time) if "temperature_im" in sampled else np.full(time.size, 313.0)
        )
        density = _at(sampled["pressure_im"], time) / (_AIR * np.maximum(charge, 230.0))
        air = _FILLING * facts.displacement * density * speed / (4.0 * np.pi)
        said.append("speed, manifold pressure and displacement with a filling of 0.85")
    else:
        return "neither mass_flow_air is logged, nor pressure_im with a build that states the engine"
    mass = np.maximum(air * (1.0 + _FUEL), 1e-4)
    temperature, words = _temperature(sampled, time)
    said.append(words)
    pressure, words = _pressure(channels, sampled, time, facts)
    said.append(words)
    volume = mass * _GAS_CONSTANT * temperature / pressure
    return ExhaustFlow(time, mass, volume, speed, ", ".join(said))


def _at(sampling: Sampling, time: Array) -> Array:
    """A channel at other times, its ends and gaps bridged: only a delay hangs on it."""
    good = np.isfinite(sampling.value)
    made = resample(sampling, time).value
    return np.where(np.isfinite(made), made, np.interp(time, sampling.time[good], sampling.value[good]))


def _temperature(sampled: Mapping[str, Sampling], time: Array) -> tuple[Array, str]:
    named = [n for n in sampled if n.startswith("egt_reading") and sampled[n].time.size > 1]
    named.sort(key=lambda n: (n != "egt_reading_4", n))
    if not named:
        return np.full(time.size, _HOT), f"gas of {_HOT:.0f} K assumed"
    return np.clip(_at(sampled[named[0]], time), 300.0, 1500.0), named[0]


def _pressure(
    channels: Channels, sampled: Mapping[str, Sampling], time: Array, facts: TimeFacts
) -> tuple[Array, str]:
    air = _AIR_PRESSURE
    if "pressure_amb" in sampled and sampled["pressure_amb"].time.size:
        air = float(np.nanmedian(sampled["pressure_amb"].value))
    name = _PLACES.get(facts.lambda_place, "pressure_4_static")
    if name not in sampled or sampled[name].time.size < 2:
        return np.full(time.size, air + _BEHIND), f"{(air + _BEHIND) / 1e3:.0f} kPa at the probe assumed"
    read = _at(sampled[name], time)
    if channels.read(name).basis == "gauge":
        read = read + air
    return np.maximum(read, 0.5 * air), name
