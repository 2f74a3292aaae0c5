"""Channels of a simulated run that no model of the gas path gives: coolant, oil, fuel, battery, the probes' readings.

Coolant, oil and battery are lumps of one temperature or curves of common size, own estimates: good enough to look like
a car and no more. Fuel and probes go through the same relations as a prediction.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.cards.card import Card
from boostwright.components.probe import probe_reading
from boostwright.logs.made.readings import DISPLAYED_RATIO, stream
from boostwright.logs.made.response import first_order
from boostwright.tasks.fuel_figures import fuel_margins

__all__ = ["extra_channels", "slipped"]

Array = NDArray[np.float64]
Channels = dict[str, Array]

_COOLANT_HEAT, _OIL_HEAT = 60e3, 14e3  # J/K of block with coolant, and of the oil
_COOLANT_SHARE, _OIL_SHARE = 0.22, 0.035  # of the fuel's power
_RADIATOR, _OIL_TO_COOLANT, _TO_AIR = 4.0e3, 250.0, 25.0  # W/K
_THERMOSTAT, _THERMOSTAT_SPAN = 358.0, 8.0  # K where it begins to open, and over which it opens
_SPARK_TO_HALF = np.deg2rad(33.0)  # own estimate
_NO_FUEL = 1e-7  # kg/s, below which the injectors are shut
_RAIL = 3e5  # Pa over the manifold, common practice
_GAS_CONSTANT = 288.0  # J/(kg K), exhaust


def extra_channels(
    build: Build, fuel: Card, time: Array, known: Mapping[str, Array], seed: int, cold: bool = False
) -> Channels:
    """The channels that are missing, (n,) SI.

    known  the model's channels (n,) by our names; none of them is made anew
    seed   draws what differs from cylinder to cylinder
    cold   True where coolant and oil begin at the air's temperature
    """
    made: Channels = {}

    def put(name: str, value: Array) -> None:
        if name not in known:
            made[name] = value

    amb = known["pressure_amb"]
    put("boost", known["pressure_im"] - amb)
    put("mass_flow_exhaust", known["mass_flow_air"] + known["mass_flow_fuel"])
    put("temperature_amb", np.full_like(time, build["ambient"].si("temperature")))
    put("humidity", np.full_like(time, build["ambient"].si("relative_humidity")))
    put("air_fuel_ratio", DISPLAYED_RATIO * known["lambda"])
    put("lambda_target", np.minimum(known["lambda"], 1.0))
    if "angle_half_burned" in known:
        put("angle_spark", _spark(known))
    put("power", known["torque"] * known["engine_speed"])
    put("vehicle_speed_roller", known["vehicle_speed"])
    coolant, oil = _heat(fuel, time, known, {**made, **known}["temperature_amb"], cold)
    put("temperature_coolant", coolant)
    put("temperature_oil", oil)
    running = known["engine_speed"] > 20.0
    put("pressure_oil", amb + np.where(running, _oil_pressure(known["engine_speed"], oil), 0.0))
    put("voltage_battery", first_order(np.where(running, 13.9, 12.4), float(time[1] - time[0]), 0.4))
    for name, value in _fuel(build, fuel, known).items():
        put(name, value)
    for name, value in _probes(build, time, {**made, **known}, seed).items():
        put(name, value)
    return made


def _heat(fuel: Card, time: Array, known: Mapping[str, Array], air: Array, cold: bool) -> tuple[Array, Array]:
    """Coolant and oil temperature (n,) [K] of two lumps, in steps of a tenth of a second."""
    step = float(time[1] - time[0])
    stride = max(1, round(0.1 / step))
    power = known["mass_flow_fuel"][::stride] * fuel.si("lower_heating_value")
    around = air[::stride]
    coolant, oil = np.empty_like(power), np.empty_like(power)
    water, sump = (float(air[0]), float(air[0])) if cold else (_THERMOSTAT - 3.0, _THERMOSTAT)
    span = stride * step
    for k in range(power.size):
        coolant[k], oil[k] = water, sump
        opened = min(max((water - _THERMOSTAT) / _THERMOSTAT_SPAN, 0.0), 1.0)
        across = _OIL_TO_COOLANT * (sump - water)
        water += (
            span
            / _COOLANT_HEAT
            * (_COOLANT_SHARE * power[k] + across - (_TO_AIR + opened * _RADIATOR) * (water - around[k]))
        )
        sump += span / _OIL_HEAT * (_OIL_SHARE * power[k] - across - _TO_AIR * (sump - around[k]))
    coarse = time[::stride]
    return np.interp(time, coarse, coolant), np.interp(time, coarse, oil)


def _spark(known: Mapping[str, Array]) -> Array:
    """Spark (n,) [rad] before top dead centre: half of the charge has burned a fixed angle after it; none at rest."""
    angle = _SPARK_TO_HALF - known["angle_half_burned"]
    return np.where(known["engine_speed"] > 20.0, angle, 0.0)


def _oil_pressure(speed: Array, oil: Array) -> Array:
    """Gauge pressure (n,) [Pa] of a pump that turns with the engine, up to its relief valve; less with thin oil."""
    thin = np.exp(-0.02 * (oil - 363.0))
    return np.minimum(80e3 + 0.9e3 * speed * thin, 4.6e5)


def _fuel(build: Build, fuel: Card, known: Mapping[str, Array]) -> Channels:
    """Injectors and rail, by the relations of a prediction; without a description the rail follows the manifold."""
    speed = known["engine_speed"]
    running = (speed > 20.0) & (known["mass_flow_fuel"] > _NO_FUEL)
    asked = dict(known)
    asked["mass_flow_fuel"] = np.where(
        running, known["mass_flow_fuel"], np.nan
    )  # nothing is asked of it at rest
    found = fuel_margins(build, fuel, asked)
    made: Channels = {}
    difference = found.get("injector_pressure_difference", np.full_like(speed, _RAIL))
    primed = float(np.median(difference[running])) if running.any() else _RAIL
    made["fuel_pressure"] = known["pressure_im"] + np.where(running, difference, primed)
    if "injector_duty" in found:
        duty = np.where(running, np.nan_to_num(found["injector_duty"]), 0.0)
        made["injector_duty"] = duty
        made["injector_time"] = duty * 4.0 * np.pi / np.maximum(speed, 20.0)
    return made


def _probes(build: Build, time: Array, known: Mapping[str, Array], seed: int) -> Channels:
    """What exhaust probes would settle at, in the collector and in each runner; lag is the instrument's matter."""
    share = _settling(build, time, known)
    air = known["temperature_amb"]
    gas = known["temperature_em"]
    made = {"egt_reading": air + share * (gas - air)}
    if "temperature_4" in known:
        made["egt_reading_downpipe"] = air + share * (known["temperature_4"] - air)  # the same probe there
    count = build["engine"].integer("cylinders")
    apart = stream(seed, "cylinders").normal(0.0, 10.0, count)
    for number in range(1, count + 1):
        own = known.get(f"temperature_em_{number}")
        if own is None:
            own = gas + apart[number - 1] * (gas - air) / 800.0
        made[f"egt_reading_{number}"] = air + share * (own - air)
    return made


