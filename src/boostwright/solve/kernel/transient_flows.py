"""What flows where at a state of the plant: the right-hand side that the integrator follows.

Every relation between pressures, flows and temperatures is the steady solver's own; only what a steady state does not
have (volumes, inertia of the air, walls, the actuator's chambers) stands here. With all rates zero these are the steady
balances.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.solve.kernel.cylinder import cylinder_cycle
from boostwright.solve.kernel.exhaust import (
    enthalpy_of_cycle,
    gate_branch,
    gate_flow,
    turbine_state,
)
from boostwright.solve.kernel.gas import (
    air_enthalpy,
    air_heat,
    air_temperature,
    exhaust_enthalpy,
)
from boostwright.solve.kernel.intake import REFERENCE_PRESSURE, REFERENCE_TEMPERATURE, engine_breathing
from boostwright.solve.kernel.transient_gas import (
    air_in_volume,
    compressor_anywhere,
    exhaust_in_volume,
    held_slope,
    opening_flow,
    restriction_flow,
    throttle_flow,
)
from boostwright.solve.kernel.transient_layout import (
    CHAMBER_LOWER,
    CHAMBER_UPPER,
    COMPRESSOR_FLOW,
    CORE,
    ENERGY_4,
    ENERGY_BP,
    ENERGY_EM,
    ENERGY_IM,
    GATE_FLOW,
    HOUSING,
    MASS_4,
    MASS_BP,
    MASS_EM,
    MASS_IM,
    RELIEF,
    SHAFT,
    T_COMPRESSOR,
    T_HEAT_COOLER,
    T_HEAT_DOWNPIPE,
    T_HEAT_ENGINE,
    T_HEAT_EXHAUST,
    T_HEAT_GATE,
    T_HEAT_PORT,
    T_HEAT_RELIEF,
    T_HEAT_THROTTLE,
    T_HEAT_TURBINE,
    T_HEAT_WALLS,
    T_MASS_COMPRESSOR,
    T_MASS_ENGINE,
    T_MASS_EXHAUST,
    T_MASS_GATE,
    T_MASS_PORT,
    T_MASS_RELIEF,
    T_MASS_THROTTLE,
    T_MASS_TURBINE,
    T_TURBINE,
    WALL_1,
    WALL_2,
)

__all__ = ["flows"]

_COOLER_EXPONENT = 0.4  # as in the steady solver
_TYPICAL_HEAT = 1010.0
_MOTORED_SHARE = (
    0.6  # of the way from the charge's to the ports' temperature, of gas pumped through unfired: estimate
)
_CORE_FLOW = 0.02  # of the cooler's known flow, below which its transfer units stay as they are
_ATMOSPHERE = 287.0


@compiled
def _cooler(p: Any, c: Any, t_2: float, t_core: float, flow: float) -> Any:
    """Temperature [K] behind the cooler, heat into its core [W], effectiveness to the cooling air with a settled core.

    Resistances in a row: charge to core, core to cooling air. A settled core gives the steady effectiveness exactly.
    """
    if p.cooler_transfer_units <= 0.0:
        return t_2, 0.0, 0.0
    at = max(flow, _CORE_FLOW * p.cooler_flow)
    units = p.cooler_transfer_units * np.exp(_COOLER_EXPONENT * np.log(p.cooler_flow / at))
    whole = p.cooler_derating * (1.0 - np.exp(-units))
    inner = 1.0 - (1.0 - whole) ** (1.0 / (1.0 - c.cooler_air_share))
    out = t_2 - inner * (t_2 - t_core)
    above = 1.0 - whole / inner  # of the core over the cooling air, settled, as a share of the charge's
    capacity = at * _TYPICAL_HEAT
    lost = capacity * whole / above * (t_core - p.cooler_temperature)
    taken = 0.0
    if flow > 0.0:
        taken = capacity * inner * (t_2 - t_core)
    return out, taken - lost, whole


@compiled
def _compressor_side(p: Any, c: Any, maps: Any, y: Any, p_bp: float, t_bp: float, f: Any, a: Any) -> float:
    """Compressor, duct and cooler; returns the power the wheel takes [W]."""
    flow = y[COMPRESSOR_FLOW]
    speed = max(y[SHAFT], 20.0)
    t_1 = p.temperature_amb
    through_filter = flow - a[5] * c.relief_recirculates
    p_1 = max(
        p.pressure_amb - p.intake_loss * through_filter * abs(through_filter) * t_1 / p.pressure_amb,
        0.3 * p.pressure_amb,
    )
    heat = np.sqrt(t_1 / REFERENCE_TEMPERATURE)
    flow_scale = heat * REFERENCE_PRESSURE / (p_1 * p.compressor_count)
    flow_c = flow * flow_scale
    ratio, work, line = compressor_anywhere(c, maps[p.compressor_index], speed / heat, flow_c)
    rise = work * t_1 / REFERENCE_TEMPERATURE
    middle = air_heat(p, t_1 + 0.5 * rise / _TYPICAL_HEAT)
    t_2 = air_temperature(p, air_enthalpy(p, t_1) + rise, t_1 + rise / middle)
    if flow >= 0.0:
        half = 0.5 * p_bp
        p_2 = half + np.sqrt(half * half + p.cooler_loss * flow * flow * t_2)
        t_in, taken, effect = _cooler(p, c, t_2, y[CORE], flow)
    else:
        p_2 = p_bp - p.cooler_loss * flow * flow * t_bp / p_bp
        _t, taken, effect = _cooler(p, c, t_2, y[CORE], 0.0)
        t_in = t_bp
    through = a[4] + a[5]
    per = flow_scale * p_1
    rising = held_slope(c, maps[p.compressor_index], speed / heat, flow_c, ratio, through * flow_scale, line)
    f[COMPRESSOR_FLOW] = c.duct_ratio * (p_1 * ratio - p_2 - per * rising * (flow - through))
    f[CORE] = taken / c.core_capacity
    f[T_MASS_COMPRESSOR] = flow
    f[T_HEAT_COOLER] = flow * air_enthalpy(p, t_in)
    a[6], a[7], a[8], a[9], a[10], a[11], a[12], a[13] = (
        p_1,
        p_2,
        t_2,
        speed / heat,
        flow_c,
        line,
        ratio,
        effect,
    )
    return abs(flow) * rise


@compiled
def _charge_side(p: Any, c: Any, maps: Any, y: Any, share: float, f: Any, a: Any) -> float:
    """Boost pipe, throttle, relief valve and intake manifold; returns the compressor's power [W]."""
    p_bp, t_bp = air_in_volume(p, y[MASS_BP], y[ENERGY_BP], c.volume_bp)
    p_im, t_im = air_in_volume(p, y[MASS_IM], y[ENERGY_IM], c.volume_im)
    through = throttle_flow(p, share, p_bp, t_bp, p_im, t_im)
    relief = 0.0
    if c.relief_area > 0.0 and y[RELIEF] > 0.0:
        relief = opening_flow(
            c.relief_area * y[RELIEF], p_bp, t_bp, p.pressure_amb, p.temperature_amb, p.gas_constant_air
        )
    a[0], a[1], a[2], a[3], a[4], a[5] = p_bp, t_bp, p_im, t_im, through, relief
    power = _compressor_side(p, c, maps, y, p_bp, t_bp, f, a)
    carried = through * air_enthalpy(p, t_bp if through >= 0.0 else t_im)
    let_go = relief * air_enthalpy(p, t_bp if relief >= 0.0 else p.temperature_amb)
    f[MASS_BP] = y[COMPRESSOR_FLOW] - through - relief
    f[ENERGY_BP] = f[T_HEAT_COOLER] - carried - let_go
    wanted = min(max((p_bp - p_im - c.relief_from) / c.relief_span, 0.0), 1.0)
    f[RELIEF] = (wanted - y[RELIEF]) / c.relief_time
    f[T_MASS_THROTTLE], f[T_MASS_RELIEF] = through, relief
    f[T_HEAT_THROTTLE], f[T_HEAT_RELIEF] = carried, let_go
    return power


