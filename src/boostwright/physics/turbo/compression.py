"""Compression of a gas with constant specific heat: outlet temperature, work and efficiency by definition."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["efficiency_from_temperatures", "specific_work_compression", "temperature_after_compression"]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_EFFICIENCY = Interval(0.0, 1.0, open_low=True)
_GAMMA = Interval(1.0, 3.0, open_low=True)


@relation(
    source="watson-janota-1982",
    status="from memory",
    domain={
        "temperature_in": _ABOVE_ZERO,
        "pressure_ratio": _ABOVE_ZERO,
        "efficiency": _EFFICIENCY,
        "heat_capacity_ratio": _GAMMA,
    },
    valid={"pressure_ratio": Interval(1.0)},
)
def temperature_after_compression(
    temperature_in: Number, pressure_ratio: Number, efficiency: Number, heat_capacity_ratio: Number
) -> Number:
    """Outlet total temperature of an adiabatic compressor with constant specific heat.

    temperature_in       (...,)  [K]  total
    pressure_ratio       (...,)  [-]  total to total; below 1 the machine throttles, efficiency has no meaning
    efficiency           (...,)  [-]  isentropic, total to total, above 0 and up to 1
    heat_capacity_ratio  (...,)  [-]  mean over the rise
    Returns (...,) [K]. Raises OutOfDomain outside the ranges given.
    Source: definition of isentropic efficiency; Watson and Janota (1982), chapter 2, from memory."""
    g = heat_capacity_ratio
    return temperature_in * (1.0 + (pressure_ratio ** ((g - 1.0) / g) - 1.0) / efficiency)


@relation(
    source="watson-janota-1982",
    status="from memory",
    domain={
        "temperature_in": _ABOVE_ZERO,
        "pressure_ratio": _ABOVE_ZERO,
        "efficiency": _EFFICIENCY,
        "specific_heat": _ABOVE_ZERO,
        "heat_capacity_ratio": _GAMMA,
    },
    valid={"pressure_ratio": Interval(1.0)},
)
def specific_work_compression(
    temperature_in: Number,
    pressure_ratio: Number,
    efficiency: Number,
    specific_heat: Number,
    heat_capacity_ratio: Number,
) -> Number:
    """Work that a mass of gas takes up in a compressor with constant specific heat.

    temperature_in       (...,)  [K]         total
    pressure_ratio       (...,)  [-]         total to total
    efficiency           (...,)  [-]         isentropic, total to total, above 0 and up to 1
    specific_heat        (...,)  [J/(kg K)]  mean over the rise
    heat_capacity_ratio  (...,)  [-]         mean over the rise
    Returns (...,) [J/kg]. Raises OutOfDomain outside the ranges given.
    Source: definition of isentropic efficiency; Watson and Janota (1982), chapter 2, from memory."""
    g = heat_capacity_ratio
    return specific_heat * temperature_in * (pressure_ratio ** ((g - 1.0) / g) - 1.0) / efficiency


@relation(
    source="watson-janota-1982",
    status="from memory",
    domain={
        "temperature_in": _ABOVE_ZERO,
        "temperature_out": _ABOVE_ZERO,
        "pressure_ratio": _ABOVE_ZERO,
        "heat_capacity_ratio": _GAMMA,
    },
    valid={"pressure_ratio": Interval(1.0)},
)
def efficiency_from_temperatures(
    temperature_in: Number, temperature_out: Number, pressure_ratio: Number, heat_capacity_ratio: Number
) -> Number:
    """Isentropic efficiency of a compressor from measured temperatures; heat from the housing spoils it.

    temperature_in       (...,)  [K]  total
    temperature_out      (...,)  [K]  total
    pressure_ratio       (...,)  [-]  total to total
    heat_capacity_ratio  (...,)  [-]  mean over the rise
    Returns (...,) [-]; infinite without a rise of temperature, above 1 where a probe lags. Raises OutOfDomain outside
    the ranges given.
    Source: definition of isentropic efficiency; Watson and Janota (1982), chapter 2, from memory."""
    g = heat_capacity_ratio
    rise = temperature_out - temperature_in
    # np.divide, not /: plain floats would raise where arrays give infinity
    result: Number = np.divide(temperature_in * (pressure_ratio ** ((g - 1.0) / g) - 1.0), rise)
    return result
