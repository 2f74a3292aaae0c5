"""Two bases of an ambient pressure: at the place itself (station), or as set on an altimeter (QNH)."""

from __future__ import annotations

from boostwright.errors import UnitError
from boostwright.units.table import GRAVITY

__all__ = ["qnh_from_station_pressure", "station_pressure_from_qnh"]

_SEA_LEVEL_PRESSURE = 101325.0  # Pa
_SEA_LEVEL_TEMPERATURE = 288.15  # K
_LAPSE_RATE = 0.0065  # K/m, of geopotential altitude
_EXPONENT = GRAVITY / (287.05287 * _LAPSE_RATE)  # 5.25588


def station_pressure_from_qnh(qnh: float, altitude: float) -> float:
    """The pressure at the place itself [Pa] from the altimeter setting QNH.

    qnh       [Pa]  the setting with which an altimeter at the place shows the place's altitude
    altitude  [m]   geopotential altitude of the place, -500 to 11 000
    Returns [Pa]. Raises UnitError outside the troposphere.
    Source: ISO 2533:1975, constants of the standard atmosphere (sea level 101 325 Pa, 288.15 K, 6.5 K/km);
    the altimeter reads the standard atmosphere shifted in altitude, which is the definition of QNH.
    """
    if not -500.0 <= altitude <= 11000.0:
        raise UnitError(
            f"QNH cannot be reduced at an altitude of {altitude:g} m; allowed are -500 m to 11 000 m."
        )
    ratio = (qnh / _SEA_LEVEL_PRESSURE) ** (1 / _EXPONENT) - _LAPSE_RATE * altitude / _SEA_LEVEL_TEMPERATURE
    return float(_SEA_LEVEL_PRESSURE * ratio**_EXPONENT)


def qnh_from_station_pressure(pressure: float, altitude: float) -> float:
    """The altimeter setting QNH [Pa] where ``pressure`` [Pa] stands at ``altitude`` [m]: the inverse."""
    ratio = (pressure / _SEA_LEVEL_PRESSURE) ** (
        1 / _EXPONENT
    ) + _LAPSE_RATE * altitude / _SEA_LEVEL_TEMPERATURE
    return float(_SEA_LEVEL_PRESSURE * ratio**_EXPONENT)
