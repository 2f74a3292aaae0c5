"""Normal shock in a perfect gas: what an over-driven nozzle or a supersonic probe sees."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "mach_number_after_shock",
    "shock_density_ratio",
    "shock_pressure_ratio",
    "shock_temperature_ratio",
    "shock_total_pressure_ratio",
]

_SUPERSONIC = Interval(1.0)
_GAMMA = Interval(1.0, 3.0, open_low=True)


@relation(
    source="naca-1135",
    status="from memory",
    domain={"mach_number": _SUPERSONIC, "heat_capacity_ratio": _GAMMA},
)
def mach_number_after_shock(mach_number: Number, heat_capacity_ratio: Number) -> Number:
    """Mach number behind a normal shock.

    mach_number          (...,)  [-]  ahead of it, 1 or above
    heat_capacity_ratio  (...,)  [-]  constant
    Returns (...,) [-]. Raises OutOfDomain for a Mach number below 1 or a ratio not above 1.
    Source: NACA Report 1135 (1953), eq. 96, from memory."""
    g = heat_capacity_ratio
    square = mach_number**2
    result: Number = np.sqrt(((g - 1.0) * square + 2.0) / (2.0 * g * square - (g - 1.0)))
    return result


@relation(
    source="naca-1135",
    status="from memory",
    domain={"mach_number": _SUPERSONIC, "heat_capacity_ratio": _GAMMA},
)
def shock_pressure_ratio(mach_number: Number, heat_capacity_ratio: Number) -> Number:
    """Static pressure behind over ahead of a normal shock.

    mach_number          (...,)  [-]  ahead of it, 1 or above
    heat_capacity_ratio  (...,)  [-]  constant
    Returns (...,) [-]. Raises OutOfDomain for a Mach number below 1 or a ratio not above 1.
    Source: NACA Report 1135 (1953), eq. 93, from memory."""
    g = heat_capacity_ratio
    return (2.0 * g * mach_number**2 - (g - 1.0)) / (g + 1.0)


@relation(
    source="naca-1135",
    status="from memory",
    domain={"mach_number": _SUPERSONIC, "heat_capacity_ratio": _GAMMA},
)
def shock_density_ratio(mach_number: Number, heat_capacity_ratio: Number) -> Number:
    """Density behind over ahead of a normal shock.

    mach_number          (...,)  [-]  ahead of it, 1 or above
    heat_capacity_ratio  (...,)  [-]  constant
    Returns (...,) [-]. Raises OutOfDomain for a Mach number below 1 or a ratio not above 1.
    Source: NACA Report 1135 (1953), eq. 94, from memory."""
    g = heat_capacity_ratio
    square = mach_number**2
    return (g + 1.0) * square / ((g - 1.0) * square + 2.0)


@relation(
    source="naca-1135",
    status="from memory",
    domain={"mach_number": _SUPERSONIC, "heat_capacity_ratio": _GAMMA},
)
def shock_temperature_ratio(mach_number: Number, heat_capacity_ratio: Number) -> Number:
    """Static temperature behind over ahead of a normal shock.

    mach_number          (...,)  [-]  ahead of it, 1 or above
    heat_capacity_ratio  (...,)  [-]  constant
    Returns (...,) [-]. Raises OutOfDomain for a Mach number below 1 or a ratio not above 1.
    Source: NACA Report 1135 (1953), eq. 95, from memory."""
    g = heat_capacity_ratio
    square = mach_number**2
    return (2.0 * g * square - (g - 1.0)) * ((g - 1.0) * square + 2.0) / ((g + 1.0) ** 2 * square)


@relation(
    source="naca-1135",
    status="from memory",
    domain={"mach_number": _SUPERSONIC, "heat_capacity_ratio": _GAMMA},
)
def shock_total_pressure_ratio(mach_number: Number, heat_capacity_ratio: Number) -> Number:
    """Total pressure behind over ahead of a normal shock.

    mach_number          (...,)  [-]  ahead of it, 1 or above
    heat_capacity_ratio  (...,)  [-]  constant
    Returns (...,) [-]. Raises OutOfDomain for a Mach number below 1 or a ratio not above 1.
    Source: NACA Report 1135 (1953), eq. 99, from memory."""
    g = heat_capacity_ratio
    square = mach_number**2
    squeeze = (g + 1.0) * square / ((g - 1.0) * square + 2.0)
    rise = (g + 1.0) / (2.0 * g * square - (g - 1.0))
    return squeeze ** (g / (g - 1.0)) * rise ** (1.0 / (g - 1.0))
