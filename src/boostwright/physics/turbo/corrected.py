"""Corrected (referred) flow and speed, and moving them from one reference condition to another."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "GAS_CONSTANT_DRY_AIR",
    "REFERENCE_PRESSURE",
    "REFERENCE_TEMPERATURE",
    "actual_flow",
    "corrected_flow",
    "corrected_speed",
    "mass_flow_of_volume_flow",
    "referred_flow",
    "referred_speed",
]

REFERENCE_PRESSURE = 101325.0
"""Pressure [Pa] to which every compressor is corrected inside the program."""
REFERENCE_TEMPERATURE = 288.15
"""Temperature [K] to which every compressor is corrected inside the program."""
GAS_CONSTANT_DRY_AIR = 287.05
"""Gas constant [J/(kg K)] of the dry air of a compressor's reference condition."""

_ABOVE_ZERO = Interval(0.0, open_low=True)
_STATE = {
    "temperature": _ABOVE_ZERO,
    "pressure": _ABOVE_ZERO,
    "reference_temperature": _ABOVE_ZERO,
    "reference_pressure": _ABOVE_ZERO,
}


@relation(source="definition", status="definition", domain=_STATE)
def corrected_flow(
    mass_flow: Number,
    temperature: Number,
    pressure: Number,
    reference_temperature: Number,
    reference_pressure: Number,
) -> Number:
    """Mass flow corrected to reference conditions.

    mass_flow              (...,)  [kg/s]
    temperature            (...,)  [K]   inlet total, > 0
    pressure               (...,)  [Pa]  inlet total, absolute, > 0
    reference_temperature  (...,)  [K]   > 0
    reference_pressure     (...,)  [Pa]  absolute, > 0
    Returns (...,) [kg/s]. Raises OutOfDomain outside those domains.
    Source: definition, W sqrt(T/Tref)/(p/pref)."""
    result: Number = (
        mass_flow * np.sqrt(temperature / reference_temperature) * (reference_pressure / pressure)
    )
    return result


@relation(source="definition", status="definition", domain=_STATE)
def actual_flow(
    corrected: Number,
    temperature: Number,
    pressure: Number,
    reference_temperature: Number,
    reference_pressure: Number,
) -> Number:
    """Mass flow that a corrected flow stands for; inverse of ``corrected_flow``.

    corrected              (...,)  [kg/s]
    temperature            (...,)  [K]   inlet total, > 0
    pressure               (...,)  [Pa]  inlet total, absolute, > 0
    reference_temperature  (...,)  [K]   > 0
    reference_pressure     (...,)  [Pa]  absolute, > 0
    Returns (...,) [kg/s]. Raises OutOfDomain outside those domains.
    Source: definition."""
    result: Number = (
        corrected * np.sqrt(reference_temperature / temperature) * (pressure / reference_pressure)
    )
    return result


@relation(
    source="definition",
    status="definition",
    domain={"temperature": _ABOVE_ZERO, "reference_temperature": _ABOVE_ZERO},
)
def corrected_speed(speed: Number, temperature: Number, reference_temperature: Number) -> Number:
    """Shaft speed corrected to a reference temperature.

    speed                  (...,)  [rad/s]
    temperature            (...,)  [K]  inlet total, > 0
    reference_temperature  (...,)  [K]  > 0
    Returns (...,) [rad/s]. Raises OutOfDomain outside those domains.
    Source: definition, N/sqrt(T/Tref)."""
    result: Number = speed * np.sqrt(reference_temperature / temperature)
    return result


@relation(
    source="definition",
    status="definition",
    domain={
        "from_temperature": _ABOVE_ZERO,
        "from_pressure": _ABOVE_ZERO,
        "to_temperature": _ABOVE_ZERO,
        "to_pressure": _ABOVE_ZERO,
    },
)
def referred_flow(
    corrected: Number,
    from_temperature: Number,
    from_pressure: Number,
    to_temperature: Number,
    to_pressure: Number,
) -> Number:
    """Corrected flow moved from one reference condition to another; the operating state drops out.

    corrected         (...,)  [kg/s]  at the first reference
    from_temperature  (...,)  [K]     first reference, > 0
    from_pressure     (...,)  [Pa]    first reference, > 0
    to_temperature    (...,)  [K]     second reference, > 0
    to_pressure       (...,)  [Pa]    second reference, > 0
    Returns (...,) [kg/s]. Raises OutOfDomain outside those domains.
    Source: definition of corrected flow, applied twice."""
    result: Number = corrected * (to_pressure / from_pressure) * np.sqrt(from_temperature / to_temperature)
    return result


@relation(
    source="definition",
    status="definition",
    domain={"from_temperature": _ABOVE_ZERO, "to_temperature": _ABOVE_ZERO},
)
def referred_speed(corrected: Number, from_temperature: Number, to_temperature: Number) -> Number:
    """Corrected speed moved from one reference temperature to another.

    corrected         (...,)  [rad/s]  at the first reference
    from_temperature  (...,)  [K]      first reference, > 0
    to_temperature    (...,)  [K]      second reference, > 0
    Returns (...,) [rad/s]. Raises OutOfDomain outside those domains.
    Source: definition of corrected speed, applied twice."""
    result: Number = corrected * np.sqrt(to_temperature / from_temperature)
    return result


@relation(
    source="definition",
    status="definition",
    domain={"temperature": _ABOVE_ZERO, "pressure": _ABOVE_ZERO},
)
def mass_flow_of_volume_flow(volume_flow: Number, temperature: Number, pressure: Number) -> Number:
    """Mass flow of dry air that a volume flow at a stated condition carries.

    volume_flow  (...,)  [m3/s]
    temperature  (...,)  [K]   of the condition for which the volume is stated, > 0
    pressure     (...,)  [Pa]  of that condition, > 0
    Returns (...,) [kg/s], with 287.05 J/(kg K). Raises OutOfDomain outside those domains.
    Source: ideal gas law."""
    return volume_flow * pressure / (287.05 * temperature)
