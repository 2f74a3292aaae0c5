"""Which units a column's numbers can be in, by what the channel can read."""

from __future__ import annotations

from boostwright.logs.mapping.facts import Facts
from boostwright.logs.mapping.names import Channel
from boostwright.units import to_si

__all__ = ["COMMON", "fits", "fitting_units", "in_si"]

COMMON: dict[str, tuple[str, ...]] = {
    "pressure": ("kPa", "bar", "psi", "mbar", "Pa", "inHg", "MPa"),
    "temperature": ("degC", "degF", "K"),
    "rotational_speed": ("rpm", "krpm", "rad/s", "rev/s"),
    "velocity": ("km/h", "mph", "m/s"),
    "mass_flow": ("g/s", "kg/h", "lb/min", "kg/s", "lb/h", "g/min"),
    "volume_flow": ("L/h", "cm3/min", "cm3/s", "L/min"),
    "torque": ("Nm", "lbf*ft", "kgf*m"),
    "power": ("kW", "hp (mechanical)", "PS", "W"),
    "dimensionless": ("%", ""),
    "angle": ("deg", "rad"),
    "voltage": ("V", "mV"),
    "time": ("ms", "us", "s"),
    "air_fuel_ratio": ("",),
    "": ("",),
}
"""Units a column without one may be in, by kind."""

# the 98th hundredth reaches at least this in SI, in a log in which the engine ran
_REACH = {
    "engine_speed": 45.0,
    "shaft_speed": 500.0,
    "pressure_im": 60e3,
    "pressure_im_target": 60e3,
    "pressure_amb": 50e3,
    "pressure_em_static": 90e3,
    "pressure_2_static": 85e3,
    "pressure_bp_static": 85e3,
    "pressure_4_static": 85e3,
    "pressure_1_static": 60e3,
    "voltage_battery": 7.0,
    "mass_flow_air": 5e-3,
    "injector_time": 8e-4,
    "pressure_oil": 8e4,
    "fuel_pressure": 1.2e5,
    "temperature_coolant": 240.0,
    "egt_reading": 320.0,
}


def in_si(value: float, kind: str, unit: str) -> float:
    """A reading in SI; counts and air-fuel ratios are what they are."""
    return value if kind in ("", "air_fuel_ratio") else to_si(value, kind, unit)


def fits(facts: Facts, channel: Channel, unit: str, gauge: bool = False) -> bool:
    """True where all readings but a few are what the channel can read in that unit.

    gauge  the reading is over the air's pressure, which is taken as 100 kPa
    """
    if not facts.values.size:
        return False
    kind = channel.kind
    shift = 100e3 if gauge and channel.basis in ("absolute", "either") else 0.0
    low, high = (in_si(value, kind, unit) + shift for value in (facts.low, facts.high))
    reach = _REACH.get(channel.name, -1e30)
    return channel.low <= low and high <= channel.high and high >= reach


def fitting_units(facts: Facts, channel: Channel) -> list[str]:
    """The units that fit, commonest first."""
    units = [
        unit
        for unit in COMMON.get(channel.kind, ())
        if fits(facts, channel, unit) or _fits_gauge(facts, channel, unit)
    ]
    if channel.kind == "dimensionless" and len(units) == 2:
        # a share in per cent goes beyond 1.5 sooner or later; one that never does may be either
        return ["%"] if facts.high > 1.5 else units
    return units


def _fits_gauge(facts: Facts, channel: Channel, unit: str) -> bool:
    return channel.basis == "either" and fits(facts, channel, unit, gauge=True)
