"""What a sound sensor may be off by: data with its source, replaced by what a build says of its own."""

from __future__ import annotations

from dataclasses import dataclass

from boostwright.logs.mapping.names import channel_of

__all__ = ["TOLERANCES", "Tolerance", "half_width", "tolerance_of"]


@dataclass(frozen=True)
class Tolerance:
    """Half-width of what 95 of 100 sound sensors keep to.

    fixed   in SI
    share   of the reading (of degC for temperatures)
    noise   most scatter (standard deviation) a sound channel shows while nothing moves, in SI
    source  where it is from
    status  read, computed, from memory or common practice
    """

    fixed: float
    share: float
    noise: float
    source: str
    status: str


_PIPE = "ratiometric transducer, 1.5 % of 3 bar over temperature, less what a key-on zero removes"
_EXHAUST = "ratiometric transducer, 1.5 % of 5 bar over temperature, less what a key-on zero removes"
_CARD = "from memory"
_USE = "common practice"

TOLERANCES: dict[str, Tolerance] = {
    "pressure_amb": Tolerance(1.0e3, 0.0, 0.6e3, "barometer of a controller", _USE),
    "pressure_im": Tolerance(2.0e3, 0.01, 1.4e3, _PIPE + "; the scatter with the intake's own pulses", _CARD),
    "pressure_1_static": Tolerance(1.5e3, 0.0, 1.5e3, _PIPE, _CARD),
    "pressure_2_static": Tolerance(2.0e3, 0.01, 1.6e3, _PIPE, _CARD),
    "pressure_bp_static": Tolerance(2.0e3, 0.01, 1.6e3, _PIPE, _CARD),
    "pressure_em_static": Tolerance(
        4.0e3, 0.015, 15.0e3, _EXHAUST + "; the scatter with exhaust pulses", _CARD
    ),
    "pressure_g_static": Tolerance(4.0e3, 0.015, 15.0e3, _EXHAUST, _CARD),
    "pressure_4_static": Tolerance(2.5e3, 0.01, 4.0e3, _PIPE, _CARD),
    "gate_pressure": Tolerance(3.0e3, 0.02, 12.0e3, _PIPE, _CARD),
    "pressure_crankcase": Tolerance(2.0e3, 0.02, 5.0e3, _PIPE, _CARD),
    "pressure_oil": Tolerance(2.0e4, 0.03, 4.0e4, "ratiometric transducer of 10 bar", _CARD),
    "fuel_pressure": Tolerance(2.0e4, 0.03, 4.0e4, "ratiometric transducer of 10 bar", _CARD),
    "temperature_": Tolerance(2.0, 0.01, 1.0, "NTC thermistor with its line", _CARD),
    "egt_reading": Tolerance(
        2.5, 0.0075, 5.0, "IEC 60584-1, type K, class 2; scatter: wire and pulses", _CARD
    ),
    "egt_reading_downpipe": Tolerance(2.5, 0.0075, 5.0, "IEC 60584-1, type K, class 2; scatter: wire", _CARD),
    "engine_speed": Tolerance(1.0, 0.003, 3.0, "toothed wheel; scatter: firing", _USE),
    "vehicle_speed": Tolerance(0.3, 0.04, 0.5, "rolling radius and wear of a tyre", _USE),
    "shaft_speed": Tolerance(50.0, 0.01, 200.0, "pulse counter", _USE),
    "mass_flow_air": Tolerance(
        1.0e-3, 0.05, 8.0e-3, "hot film meter in a pipe that is not the one it knew", _USE
    ),
    "mass_flow_fuel": Tolerance(1.0e-4, 0.04, 1.0e-3, "injector flow and dead time", _USE),
    "lambda": Tolerance(0.02, 0.01, 0.03, "wideband probe with its controller", _USE),
    "throttle_position": Tolerance(0.02, 0.0, 0.02, "potentiometer", _USE),
    "pedal_position": Tolerance(0.02, 0.0, 0.02, "potentiometer", _USE),
    "voltage_battery": Tolerance(0.2, 0.0, 0.5, "divider of a controller", _USE),
}
"""Channel, or the beginning of its name -> tolerance, from memory or common practice; a build's own go first."""


def tolerance_of(name: str) -> Tolerance | None:
    """The tolerance of a channel by its name, numbered or not; None where none is known."""
    found = channel_of(name)
    plain = found[0].name if found else name
    if plain in TOLERANCES:
        return TOLERANCES[plain]
    plain = {
        "boost": "pressure_im",
        "vehicle_speed_gps": "vehicle_speed",
        "vehicle_speed_roller": "vehicle_speed",
        "wheel_speed": "vehicle_speed",
        "air_fuel_ratio": "",
    }.get(plain, plain)
    if plain.startswith("temperature_"):
        return TOLERANCES["temperature_"]
    return TOLERANCES.get(plain)


def half_width(name: str, value: float, own: float | None = None) -> float:
    """What a sound sensor may be off by at a reading [SI]; ``own`` is what the build says of it."""
    if own is not None:
        return own
    found = tolerance_of(name)
    if found is None:
        return 0.0
    level = value - 273.15 if name.startswith(("temperature_", "egt_")) else value
    return max(found.fixed, found.share * abs(level))