@compiled
def _engine(p: Any, c: Any, y: Any, firing: float, p_em: float, t_em: float, f: Any, a: Any) -> Any:
    """What the engine takes in and blows out: flow of exhaust [kg/s] and its enthalpy behind the ports [W]."""
    p_im, t_im = a[2], a[3]
    air, _filling = engine_breathing(p, p_im, t_im, p_em)
    cycle = cylinder_cycle(p, air, p_im, t_im, p_em)
    inner, port = enthalpy_of_cycle(p, p_im, t_im, p_em, cycle)
    fired = air * (1.0 + p.fuel_air_ratio) * (inner - port * (t_em - p.wall_temperature))
    motored = air * exhaust_enthalpy(p, t_im + _MOTORED_SHARE * (p.wall_temperature - t_im))
    total = air * (1.0 + p.fuel_air_ratio * firing)
    heat = firing * fired + (1.0 - firing) * motored
    drawn = air * air_enthalpy(p, t_im)
    f[MASS_IM] = f[T_MASS_THROTTLE] - air
    f[ENERGY_IM] = f[T_HEAT_THROTTLE] - drawn
    f[T_MASS_ENGINE], f[T_HEAT_ENGINE] = air, drawn
    f[T_MASS_PORT], f[T_HEAT_PORT] = total, heat
    _air, mass, temperature, residual, angle, work, _w, _u, _to, _po, p_close, _log = cycle
    a[14], a[15], a[16], a[17], a[18], a[19], a[20] = air, mass, temperature, residual, angle, work, p_close
    return total, heat


