"""Turbine: spouting velocity, blade-speed ratio, temperatures, flow and efficiency forms.

Expansion ratio is total inlet over outlet pressure, above 1 when the turbine drives.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "blade_speed",
    "blade_speed_ratio",
    "choked_effective_area",
    "specific_work_expansion",
    "spouting_velocity",
    "temperature_after_expansion",
    "turbine_efficiency_parabola",
    "turbine_efficiency_sivertsson_eriksson",
    "turbine_flow_sivertsson_eriksson",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)
_GAMMA = Interval(1.0, 3.0, open_low=True)
_EXPANSION = Interval(1.0)
_EFFICIENCY = Interval(0.0, 1.0)


@relation(
    source="definition",
    status="definition",
    domain={"diameter": _ABOVE_ZERO, "rotational_speed": _NOT_NEGATIVE},
)
def blade_speed(diameter: Number, rotational_speed: Number) -> Number:
    """Speed of a wheel's tip.

    diameter          (...,)  [m]
    rotational_speed  (...,)  [rad/s]
    Returns (...,) [m/s]. Raises OutOfDomain outside the ranges given.
    Source: kinematics."""
    return 0.5 * diameter * rotational_speed


@relation(
    source="watson-janota-1982",
    status="from memory",
    domain={
        "temperature_in": _ABOVE_ZERO,
        "expansion_ratio": _EXPANSION,
        "specific_heat": _ABOVE_ZERO,
        "heat_capacity_ratio": _GAMMA,
    },
)
def spouting_velocity(
    temperature_in: Number, expansion_ratio: Number, specific_heat: Number, heat_capacity_ratio: Number
) -> Number:
    """Velocity of a loss-free expansion to the outlet pressure.

    temperature_in       (...,)  [K]         total
    expansion_ratio      (...,)  [-]         1 or above
    specific_heat        (...,)  [J/(kg K)]  mean over the expansion
    heat_capacity_ratio  (...,)  [-]         mean over the expansion
    Returns (...,) [m/s]. Raises OutOfDomain outside the ranges given.
    Source: Watson and Janota (1982), chapter 6, from memory."""
    g = heat_capacity_ratio
    fall = 1.0 - expansion_ratio ** (-(g - 1.0) / g)
    result: Number = np.sqrt(2.0 * specific_heat * temperature_in * fall)
    return result


@relation(
    source="watson-janota-1982",
    status="from memory",
    domain={"blade_speed": _NOT_NEGATIVE, "spouting_velocity": _ABOVE_ZERO},
)
def blade_speed_ratio(blade_speed: Number, spouting_velocity: Number) -> Number:
    """Tip speed of the wheel over spouting velocity; radial turbines are best near 0.7.

    blade_speed        (...,)  [m/s]
    spouting_velocity  (...,)  [m/s]
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: Watson and Janota (1982), chapter 6, from memory."""
    return blade_speed / spouting_velocity


@relation(
    source="watson-janota-1982",
    status="from memory",
    domain={
        "temperature_in": _ABOVE_ZERO,
        "expansion_ratio": _EXPANSION,
        "efficiency": _EFFICIENCY,
        "heat_capacity_ratio": _GAMMA,
    },
)
def temperature_after_expansion(
    temperature_in: Number, expansion_ratio: Number, efficiency: Number, heat_capacity_ratio: Number
) -> Number:
    """Outlet total temperature of an adiabatic turbine with constant specific heat.

    temperature_in       (...,)  [K]  total
    expansion_ratio      (...,)  [-]  1 or above
    efficiency           (...,)  [-]  isentropic, 0 to 1
    heat_capacity_ratio  (...,)  [-]  mean over the expansion
    Returns (...,) [K]. Raises OutOfDomain outside the ranges given.
    Source: Watson and Janota (1982), chapter 6, from memory."""
    g = heat_capacity_ratio
    return temperature_in * (1.0 - efficiency * (1.0 - expansion_ratio ** (-(g - 1.0) / g)))


@relation(
    source="watson-janota-1982",
    status="from memory",
    domain={
        "temperature_in": _ABOVE_ZERO,
        "expansion_ratio": _EXPANSION,
        "efficiency": _EFFICIENCY,
        "specific_heat": _ABOVE_ZERO,
        "heat_capacity_ratio": _GAMMA,
    },
)
def specific_work_expansion(
    temperature_in: Number,
    expansion_ratio: Number,
    efficiency: Number,
    specific_heat: Number,
    heat_capacity_ratio: Number,
) -> Number:
    """Work that a mass of gas gives up in a turbine with constant specific heat.

    temperature_in       (...,)  [K]         total
    expansion_ratio      (...,)  [-]         1 or above
    efficiency           (...,)  [-]         isentropic, 0 to 1
    specific_heat        (...,)  [J/(kg K)]  mean over the expansion
    heat_capacity_ratio  (...,)  [-]         mean over the expansion
    Returns (...,) [J/kg]. Raises OutOfDomain outside the ranges given.
    Source: Watson and Janota (1982), chapter 6, from memory."""
    g = heat_capacity_ratio
    return specific_heat * temperature_in * efficiency * (1.0 - expansion_ratio ** (-(g - 1.0) / g))


@relation(
    source="heywood-1988",
    status="from memory",
    domain={
        "swallowing": _NOT_NEGATIVE,
        "gas_constant": _ABOVE_ZERO,
        "heat_capacity_ratio": _GAMMA,
    },
)
def choked_effective_area(swallowing: Number, gas_constant: Number, heat_capacity_ratio: Number) -> Number:
    """Area of the loss-free nozzle that passes a turbine's choked flow.

    swallowing           (...,)  [kg sqrt(K)/(s Pa)]  choked mass flow times sqrt(T) over p, inlet totals
    gas_constant         (...,)  [J/(kg K)]           of the gas of that flow
    heat_capacity_ratio  (...,)  [-]                  of the gas of that flow
    Returns (...,) [m2]. Raises OutOfDomain outside the ranges given.
    Source: choked flow, Heywood (1988), appendix C, from memory."""
    g = heat_capacity_ratio
    gamma = np.sqrt(g) * (2.0 / (g + 1.0)) ** ((g + 1.0) / (2.0 * (g - 1.0)))
    result: Number = swallowing * np.sqrt(gas_constant) / gamma
    return result


@relation(
    source="sivertsson-eriksson-2014",
    status="read",
    domain={
        "pressure_in": _ABOVE_ZERO,
        "pressure_out": _NOT_NEGATIVE,
        "temperature_in": _ABOVE_ZERO,
        "gas_constant": _ABOVE_ZERO,
        "area": _NOT_NEGATIVE,
        "scale": _ABOVE_ZERO,
        "exponent": _ABOVE_ZERO,
    },
)
def turbine_flow_sivertsson_eriksson(
    pressure_in: Number,
    pressure_out: Number,
    temperature_in: Number,
    gas_constant: Number,
    area: Number,
    scale: Number,
    exponent: Number,
) -> Number:
    """Mass flow of a turbine, or of a wastegate, as scale sqrt(1 - (p_out/p_in)^exponent).

    pressure_in     (...,)  [Pa]        total, absolute
    pressure_out    (...,)  [Pa]        absolute
    temperature_in  (...,)  [K]         total
    gas_constant    (...,)  [J/(kg K)]  specific gas constant
    area            (...,)  [m2]        reference area of the fit
    scale           (...,)  [-]         fitted, 0.6859 for the turbine of the source
    exponent        (...,)  [-]         fitted, 2.3633 for the turbine of the source
    Returns (...,) [kg/s]; never quite chokes, as two rows in series do not; 0 where the outlet is not
    below the inlet. Raises OutOfDomain outside the ranges given.
    Source: Sivertsson and Eriksson, SIMS 2014, model and parameter files read."""
    ratio = np.minimum(pressure_out / pressure_in, 1.0)
    psi = scale * np.sqrt(1.0 - ratio**exponent)
    result: Number = pressure_in * psi * area / np.sqrt(temperature_in * gas_constant)
    return result


@relation(
    source="sivertsson-eriksson-2014",
    status="read",
    domain={"peak_efficiency": _EFFICIENCY, "curvature": _NOT_NEGATIVE},
)
def turbine_efficiency_sivertsson_eriksson(
    blade_speed_ratio: Number, peak_efficiency: Number, best_blade_speed_ratio: Number, curvature: Number
) -> Number:
    """Efficiency as a parabola in blade-speed ratio with its own curvature.

    blade_speed_ratio       (...,)  [-]
    peak_efficiency         (...,)  [-]
    best_blade_speed_ratio  (...,)  [-]
    curvature               (...,)  [-]  2.0245 for the turbine of the source
    Returns (...,) [-]; negative far from the best ratio, where the form has no meaning. Raises OutOfDomain
    outside the ranges given.
    Source: Sivertsson and Eriksson, SIMS 2014, model and parameter files read."""
    return peak_efficiency - curvature * (blade_speed_ratio - best_blade_speed_ratio) ** 2


@relation(
    source="watson-janota-1982",
    status="from memory",
    domain={"peak_efficiency": _EFFICIENCY, "best_blade_speed_ratio": _ABOVE_ZERO},
)
def turbine_efficiency_parabola(
    blade_speed_ratio: Number, peak_efficiency: Number, best_blade_speed_ratio: Number
) -> Number:
    """Efficiency as the parabola through zero at standstill: no speed, no work.

    blade_speed_ratio       (...,)  [-]
    peak_efficiency         (...,)  [-]
    best_blade_speed_ratio  (...,)  [-]
    Returns (...,) [-]; negative beyond twice the best ratio, where the turbine brakes. Raises OutOfDomain
    outside the ranges given.
    Source: Watson and Janota (1982), chapter 6 (impulse-like torque falling linearly with speed), from
    memory."""
    x = blade_speed_ratio / best_blade_speed_ratio
    return peak_efficiency * x * (2.0 - x)
