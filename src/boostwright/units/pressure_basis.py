"""Two bases of an ambient pressure: at the place itself (station), or brought down to sea level (QNH)."""

from __future__ import annotations

from boostwright.errors import UnitError
from boostwright.units.table import GRAVITY

__all__ = ["qnh_from_station_pressure", "station_pressure_from_qnh"]

_SEA_LEVEL_TEMPERATURE = 288.15  # K
_LAPSE_RATE = 0.0065  # K/m, of geopotential altitude
_EXPONENT = GRAVITY / (287.05287 * _LAPSE_RATE)  # 5.25588


def station_pressure_from_qnh(qnh: float, altitude: float) -> float:
    """The pressure at the place itself [Pa] from the sea-level pressure of a weather report.

    qnh       [Pa]  pressure brought down to sea level with the standard atmosphere
    altitude  [m]   geopotential altitude of the place, -500 to 11 000
    Returns [Pa]. Raises UnitError outside the troposphere.
    Source: ISO 2533:1975, constants of the standard atmosphere (288.15 K and 6.5 K/km), from memory. An
    altimeter's own scale, which shifts the standard atmosphere in altitude instead of scaling it, differs by
    less than 0.3 % below 2 500 m.
    """
    return float(qnh * _ratio(altitude))


def qnh_from_station_pressure(pressure: float, altitude: float) -> float:
    """The sea-level pressure QNH [Pa] where ``pressure`` [Pa] stands at ``altitude`` [m]: the inverse."""
    return float(pressure / _ratio(altitude))


def _ratio(altitude: float) -> float:
    """Pressure at the altitude over that at sea level; raises UnitError outside the troposphere."""
    if not -500.0 <= altitude <= 11000.0:
        raise UnitError(
            f"QNH cannot be reduced at an altitude of {altitude:g} m; allowed are -500 m to 11 000 m"
        )
    return float((1 - _LAPSE_RATE * altitude / _SEA_LEVEL_TEMPERATURE) ** _EXPONENT)
