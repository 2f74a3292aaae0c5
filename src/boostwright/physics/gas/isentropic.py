"""Steady flow of a perfect gas without friction or heat: ratios to the total state, Mach number,
choking."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "area_ratio",
    "choked_flow_function",
    "critical_pressure_ratio",
    "density_ratio",
    "mach_number_from_pressure_ratio",
    "mach_number_from_static_pressure",
    "mach_number_from_total_pressure",
    "pressure_ratio",
    "temperature_ratio",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)
_GAMMA = Interval(1.0, 3.0, open_low=True)


@relation(
    source="naca-1135",
    status="from memory",
    domain={"mach_number": _NOT_NEGATIVE, "heat_capacity_ratio": _GAMMA},
)
def pressure_ratio(mach_number: Number, heat_capacity_ratio: Number) -> Number:
    """Static over total pressure.

    mach_number          (...,)  [-]
    heat_capacity_ratio  (...,)  [-]  constant
    Returns (...,) [-]. Raises OutOfDomain for a negative Mach number or a ratio not above 1.
    Source: NACA Report 1135 (1953), eq. 44, from memory."""
    g = heat_capacity_ratio
    return (1.0 + 0.5 * (g - 1.0) * mach_number**2) ** (-g / (g - 1.0))


@relation(
    source="naca-1135",
    status="from memory",
    domain={"mach_number": _NOT_NEGATIVE, "heat_capacity_ratio": _GAMMA},
)
def density_ratio(mach_number: Number, heat_capacity_ratio: Number) -> Number:
    """Static over total density.

    mach_number          (...,)  [-]
    heat_capacity_ratio  (...,)  [-]  constant
    Returns (...,) [-]. Raises OutOfDomain for a negative Mach number or a ratio not above 1.
    Source: NACA Report 1135 (1953), eq. 45, from memory."""
    g = heat_capacity_ratio
    return (1.0 + 0.5 * (g - 1.0) * mach_number**2) ** (-1.0 / (g - 1.0))


@relation(
    source="naca-1135",
    status="from memory",
    domain={"mach_number": _NOT_NEGATIVE, "heat_capacity_ratio": _GAMMA},
)
def temperature_ratio(mach_number: Number, heat_capacity_ratio: Number) -> Number:
    """Static over total temperature.

    mach_number          (...,)  [-]
    heat_capacity_ratio  (...,)  [-]  constant
    Returns (...,) [-]. Raises OutOfDomain for a negative Mach number or a ratio not above 1.
    Source: NACA Report 1135 (1953), eq. 43, from memory."""
    return 1.0 / (1.0 + 0.5 * (heat_capacity_ratio - 1.0) * mach_number**2)


@relation(
    source="naca-1135",
    status="from memory",
    domain={"mach_number": _ABOVE_ZERO, "heat_capacity_ratio": _GAMMA},
)
def area_ratio(mach_number: Number, heat_capacity_ratio: Number) -> Number:
    """Area over the area at which the same flow would be sonic.

    mach_number          (...,)  [-]  above 0
    heat_capacity_ratio  (...,)  [-]  constant
    Returns (...,) [-]. Raises OutOfDomain for a Mach number not above 0 or a ratio not above 1.
    Source: NACA Report 1135 (1953), eq. 80, from memory."""
    g = heat_capacity_ratio
    exponent = (g + 1.0) / (2.0 * (g - 1.0))
    return (2.0 / (g + 1.0) * (1.0 + 0.5 * (g - 1.0) * mach_number**2)) ** exponent / mach_number


@relation(source="heywood-1988", status="from memory", domain={"heat_capacity_ratio": _GAMMA})
def critical_pressure_ratio(heat_capacity_ratio: Number) -> Number:
    """Static over total pressure at which the flow is sonic.

    heat_capacity_ratio  (...,)  [-]  constant
    Returns (...,) [-]. Raises OutOfDomain for a ratio not above 1.
    Source: Heywood (1988), appendix C, from memory."""
    g = heat_capacity_ratio
    return (2.0 / (g + 1.0)) ** (g / (g - 1.0))


@relation(source="heywood-1988", status="from memory", domain={"heat_capacity_ratio": _GAMMA})
def choked_flow_function(heat_capacity_ratio: Number) -> Number:
    """Mass flow times sqrt(R T0) over area and total pressure when the flow is sonic.

    heat_capacity_ratio  (...,)  [-]  constant
    Returns (...,) [-]. Raises OutOfDomain for a ratio not above 1.
    Source: Heywood (1988), appendix C, from memory."""
    g = heat_capacity_ratio
    result: Number = np.sqrt(g) * (2.0 / (g + 1.0)) ** ((g + 1.0) / (2.0 * (g - 1.0)))
    return result


@relation(
    source="naca-1135",
    status="from memory",
    domain={
        "pressure_ratio": Interval(0.0, 1.0, open_low=True),
        "heat_capacity_ratio": _GAMMA,
    },
)
def mach_number_from_pressure_ratio(pressure_ratio: Number, heat_capacity_ratio: Number) -> Number:
    """Mach number from static over total pressure.

    pressure_ratio       (...,)  [-]  static over total, above 0 and up to 1
    heat_capacity_ratio  (...,)  [-]  constant
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: NACA Report 1135 (1953), eq. 44 inverted, from memory."""
    g = heat_capacity_ratio
    result: Number = np.sqrt(2.0 / (g - 1.0) * (pressure_ratio ** (-(g - 1.0) / g) - 1.0))
    return result


@relation(
    source="naca-1135",
    status="from memory",
    domain={
        "mass_flow": _NOT_NEGATIVE,
        "static_pressure": _ABOVE_ZERO,
        "total_temperature": _ABOVE_ZERO,
        "area": _ABOVE_ZERO,
        "gas_constant": _ABOVE_ZERO,
        "heat_capacity_ratio": _GAMMA,
    },
)
def mach_number_from_static_pressure(
    mass_flow: Number,
    static_pressure: Number,
    total_temperature: Number,
    area: Number,
    gas_constant: Number,
    heat_capacity_ratio: Number,
) -> Number:
    """Mach number in a pipe whose wall tap reads the static pressure.

    mass_flow            (...,)  [kg/s]      averaged over the pipe
    static_pressure      (...,)  [Pa]        absolute, as a wall tap reads
    total_temperature    (...,)  [K]
    area                 (...,)  [m2]        of the pipe
    gas_constant         (...,)  [J/(kg K)]  specific gas constant
    heat_capacity_ratio  (...,)  [-]         constant
    Returns (...,) [-], closed form. Raises OutOfDomain outside the ranges given.
    Source: continuity with NACA Report 1135 (1953), eq. 43, from memory; solved for the square of Mach."""
    g = heat_capacity_ratio
    flow = mass_flow / (area * static_pressure)
    twice = 2.0 * flow * flow * gas_constant * total_temperature / g
    result: Number = np.sqrt(twice / (1.0 + np.sqrt(1.0 + (g - 1.0) * twice)))
    return result


@relation(
    source="naca-1135",
    status="from memory",
    domain={
        "mass_flow": _NOT_NEGATIVE,
        "total_pressure": _ABOVE_ZERO,
        "total_temperature": _ABOVE_ZERO,
        "area": _ABOVE_ZERO,
        "gas_constant": _ABOVE_ZERO,
        "heat_capacity_ratio": _GAMMA,
    },
)
def mach_number_from_total_pressure(
    mass_flow: Number,
    total_pressure: Number,
    total_temperature: Number,
    area: Number,
    gas_constant: Number,
    heat_capacity_ratio: Number,
) -> Number:
    """Subsonic Mach number in a pipe whose total pressure is known.

    mass_flow            (...,)  [kg/s]      averaged over the pipe
    total_pressure       (...,)  [Pa]        absolute
    total_temperature    (...,)  [K]
    area                 (...,)  [m2]        of the pipe
    gas_constant         (...,)  [J/(kg K)]  specific gas constant
    heat_capacity_ratio  (...,)  [-]         constant
    Returns (...,) [-], at most 1: 1 says that the pipe cannot pass the flow. Raises OutOfDomain outside
    the ranges given.
    Source: continuity with NACA Report 1135 (1953), eqs. 43 and 44, from memory. Newton's method from
    below on a concave function, 14 steps: exact to 1e-9 up to Mach 0.9, to 1e-4 beside 1."""
    g = heat_capacity_ratio
    wanted = mass_flow * np.sqrt(gas_constant * total_temperature) / (area * total_pressure)
    root = np.sqrt(g)
    exponent = (g + 1.0) / (2.0 * (g - 1.0))
    mach = np.minimum(wanted / root, 1.0)
    for _ in range(14):
        base = 1.0 + 0.5 * (g - 1.0) * mach * mach
        shrink = base ** (-exponent)
        slope = root * shrink * (1.0 - mach * mach) / base
        mach = np.minimum(mach + (wanted - root * mach * shrink) / np.maximum(slope, 1e-12), 1.0)
    return mach
