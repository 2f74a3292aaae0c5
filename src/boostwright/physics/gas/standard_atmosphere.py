"""Standard atmosphere up to 11 km: what the air is at an altitude, and what an altimeter setting hides."""

from __future__ import annotations

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "density_altitude",
    "geopotential_height",
    "pressure_altitude",
    "standard_density",
    "standard_pressure",
    "standard_temperature",
    "station_pressure_from_qnh",
]

# 9.80665 / (287.05287 * 0.0065), the exponent of the troposphere
_EXPONENT = 5.255879812716677
_HEIGHT = Interval(-5000.0, 44330.0)
_TROPOSPHERE = Interval(-2000.0, 11000.0)
_ABOVE_ZERO = Interval(0.0, open_low=True)


@relation(
    source="iso-2533",
    status="from memory",
    domain={"geopotential_height": _HEIGHT},
    valid={"geopotential_height": _TROPOSPHERE},
)
def standard_temperature(geopotential_height: Number) -> Number:
    """Temperature of the standard atmosphere.

    geopotential_height  (...,)  [m]  -2000 to 11000
    Returns (...,) [K]. Raises OutOfDomain far outside the troposphere.
    Source: ISO 2533:1975, ICAO Doc 7488, from memory."""
    return 288.15 - 0.0065 * geopotential_height


@relation(
    source="iso-2533",
    status="from memory",
    domain={"geopotential_height": _HEIGHT},
    valid={"geopotential_height": _TROPOSPHERE},
)
def standard_pressure(geopotential_height: Number) -> Number:
    """Pressure of the standard atmosphere.

    geopotential_height  (...,)  [m]  -2000 to 11000
    Returns (...,) [Pa]. Raises OutOfDomain far outside the troposphere.
    Source: ISO 2533:1975, ICAO Doc 7488, from memory."""
    return 101325.0 * (1.0 - 0.0065 / 288.15 * geopotential_height) ** _EXPONENT


@relation(
    source="iso-2533",
    status="from memory",
    domain={"geopotential_height": _HEIGHT},
    valid={"geopotential_height": _TROPOSPHERE},
)
def standard_density(geopotential_height: Number) -> Number:
    """Density of the standard atmosphere.

    geopotential_height  (...,)  [m]  -2000 to 11000
    Returns (...,) [kg/m3]. Raises OutOfDomain far outside the troposphere.
    Source: ISO 2533:1975, ICAO Doc 7488, from memory."""
    ratio = 1.0 - 0.0065 / 288.15 * geopotential_height
    return 101325.0 / (287.05287 * 288.15) * ratio ** (_EXPONENT - 1.0)


@relation(source="iso-2533", status="from memory", domain={"altitude": Interval(-5000.0, 50000.0)})
def geopotential_height(altitude: Number) -> Number:
    """Geopotential height from geometric altitude.

    altitude  (...,)  [m]  above sea level, as a map or a satellite receiver gives it
    Returns (...,) [m]; 3 m less at 4500 m. Raises OutOfDomain outside -5000 to 50000.
    Source: ISO 2533:1975, nominal earth radius 6 356 766 m, from memory."""
    return altitude * 6356766.0 / (6356766.0 + altitude)


@relation(
    source="iso-2533",
    status="from memory",
    domain={"pressure": _ABOVE_ZERO},
    valid={"pressure": Interval(22632.0, 127774.0)},
)
def pressure_altitude(pressure: Number) -> Number:
    """Height at which the standard atmosphere has a pressure.

    pressure  (...,)  [Pa]  station pressure, absolute
    Returns (...,) [m], geopotential. Raises OutOfDomain for a pressure not above 0.
    Source: ISO 2533:1975 inverted, from memory."""
    return 288.15 / 0.0065 * (1.0 - (pressure / 101325.0) ** (1.0 / _EXPONENT))


@relation(
    source="iso-2533",
    status="from memory",
    domain={"density": _ABOVE_ZERO},
    valid={"density": Interval(0.3639, 1.478)},
)
def density_altitude(density: Number) -> Number:
    """Height at which the standard atmosphere has a density: the pilot's figure for how thin the air is.

    density  (...,)  [kg/m3]  of the air at the station, humidity included
    Returns (...,) [m], geopotential. Raises OutOfDomain for a density not above 0.
    Source: ISO 2533:1975 inverted, from memory."""
    ratio = density * 287.05287 * 288.15 / 101325.0
    return 288.15 / 0.0065 * (1.0 - ratio ** (1.0 / (_EXPONENT - 1.0)))


@relation(
    source="iso-2533",
    status="from memory",
    domain={"qnh": _ABOVE_ZERO, "geopotential_height": _HEIGHT},
    valid={"geopotential_height": _TROPOSPHERE},
)
def station_pressure_from_qnh(qnh: Number, geopotential_height: Number) -> Number:
    """Pressure at the station from a pressure reduced to sea level by the standard atmosphere.

    qnh                  (...,)  [Pa]  as an airfield or a weather service gives it
    geopotential_height  (...,)  [m]   of the station
    Returns (...,) [Pa]. Raises OutOfDomain outside the ranges given.
    Source: ICAO definition of QNH, ISO 2533:1975, from memory."""
    return qnh * (1.0 - 0.0065 / 288.15 * geopotential_height) ** _EXPONENT
