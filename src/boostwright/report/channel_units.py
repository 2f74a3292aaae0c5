"""In which unit a channel of a log is shown to people."""

from __future__ import annotations

import math

from boostwright.tasks.find_pulls import channel_of
from boostwright.units import convert

__all__ = ["channel_number", "channel_unit", "in_channel_unit"]

_BY_KIND = {
    "rotational_speed": ("rpm", 0),
    "pressure": ("kPa", 1),
    "temperature": ("degC", 0),
    "velocity": ("km/h", 1),
    "mass_flow": ("g/s", 1),
    "volume_flow": ("L/h", 1),
    "angle": ("deg", 1),
    "power": ("kW", 1),
    "torque": ("Nm", 0),
    "voltage": ("V", 2),
    "time": ("ms", 2),
}
_PERCENT = (
    "throttle_position", "throttle_target", "pedal_position", "injector_duty", "solenoid_duty", "gate_position",
    "fuel_trim_short", "fuel_trim_long", "ethanol_share", "humidity", "engine_load",
)  # fmt: skip
_DECIMALS = {"lambda": 3, "lambda_target": 3, "air_fuel_ratio": 2, "air_fuel_ratio_target": 2, "gear": 0}


def channel_unit(name: str) -> str:
    """Unit a channel is shown in, a name of units.py; '' for a plain number or an unknown channel."""
    return _shown(name)[1]


def in_channel_unit(name: str, value: float) -> float:
    """A value in SI in the unit its channel is shown in."""
    kind, unit, _ = _shown(name)
    return convert(value, kind, unit) if kind and math.isfinite(value) else value


def channel_number(name: str, value: float) -> str:
    """The value as text in that unit; '-' for none."""
    return f"{in_channel_unit(name, value):.{_shown(name)[2]}f}" if math.isfinite(value) else "-"


def _shown(name: str) -> tuple[str, str, int]:
    found = channel_of(name)
    if found is None:
        return "", "", 3
    channel = found[0]
    if channel.name in _PERCENT:
        return "dimensionless", "%", 1
    if channel.kind in _BY_KIND:
        unit, decimals = _BY_KIND[channel.kind]
        return channel.kind, unit, decimals
    return "", "", _DECIMALS.get(channel.name, 3)