def _settling(build: Build, time: Array, known: Mapping[str, Array]) -> Array:
    """Share (n,) of the gas' temperature over the air's that a probe in the collector shows.

    By the relations of a prediction from 800 K up; below, where the wall is no longer cooler by as much as is stated,
    the share is that of 800 K, and flow counts as a fiftieth of the highest at least.
    """
    stride = max(1, round(0.05 / float(time[1] - time[0])))
    gas = np.maximum(known["temperature_em"][::stride], 800.0)
    flow = known["mass_flow_exhaust"][::stride]
    flow = np.maximum(flow, 0.02 * max(float(flow.max()), 1e-3))
    pressure = known["pressure_em"][::stride]
    bore = build["exhaust_manifold"].si("collector_bore")
    constant = np.full_like(gas, _GAS_CONSTANT)
    shown = probe_reading(build["probe"], gas, pressure, flow, constant, bore).reading
    air = known["temperature_amb"][::stride]
    share = np.minimum((shown - air) / (gas - air), 1.0)
    return np.interp(time, time[::stride], share)


def slipped(channels: Channels, start: float, stop: float, time: Array, slip: float) -> None:
    """Wheels that outrun road or roller in the middle third of a stretch [s]: the car falls behind the engine.

    slip  share of the driven wheels' speed at the most
    """
    middle, width = 0.5 * (start + stop), (stop - start) / 6.0
    share = slip * np.exp(-(((time - middle) / max(width, 1e-3)) ** 4))
    for name in ("vehicle_speed", "vehicle_speed_roller", "vehicle_speed_gps"):
        if name in channels:
            channels[name] = channels[name] * (1.0 - share)
