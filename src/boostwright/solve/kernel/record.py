"""The record of a state: everything that is known where the balances close, and how well they do."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled, scratch
from boostwright.solve.kernel.balance import downstream, power_margin
from boostwright.solve.kernel.cylinder import cylinder_cycle
from boostwright.solve.kernel.exhaust import (
    downpipe,
    exhaust_of_cycle,
    gate_branch,
    gate_flow,
    gate_lift,
    head_force,
    lift_for_flow,
)
from boostwright.solve.kernel.gas import exhaust_enthalpy, exhaust_temperature
from boostwright.solve.kernel.intake import charge_path, engine_breathing
from boostwright.solve.kernel.layout import GATE_SHUT, NO_BALANCE, NO_TURBO, SOLVED, TARGET
from boostwright.solve.kernel.polish import polish

__all__ = ["finish"]

_CLOSED = 1e-7  # largest relative error of a balance that counts as closed
_ENOUGH = 3e-9  # what its last step should leave of a balance, at most


@compiled
def _share_for_lift(p: Any, lift: float, p_signal: float, p_g: float, p_back: float) -> float:
    """Signal share that balances the actuator at a lift; the inverse of ``gate_lift``."""
    head = head_force(p, p_g, p_back)
    stiffness = p.spring_rate + p.head_force_fall * max(head, 0.0) / p.gate_full_lift
    force = p.spring_force + p.friction_force + stiffness * lift - head
    return force / (max(p_signal - p.pressure_amb, 1.0) * p.diaphragm_area)


@compiled
def _fill_cylinder(cycle: Any, out: Any) -> None:
    """Write one cylinder's cycle into ``out``."""
    _air, mass, temperature, residual, angle, work, wall, taken_up, t_open, p_open, p_close, _log = cycle
    out.trapped_mass = mass
    out.trapped_temperature = temperature
    out.trapped_pressure = p_close
    out.residual_fraction = residual
    out.angle_half_burned = angle
    out.gross_work = work
    out.cylinder_wall_heat = wall - taken_up
    out.temperature_opening = t_open
    out.pressure_opening = p_open


@compiled
def _fill(
    p: Any, maps: Any, turbines: Any, mode: int, share: float, z: float, x: float, y: float, out: Any
) -> Any:
    """Write the state at (ln shaft speed, ln air flow, ln p_em) into ``out``; returns the three balances there, of
    which the third is that of the target where one is held."""
    flow = np.exp(x)
    p_em = np.exp(y)
    speed = np.exp(z) if mode != NO_TURBO else 0.0
    p1, speed_c, flow_c, ratio, power_c, p2, t2, effect, p_bp, t_bp, p_im, t_im = charge_path(
        p, maps, flow, speed
    )
    breathed, efficiency = engine_breathing(p, p_im, t_im, p_em)
    air = np.log(breathed / flow)
    fuel = flow * p.fuel_air_ratio
    total = flow + fuel
    cycle = cylinder_cycle(p, flow, p_im, t_im, p_em)
    enthalpy_port, t_em, lost = exhaust_of_cycle(p, flow, p_im, t_im, p_em, cycle)
    _fill_cylinder(cycle, out)
    out.port_heat_flow = lost
    out.mass_flow_air = flow
    out.mass_flow_fuel = fuel
    out.shaft_speed = speed
    out.pressure_1 = p1
    out.pressure_2 = p2
    out.temperature_2 = t2
    out.pressure_bp = p_bp
    out.temperature_bp = t_bp
    out.pressure_im = p_im
    out.temperature_im = t_im
    out.pressure_em = p_em
    out.temperature_port = exhaust_temperature(p, enthalpy_port, 0.0, t_em)
    out.temperature_em = t_em
    out.corrected_speed = speed_c
    out.corrected_flow = flow_c
    out.compressor_pressure_ratio = ratio
    out.compressor_power = power_c
    out.volumetric_efficiency = efficiency
    out.cooler_effectiveness = effect
    out.signal_share = share
    if mode == NO_TURBO:
        out.pressure_4 = p_em
        out.temperature_4 = t_em
        out.pressure_g = p_em
        out.temperature_turbine_outlet = t_em
        return air, np.log(p_em / downpipe(p, total, t_em, 0.0)[0]), 0.0
    p4, t4, through, power, eta, blade, t_out = downstream(
        p, turbines, total, p_em, t_em, speed, power_c / p.mechanical_efficiency
    )
    out.pressure_4 = p4
    out.temperature_4 = t4
    # t_out comes from a mean cp; the printed temperature closes the wheel's energy balance exactly
    left = exhaust_enthalpy(p, t_em) - power / through if through > 0.0 else exhaust_enthalpy(p, t_em)
    out.temperature_turbine_outlet = exhaust_temperature(p, left, 0.0, t_out)
    out.mass_flow_turbine = through
    out.turbine_power = power
    out.turbine_efficiency = eta
    out.blade_speed_ratio = blade
    out.pressure_g = p_em
    margin = power_margin(p, power, power_c)
    surplus = (total - through) / total
    if p.gate_count > 0.0:
        gate = total - through
        if mode == GATE_SHUT:
            gate = 0.0
        out.mass_flow_gate = gate
        p_back = p.pressure_amb if p.gate_open_outlet == 1.0 else p4
        p_g, loss, head = gate_branch(p, p_em, t_em, total, gate)
        out.pressure_g = p_g
        out.takeoff_loss = loss
        out.collector_head = head
        p_signal = p_im if p.signal_from_plenum == 1.0 else p2
        if mode == TARGET:
            out.gate_lift = lift_for_flow(p, gate, p_g, t_em, p_back)
            out.signal_share = _share_for_lift(p, out.gate_lift, p_signal, p_g, p_back)
        else:
            out.gate_lift = gate_lift(p, mode, share, p_signal, p_g, p_back)
            if out.gate_lift > 0.0:
                surplus -= gate_flow(p, out.gate_lift, p_g, t_em, p_back) / total
    if mode == TARGET:
        return air, -margin, np.log(p_im / p.target_pressure)
    return air, surplus, margin


@compiled
def finish(
    p: Any,
    maps: Any,
    turbines: Any,
    mode: int,
    share: float,
    outcome: int,
    z: float,
    x: float,
    y: float,
    count: int,
    out: Any,
) -> None:
    """Fill the record. Where a polish trusted its last step too far it is sent back to work."""
    air, gas, third = _fill(p, maps, turbines, mode, share, z, x, y, out)
    error = max(abs(air), abs(gas), abs(third))
    if outcome == SOLVED and mode != NO_TURBO and not error < _ENOUGH:
        found, z1, x1, y1, n, _s = polish(
            p, maps, turbines, mode, share, (z, x, y), z - 0.01, z + 0.01, scratch(9)
        )
        count += n
        if found == 1:
            air, gas, third = _fill(p, maps, turbines, mode, share, z1, x1, y1, out)
            error = max(abs(air), abs(gas), abs(third))
    out.residual = error
    # a margin that jumps across zero (a gate branch whose flow sets in all at once) has no balance to close
    out.outcome = NO_BALANCE if outcome == SOLVED and not out.residual < _CLOSED else outcome
    out.mode_held = mode
    out.evaluations = count
