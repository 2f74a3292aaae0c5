"""Which units a column's numbers can be in, by what the channel can read."""

from __future__ import annotations

from boostwright.logs.mapping.facts import Facts
from boostwright.logs.mapping.names import Channel
from boostwright.units import to_si

__all__ = ["COMMON", "fits", "fitting_units", "in_si", "share_or_per_cent", "too_small_for"]

COMMON: dict[str, tuple[str, ...]] = {
    "pressure": ("kPa", "bar", "psi", "mbar", "Pa", "inHg", "MPa", "mmHg"),
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
        return ["%"] if facts.high > max(1.5, channel.high) else units
    return units


def _fits_gauge(facts: Facts, channel: Channel, unit: str) -> bool:
    return channel.basis == "either" and fits(facts, channel, unit, gauge=True)


# largest reading, with or without its sign, of a log in which the engine ran: less than this is rather another unit
_LEAST = {
    **{name: _REACH[name] for name in ("engine_speed", "shaft_speed", "voltage_battery", "injector_time")},
    **{name: _REACH[name] for name in ("mass_flow_air", "pressure_oil", "fuel_pressure", "pressure_amb")},
    **dict.fromkeys(
        ("boost", "pressure_im", "pressure_2_static", "pressure_bp_static", "pressure_em_static"), 3e3
    ),
    **dict.fromkeys(("boost_target", "pressure_im_target"), 3e3),
    **dict.fromkeys(("injector_duty", "humidity", "engine_load"), 0.011),
    "angle_spark": 0.035,
    "power": 3e3,
    "power_wheel": 3e3,
    "torque": 15.0,
    "torque_wheel": 15.0,
}
_WARM = ("temperature_coolant", "temperature_oil")
_WARM_READS = (70.0, 120.0)  # a warm engine's in degC; in degF it would be one just started


def too_small_for(facts: Facts, channel: Channel, unit: str) -> list[str]:
    """Units in which the readings would be of the size the channel has, where in this unit they are far too small."""
    if channel.name in _WARM and unit == "degF" and _WARM_READS[0] < facts.high < _WARM_READS[1]:
        return ["degC"]
    least = _LEAST.get(channel.name)
    if least is None:
        return []

    def largest(one: str) -> float:
        zero = in_si(0.0, channel.kind, one)
        return max(abs(in_si(value, channel.kind, one) - zero) for value in (facts.low, facts.high))

    if not 0.0 < largest(unit) < least:
        return []
    return [one for one in fitting_units(facts, channel) if one != unit and largest(one) >= least]


def share_or_per_cent(facts: Facts, channel: Channel, declared: str) -> str | None:
    """The unit of a share whose header has one, None where header and numbers leave it open."""
    if channel.name in ("lambda", "lambda_target", "gear"):
        return declared
    if (
        declared == "%"
        and 0.3 < facts.high <= 1.0
        and facts.low >= 0
        and channel.name in ("throttle_position", "pedal_position")
    ):
        return None
    if declared == "" and facts.high > 1.5 and channel.name not in ("engine_load",):
        return None
    return declared
