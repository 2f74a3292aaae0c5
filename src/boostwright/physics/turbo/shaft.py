"""Shaft: power balance, the expansion ratio that a compressor asks of its turbine, run-up."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["expansion_ratio_needed", "shaft_acceleration", "shaft_power_residual"]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)
_SHARE = Interval(0.0, 1.0, open_low=True)
_GAMMA = Interval(1.0, 3.0, open_low=True)


@relation(source="definition", status="definition", domain={"mechanical_efficiency": _SHARE})
def shaft_power_residual(
    power_turbine: Number, power_compressor: Number, mechanical_efficiency: Number
) -> Number:
    """Power left over on the shaft: zero when steady, positive when it speeds up.

    power_turbine          (...,)  [W]  given up by the gas
    power_compressor       (...,)  [W]  taken up by the air
    mechanical_efficiency  (...,)  [-]  above 0, up to 1
    Returns (...,) [W]. Raises OutOfDomain outside the ranges given.
    Source: energy balance."""
    return mechanical_efficiency * power_turbine - power_compressor


@relation(
    source="definition",
    status="definition",
    domain={"inertia": _ABOVE_ZERO, "rotational_speed": _ABOVE_ZERO},
)
def shaft_acceleration(power_residual: Number, inertia: Number, rotational_speed: Number) -> Number:
    """Angular acceleration of the shaft.

    power_residual    (...,)  [W]      from shaft_power_residual
    inertia           (...,)  [kg m2]  of both wheels and the shaft
    rotational_speed  (...,)  [rad/s]  above 0
    Returns (...,) [rad/s2]. Raises OutOfDomain outside the ranges given.
    Source: moment of momentum."""
    return power_residual / (inertia * rotational_speed)


@relation(
    source="definition",
    status="definition",
    domain={
        "power_compressor": _NOT_NEGATIVE,
        "mass_flow_turbine": _ABOVE_ZERO,
        "temperature_in": _ABOVE_ZERO,
        "efficiency_turbine": _SHARE,
        "mechanical_efficiency": _SHARE,
        "specific_heat": _ABOVE_ZERO,
        "heat_capacity_ratio": _GAMMA,
    },
)
def expansion_ratio_needed(
    power_compressor: Number,
    mass_flow_turbine: Number,
    temperature_in: Number,
    efficiency_turbine: Number,
    mechanical_efficiency: Number,
    specific_heat: Number,
    heat_capacity_ratio: Number,
) -> Number:
    """Expansion ratio at which the turbine covers the compressor's power, with constant specific heat.

    power_compressor       (...,)  [W]
    mass_flow_turbine      (...,)  [kg/s]      through the turbine, gate flow taken off
    temperature_in         (...,)  [K]         total, turbine inlet
    efficiency_turbine     (...,)  [-]         isentropic
    mechanical_efficiency  (...,)  [-]
    specific_heat          (...,)  [J/(kg K)]  mean over the expansion
    heat_capacity_ratio    (...,)  [-]         mean over the expansion
    Returns (...,) [-]; nan where even an expansion to nothing does not cover it. Raises OutOfDomain
    outside the ranges given.
    Source: energy balance."""
    g = heat_capacity_ratio
    wanted = power_compressor / (mechanical_efficiency * mass_flow_turbine)
    share = wanted / (efficiency_turbine * specific_heat * temperature_in)
    # np.power, not **: a negative rest must give nan, where a plain float would turn complex.
    result: Number = np.power(1.0 - share, -g / (g - 1.0))
    return result
