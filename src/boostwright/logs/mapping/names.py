"""The channels of a log: our names, what they measure, and the range a sane reading keeps to.

The same table as "Channels of a log" in docs/reference/names.md. Ranges are wide bounds of what an engine on the road
or a dyno can show (common practice, no source); they settle units and never judge an engine.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["CHANNELS", "Channel", "channel_of"]


@dataclass(frozen=True)
class Channel:
    """A channel.

    name      our name; numbered channels carry _1, _2 ... behind it
    kind      kind of quantity in the table of units; "" for a plain count
    si        SI unit
    words     what it is
    low, high range of sane readings in SI, all rows but a few
    basis     "" none; "absolute" or "gauge" the only one it can have; "either" where it must be known
    numbered  what its numbers count, "" where there is one only
    """

    name: str
    kind: str
    si: str
    words: str
    low: float
    high: float
    basis: str = ""
    numbered: str = ""


_C = 273.15
_RPM = 0.10471975511965977

_LIST = (
    Channel("engine_speed", "rotational_speed", "rad/s", "engine speed", 0.0, 14000 * _RPM),
    Channel("vehicle_speed", "velocity", "m/s", "speed of the car, by a wheel or the gearbox", -1.0, 110.0),
    Channel("vehicle_speed_gps", "velocity", "m/s", "speed of the car by satellite", -1.0, 110.0),
    Channel("vehicle_speed_roller", "velocity", "m/s", "speed of a dyno's roller", -1.0, 110.0),
    Channel("wheel_speed", "velocity", "m/s", "speed of one wheel", -1.0, 110.0, "", "wheel"),
    Channel(
        "shaft_speed", "rotational_speed", "rad/s", "speed of the turbocharger's shaft", 0.0, 350000 * _RPM
    ),
    Channel("gear", "", "1", "gear", -2, 12),
    Channel("throttle_position", "dimensionless", "1", "throttle opening", -0.05, 1.1, "", "throttle"),
    Channel("throttle_target", "dimensionless", "1", "throttle opening asked for", -0.05, 1.1),
    Channel("pedal_position", "dimensionless", "1", "accelerator pedal", -0.05, 1.1, "", "track"),
    Channel("pressure_amb", "pressure", "Pa", "air pressure at the place", 50e3, 110e3, "absolute"),
    Channel("pressure_im", "pressure", "Pa", "intake manifold pressure", 8e3, 650e3, "absolute"),
    Channel(
        "boost",
        "pressure",
        "Pa",
        "intake manifold pressure over that of the air outside",
        -95e3,
        550e3,
        "gauge",
    ),
    Channel(
        "pressure_im_target", "pressure", "Pa", "intake manifold pressure asked for", 8e3, 650e3, "absolute"
    ),
    Channel("boost_target", "pressure", "Pa", "boost asked for", -95e3, 550e3, "gauge"),
    Channel(
        "pressure_1_static",
        "pressure",
        "Pa",
        "pressure at a tap before the compressor",
        50e3,
        115e3,
        "either",
    ),
    Channel(
        "pressure_2_static",
        "pressure",
        "Pa",
        "pressure at a tap behind the compressor",
        60e3,
        700e3,
        "either",
    ),
    Channel(
        "pressure_bp_static",
        "pressure",
        "Pa",
        "pressure at a tap in the boost pipe, cooler to throttle",
        60e3,
        700e3,
        "either",
    ),
    Channel(
        "pressure_em_static",
        "pressure",
        "Pa",
        "exhaust pressure at a tap before the turbine",
        70e3,
        1200e3,
        "either",
    ),
    Channel(
        "pressure_g_static",
        "pressure",
        "Pa",
        "exhaust pressure at a tap ahead of the gate valve",
        70e3,
        1200e3,
        "either",
    ),
    Channel(
        "pressure_4_static",
        "pressure",
        "Pa",
        "exhaust pressure at a tap behind the turbine",
        70e3,
        300e3,
        "either",
    ),
    Channel(
        "gate_pressure", "pressure", "Pa", "pressure in the wastegate's lower chamber", 0.0, 700e3, "either"
    ),
    Channel("temperature_amb", "temperature", "K", "temperature of the air outside", _C - 45, _C + 60),
    Channel("temperature_1", "temperature", "K", "temperature before the compressor", _C - 45, _C + 90),
    Channel("temperature_2", "temperature", "K", "temperature behind the compressor", _C - 40, _C + 300),
    Channel("temperature_bp", "temperature", "K", "temperature behind the charge cooler", _C - 40, _C + 200),
    Channel("temperature_im", "temperature", "K", "intake air temperature", _C - 45, _C + 170),
    Channel("temperature_coolant", "temperature", "K", "coolant temperature", _C - 45, _C + 150),
    Channel("temperature_oil", "temperature", "K", "engine oil temperature", _C - 45, _C + 180),
    Channel("temperature_fuel", "temperature", "K", "fuel temperature", _C - 45, _C + 110),
    Channel("temperature_gearbox", "temperature", "K", "gearbox oil temperature", _C - 45, _C + 180),
    Channel(
        "egt_reading",
        "temperature",
        "K",
        "exhaust temperature before the turbine, as a probe shows it",
        _C - 45,
        _C + 1250,
        "",
        "cylinder",
    ),
    Channel(
        "egt_reading_downpipe",
        "temperature",
        "K",
        "exhaust temperature behind the turbine, as a probe shows it",
        _C - 45,
        _C + 1150,
    ),
    Channel(
        "lambda", "dimensionless", "1", "lambda, as the probe shows it", 0.4, 12.0, "", "bank or cylinder"
    ),
    Channel("lambda_target", "dimensionless", "1", "lambda asked for", 0.5, 2.5),
    Channel(
        "air_fuel_ratio",
        "air_fuel_ratio",
        "1",
        "air-fuel ratio, as the instrument shows it",
        5.0,
        35.0,
        "",
        "bank or cylinder",
    ),
    Channel("air_fuel_ratio_target", "air_fuel_ratio", "1", "air-fuel ratio asked for", 5.0, 35.0),
    Channel("mass_flow_air", "mass_flow", "kg/s", "air flow by a meter", -0.02, 2.0),
    Channel("mass_flow_fuel", "mass_flow", "kg/s", "fuel flow by mass", 0.0, 0.2),
    Channel("volume_flow_fuel", "volume_flow", "m3/s", "fuel flow by volume", 0.0, 3e-4),
    Channel("fuel_pressure", "pressure", "Pa", "pressure in the fuel rail", 0.0, 40e6, "either"),
    Channel(
        "injector_pressure_difference", "pressure", "Pa", "pressure over the injectors", 0.0, 2e6, "gauge"
    ),
    Channel("injector_duty", "dimensionless", "1", "duty of the injectors", 0.0, 1.3),
    Channel("injector_time", "time", "s", "time an injector is switched on", 0.0, 0.06),
    Channel("fuel_trim_short", "dimensionless", "1", "short-term fuel correction", -0.6, 0.6, "", "bank"),
    Channel("fuel_trim_long", "dimensionless", "1", "long-term fuel correction", -0.6, 0.6, "", "bank"),
    Channel("ethanol_share", "dimensionless", "1", "ethanol in the fuel, by volume", 0.0, 1.05),
    Channel("angle_spark", "angle", "rad", "spark before top dead centre", -1.2, 1.4, "", "cylinder"),
    Channel("knock_retard", "angle", "rad", "spark taken back for knock", -0.5, 0.5, "", "cylinder"),
    Channel(
        "knock_level",
        "",
        "1",
        "noise of the knock sensor, in the instrument's own unit",
        -1e9,
        1e9,
        "",
        "cylinder",
    ),
    Channel("solenoid_duty", "dimensionless", "1", "duty of the boost-control solenoid", 0.0, 1.1),
    Channel("gate_position", "dimensionless", "1", "opening of the wastegate", -0.1, 1.2),
    Channel("pressure_oil", "pressure", "Pa", "engine oil pressure", 0.0, 1.2e6, "either"),
    Channel("pressure_crankcase", "pressure", "Pa", "pressure in the crankcase", -20e3, 130e3, "either"),
    Channel("pressure_coolant", "pressure", "Pa", "pressure in the coolant", 0.0, 400e3, "either"),
    Channel("voltage_battery", "voltage", "V", "battery voltage", 0.0, 18.0),
    Channel("torque", "torque", "Nm", "brake torque at the crankshaft", -400.0, 2500.0),
    Channel("torque_wheel", "torque", "Nm", "torque at the wheels or hubs", -3000.0, 20000.0),
    Channel("power", "power", "W", "brake power at the crankshaft", -1e5, 1.5e6),
    Channel("power_wheel", "power", "W", "power at the wheels or hubs", -1e5, 1.5e6),
    Channel("engine_load", "dimensionless", "1", "load as the controller counts it", 0.0, 4.0),
    Channel("humidity", "dimensionless", "1", "relative humidity", 0.0, 1.05),
    Channel("altitude", "length", "m", "height above the sea", -500.0, 6000.0),
    Channel("latitude", "angle", "rad", "latitude", -1.6, 1.6),
    Channel("longitude", "angle", "rad", "longitude", -3.2, 3.2),
)

CHANNELS: dict[str, Channel] = {channel.name: channel for channel in _LIST}
"""Every channel by its name."""


def channel_of(name: str) -> tuple[Channel, int] | None:
    """The channel of a name and its number, 0 where it has none: ``egt_reading_3``; None for an unknown one."""
    if name in CHANNELS:
        return CHANNELS[name], 0
    head, _, tail = name.rpartition("_")
    if tail.isdecimal() and head in CHANNELS and CHANNELS[head].numbered and 1 <= int(tail) <= 16:
        return CHANNELS[head], int(tail)
    return None
