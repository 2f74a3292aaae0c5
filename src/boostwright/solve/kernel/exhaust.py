"""Hot side inside the compiled solver: what leaves the cylinders, manifold, turbine, gate branch, valve, downpipe."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.physics.gas import orifice
from boostwright.physics.turbo import poppet
from boostwright.solve.kernel.cylinder import cylinder_cycle
from boostwright.solve.kernel.gas import (
    air_enthalpy,
    exhaust_enthalpy,
    exhaust_heat,
    exhaust_temperature,
)
from boostwright.solve.kernel.junction import branch_loss_coefficient
from boostwright.solve.kernel.layout import GATE_OPEN, GATE_SHUT
from boostwright.solve.kernel.turbine import turbine_flow_and_efficiency

__all__ = [
    "downpipe",
    "enthalpy_of_cycle",
    "exhaust_gas",
    "exhaust_of_cycle",
    "gate_area",
    "gate_branch",
    "gate_flow",
    "gate_flux",
    "gate_lift",
    "head_force",
    "lift_for_flow",
    "turbine_state",
]

_FROM = 298.15  # K, where enthalpies are zero
_TYPICAL_HEAT = 1250.0  # J/(kg K) of exhaust gas, for a first guess
_LIKELY_MEAN = 0.93  # of the inlet temperature, where the turbine's mean heat capacity is first looked up
_GAMMA = 1.3  # of exhaust gas, where only a density in the collector hangs on it
_STRAIGHT = 0.002  # of pressure difference, below which the flow function is continued with a finite slope
_SURELY_SUBSONIC = 0.6  # pressure ratio above which no gas with cp/cv over 1.05 chokes
_flow_function = compiled(orifice.flow_function_smoothed.formula)
_effective_area = compiled(poppet.effective_area_poppet.formula)


@compiled
def exhaust_gas(p: Any, flow: float, p_im: float, t_im: float, p_em: float) -> Any:
    """Enthalpy at the port [J/kg], temperature at the turbine inlet [K] and the heat lost between cylinder and port [W]
    at fresh air flow [kg/s] and manifold states."""
    return exhaust_of_cycle(p, flow, p_im, t_im, p_em, cylinder_cycle(p, flow, p_im, t_im, p_em))


@compiled
def enthalpy_of_cycle(p: Any, p_im: float, t_im: float, p_em: float, cycle: Any) -> Any:
    """Enthalpy [J/kg] of the gas that leaves the cylinders, and what exhaust stroke and ports take of it per kelvin
    that it stands above their wall [J/(kg K)].

    Heat released - gross work - wall heat + pumping work + enthalpy of the fresh air leaves the cylinder.
    """
    air, _m, _t, _x, _a, work, wall, taken_up, _to, _po, _pc, log_mass = cycle
    pumping = (p_em - p_im + p.valve_loss * p_im) * p.displacement / p.cylinders
    left = air * p.fuel_air_ratio * p.released_heat - work - wall + taken_up + pumping
    enthalpy = (left / air + air_enthalpy(p, t_im)) / (1.0 + p.fuel_air_ratio)
    return enthalpy, p.port_conductance * np.exp(-0.2 * log_mass)


@compiled
def exhaust_of_cycle(p: Any, flow: float, p_im: float, t_im: float, p_em: float, cycle: Any) -> Any:
    """``exhaust_gas`` with the cylinder's cycle at hand: the cycle's energy balance.

    Exhaust stroke and ports lose port_conductance m^-0.2 (T_em - T_wall) per kg of exhaust, m the mass of one
    cylinder's charge, the manifold heat_conductance (T_em - T_amb) in all.
    """
    total = flow * (1.0 + p.fuel_air_ratio)
    enthalpy, port = enthalpy_of_cycle(p, p_im, t_im, p_em, cycle)
    slope = p.heat_conductance / total
    both = slope + port
    sum_ = enthalpy + slope * p.temperature_amb + port * p.wall_temperature
    likely = _FROM + (sum_ - both * _FROM) / (p.residual_heat + both)
    t_em = exhaust_temperature(p, sum_, both, likely)
    lost = port * (t_em - p.wall_temperature)
    return enthalpy - lost, t_em, lost * total


@compiled
def downpipe(p: Any, total: float, t_em: float, turbine_power: float) -> Any:
    """Total pressure [Pa] and temperature [K] after the turbine, for the gas that goes through the exhaust."""
    drop = turbine_power / total
    heat = exhaust_heat(p, t_em - 0.5 * drop / _TYPICAL_HEAT)
    # from so near a guess one step of Newton's is exact to 1e-6 K
    t4 = t_em - drop / heat
    t4 -= (exhaust_enthalpy(p, t4) - exhaust_enthalpy(p, t_em) + drop) / exhaust_heat(p, t4)
    half = 0.5 * p.pressure_amb
    return half + np.sqrt(half * half + p.exhaust_loss * total * total * t4), t4


@compiled
def turbine_state(p: Any, turbines: Any, p_em: float, t_em: float, p4: float, shaft_speed: float) -> Any:
    """Flow [kg/s], power [W], efficiency, blade-speed ratio and outlet temperature [K] of all turbines together."""
    ratio = p_em / p4
    log_ratio = np.log(max(ratio, 1.0))
    # Entropy asks for cp at the logarithmic mean of the ideal expansion's temperatures, enthalpy for cp at their
    # arithmetic mean: the ideal drop is then within 1e-4 of the integral up to a ratio of 2, within 6e-4 at 4.5.
    s = p.gas_constant_exhaust / exhaust_heat(p, _LIKELY_MEAN * t_em) * log_ratio
    # mean of exp(-s u) over u from 0 to 1, to 1e-5 up to a ratio of 4.5
    heat = exhaust_heat(p, t_em * (1.0 - s * (0.5 - s * (1.0 / 6.0 - s * (1.0 / 24.0 - s / 120.0)))))
    fall = np.exp(-p.gas_constant_exhaust / heat * log_ratio)
    heat = exhaust_heat(p, 0.5 * t_em * (1.0 + fall))
    drop = heat * t_em * (1.0 - fall)
    spouting = np.sqrt(2.0 * max(drop, 1.0))
    blade = shaft_speed * p.turbine_radius / spouting
    swallow, efficiency = turbine_flow_and_efficiency(turbines[p.turbine_index], ratio, log_ratio, blade)
    efficiency = efficiency * p.turbine_efficiency_scale
    flow = p.turbine_count * p.turbine_flow_scale * swallow * p_em / np.sqrt(t_em)
    return flow, flow * efficiency * drop, efficiency, blade, t_em - efficiency * drop / heat


@compiled
def gate_area(p: Any, lift: float) -> float:
    """Effective flow area [m2] of one gate at a rod lift [m]: curtain first, seat bore later, smoothly."""
    return _effective_area(
        lift * p.gate_lever,
        p.gate_diameter,
        p.gate_stem_diameter,
        p.gate_discharge_curtain,
        p.gate_discharge_seat,
    )


@compiled
def gate_branch(p: Any, p_em: float, t_em: float, total: float, gate: float) -> Any:
    """Total pressure ahead of the valve [Pa], the take-off coefficient [-] and the collector's dynamic head [Pa].

    The head is that of the leg the branch leaves: total flow, collector bore, static density, whose ratio to the total
    one is a series in the flow (within 0.4 % up to Mach 0.6). With a shut valve the branch holds the
    collector's static pressure, which the published forms give by themselves (coefficient 1 at no flow).
    """
    swallowed = (total / (p_em * p.collector_area)) ** 2 * p.gas_constant_exhaust * t_em
    u = swallowed / _GAMMA
    head = 0.5 * swallowed * p_em * (1.0 + u * (0.5 + u * (0.575 + 2.73 * u)))
    share = max(gate, 0.0) / (p.gate_count * total)
    loss = branch_loss_coefficient(
        p.takeoff_form, share, p.takeoff_area_ratio, p.takeoff_angle, p.takeoff_loss
    )
    branch = p.branch_loss * (share * p.takeoff_area_ratio) ** 2
    return p_em - (loss + branch) * head, loss, head


@compiled
def gate_flux(p: Any, p_g: float, t_em: float, p_back: float) -> float:
    """Flow through a gate per effective area [kg/(s m2)]; none where the pressure ahead does not exceed that behind.

    (A collector so fast that its static pressure lies below the downpipe's would draw gas back; the model lets the
    branch stand still there and the result is flagged.)
    """
    if p_g <= p_back:
        return 0.0
    exponent = 1.0 / (1.0 - p.gas_constant_exhaust / exhaust_heat(p, t_em))
    root = np.sqrt(p.gas_constant_exhaust * t_em)
    ratio = p_back / p_g
    if _SURELY_SUBSONIC < ratio < 1.0 - _STRAIGHT:  # the same function, without asking where it chokes
        throat = np.exp(np.log(ratio) / exponent)
        return p_g / root * throat * np.sqrt(2.0 * exponent / (exponent - 1.0) * (1.0 - ratio / throat))
    return p_g / root * _flow_function(ratio, exponent, _STRAIGHT)


@compiled
def gate_flow(p: Any, lift: float, p_g: float, t_em: float, p_back: float) -> float:
    """Flow through all gates [kg/s] at a rod lift [m]."""
    return p.gate_count * gate_area(p, lift) * gate_flux(p, p_g, t_em, p_back)


@compiled
def lift_for_flow(p: Any, wanted: float, p_g: float, t_em: float, p_back: float) -> float:
    """Rod lift [m] that passes ``wanted`` [kg/s] through all gates; twice the full lift when even that is too little.

    The inverse of ``gate_flow``: area = curtain/(1 + (curtain/seat)^8)^(1/8) turned round.
    """
    if wanted <= 0.0:
        return 0.0
    flux = p.gate_count * gate_flux(p, p_g, t_em, p_back)
    if wanted > flux * gate_area(p, p.gate_full_lift):
        return 2.0 * p.gate_full_lift
    seat = p.gate_discharge_seat * 0.25 * np.pi * (p.gate_diameter**2 - p.gate_stem_diameter**2)
    share = wanted / (flux * seat)
    curtain = seat * share / (1.0 - share**8) ** 0.125
    return curtain / (p.gate_discharge_curtain * np.pi * p.gate_diameter * p.gate_lever)


@compiled
def head_force(p: Any, p_g: float, p_back: float) -> float:
    """Opening force of the exhaust on the shut valve, at the rod [N]; ambient stands on the stem's own area."""
    stem = p.pressure_amb * (p.head_area - p.back_area)
    return p.gate_lever * (p_g * p.head_area - p_back * p.back_area - stem)


@compiled
def gate_lift(p: Any, mode: int, share: float, p_signal: float, p_g: float, p_back: float) -> float:
    """Rod lift [m] at which the actuator's forces balance, held between its stops.

    (p_lower - p_upper) A_d + head force(lift) = F_0 + k lift + friction; the head force falls linearly with lift by
    the stated share, so the balance is linear in the lift.
    """
    if mode == GATE_SHUT or p.gate_count == 0.0:
        return 0.0
    if mode == GATE_OPEN:
        return float(p.gate_full_lift)
    head = head_force(p, p_g, p_back)
    force = share * (p_signal - p.pressure_amb) * p.diaphragm_area + head - p.spring_force - p.friction_force
    stiffness = p.spring_rate + p.head_force_fall * max(head, 0.0) / p.gate_full_lift
    return min(max(force / stiffness, 0.0), p.gate_full_lift)