@compiled
def _hot_side(p: Any, c: Any, turbines: Any, y: Any, lift: float, firing: float, f: Any, a: Any) -> float:
    """Exhaust manifold with its walls, turbine, gate and downpipe; returns the turbine's power [W]."""
    p_em, t_em = exhaust_in_volume(p, y[MASS_EM], y[ENERGY_EM], c.volume_em)
    p_4, t_4 = exhaust_in_volume(p, y[MASS_4], y[ENERGY_4], c.volume_4)
    total, heat = _engine(p, c, y, firing, p_em, t_em, f, a)
    through, power, efficiency, blade, t_out = turbine_state(
        p, turbines, p_em, t_em, p_4, max(y[SHAFT], 20.0)
    )
    gate = y[GATE_FLOW]
    p_g, head = p_em, 0.0
    p_back = p.pressure_amb if p.gate_open_outlet == 1.0 else p_4
    if p.gate_count > 0.0:
        p_g, _loss, head = gate_branch(p, p_em, t_em, max(through + gate, 1e-5), gate)
        passed = gate_flow(p, lift, p_g, t_em, p_back) if lift > 0.0 else 0.0
        f[GATE_FLOW] = (passed - gate) / c.branch_time
    warmth = exhaust_enthalpy(p, t_em)
    into_1 = c.wall_inside_1 * (t_em - y[WALL_1])
    into_2 = c.wall_inside_2 * (t_em - y[WALL_2])
    into_h = c.housing_conductance * (t_em - y[HOUSING])
    f[WALL_1] = (into_1 - c.wall_outside_1 * (y[WALL_1] - p.temperature_amb)) / c.wall_capacity_1
    f[WALL_2] = (into_2 - c.wall_outside_2 * (y[WALL_2] - p.temperature_amb)) / c.wall_capacity_2
    f[HOUSING] = into_h / c.housing_capacity
    f[T_HEAT_WALLS] = into_1 + into_2 + into_h
    f[T_MASS_TURBINE], f[T_MASS_GATE] = through, gate
    f[T_HEAT_TURBINE], f[T_HEAT_GATE] = through * warmth, gate * warmth
    f[MASS_EM] = total - through - gate
    f[ENERGY_EM] = heat - through * warmth - gate * warmth - f[T_HEAT_WALLS]
    joined = 0.0 if p.gate_open_outlet == 1.0 else gate
    f[T_HEAT_DOWNPIPE] = through * warmth - power + joined * warmth
    out = restriction_flow(p.exhaust_loss, p_4, t_4, p.pressure_amb, t_4)
    f[T_MASS_EXHAUST], f[T_HEAT_EXHAUST] = out, out * exhaust_enthalpy(p, t_4)
    f[MASS_4] = through + joined - out
    f[ENERGY_4] = f[T_HEAT_DOWNPIPE] - f[T_HEAT_EXHAUST]
    a[21], a[22], a[23], a[24], a[25], a[26] = p_em, t_em, p_4, t_4, p_g, head
    a[27], a[28], a[29], a[30] = power, efficiency, blade, t_out
    return power


@compiled
def _chambers(p: Any, c: Any, y: Any, duty: float, f: Any, a: Any) -> None:
    """Both chambers of the actuator, filled through their hose from what the solenoid makes of the signal."""
    if p.gate_count <= 0.0:
        return
    signal = a[2] if p.signal_from_plenum == 1.0 else a[7]
    over = (signal - p.pressure_amb) if c.hose_lost == 0.0 else 0.0
    lower = over if c.plumbing == 1.0 else over * (1.0 - duty)
    upper = 0.0 if c.plumbing == 0.0 else over * duty
    t = p.temperature_amb
    rate = _ATMOSPHERE * t / c.chamber_volume
    f[CHAMBER_LOWER] = rate * opening_flow(
        c.chamber_area, p.pressure_amb + lower, t, y[CHAMBER_LOWER], t, _ATMOSPHERE
    )
    f[CHAMBER_UPPER] = rate * opening_flow(
        c.chamber_area, p.pressure_amb + upper, t, y[CHAMBER_UPPER], t, _ATMOSPHERE
    )


@compiled
def flows(p: Any, c: Any, maps: Any, turbines: Any, y: Any, u: Any, f: Any, a: Any) -> None:
    """Rates of all states and totals into ``f``, what else is known into ``a``.

    p  POINT at the engine's speed; c  PLANT; y, f (38,)
    u  throttle's open share, gate lift [m], solenoid duty, share of the cycles that fire
    """
    taken = _charge_side(p, c, maps, y, u[0], f, a)
    given = _hot_side(p, c, turbines, y, u[1], u[3], f, a)
    _chambers(p, c, y, u[2], f, a)
    f[T_TURBINE] = p.mechanical_efficiency * given
    f[T_COMPRESSOR] = taken
    speed = max(y[SHAFT], 20.0)
    f[SHAFT] = (f[T_TURBINE] - taken) / (c.shaft_inertia * speed)
    a[31] = taken
