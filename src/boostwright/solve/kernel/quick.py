"""A near start for points whose boost is about known: the target's, or what the spring would hold.

From the boost follow air flow, compressor pressure ratio, shaft speed (by similarity on the map) and the turbine inlet
pressure that drives it, each by a few cheap steps; only the last stretch is left to the three-unknown polish.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.solve.kernel.compressor import compressor_state
from boostwright.solve.kernel.exhaust import (
    downpipe,
    exhaust_gas,
    gate_branch,
    gate_flow,
    head_force,
    lift_for_flow,
    turbine_state,
)
from boostwright.solve.kernel.intake import REFERENCE_PRESSURE, REFERENCE_TEMPERATURE, engine_breathing

__all__ = ["clear_below", "near_start", "open_gate_boost", "shut_gate_start", "spring_boost"]

_EXPONENT = 0.2857  # (gamma - 1)/gamma of air
_TYPICAL_EFFICIENCY = 0.72
_LEAST_RATIO = 1.01  # below it similarity says little; the climb serves
_LIKELY_EXHAUST = 1.02
_TYPICAL_SLOPE = 1.6  # d ln(turbine power)/d ln(p_em - p4)
_SLOPE_OF_SHARE = -0.35  # d(share of the gas left over)/d ln(boost), for a first step
_MOST_BOOST = 1.5  # over ambient: beyond, the curve of the gas left over may be flat, and the climb serves
_LEAST_BOOST = 0.008  # over ambient
_CLOSE = 0.02  # of all gas
_LOWER, _LOWER_LEFT = (
    0.4,
    0.08,
)  # share of the boost at which no balance may lie near, and the gas left over there
_NEAR = 0.01  # of speed and of turbine power: nearer costs more here than it saves later


@compiled
def _turbine_inlet(
    p: Any, turbines: Any, p_em: float, t_em: float, p4: float, speed: float, need: float
) -> Any:
    """p_em [Pa] at which the turbine gives ``need`` [W], by a few secants in logarithms, and its flow [kg/s]."""
    flow, power, _e, _b, _t = turbine_state(p, turbines, p_em, t_em, p4, speed)
    slope = _TYPICAL_SLOPE
    for _ in range(3):
        if not power > 0.0:
            return 0.0, 0.0
        short = np.log(need / power)
        if abs(short) < _NEAR:
            break
        step = min(max(short / slope, -1.0), 1.0)
        p_em = p4 + (p_em - p4) * np.exp(step)
        before = power
        flow, power, _e, _b, _t = turbine_state(p, turbines, p_em, t_em, p4, speed)
        if power > 0.0:
            slope = min(max(np.log(power / before) / step, 0.5), 4.0)
    return p_em, flow


@compiled
def _wheel_speed(table: Any, flow: float, head: float, heat: float, speed: float) -> Any:
    """Shaft speed [rad/s] at which the compressor gives an isentropic enthalpy ratio 1 + ``head``, and its work [J/kg].

    speed  [rad/s] to begin with
    Secants in logarithms: head goes with speed squared (similarity), and far more steeply next to choke.
    """
    slope = 2.0
    before = 0.0
    step = 0.0
    work = 0.0
    for k in range(7):
        ratio, work = compressor_state(table, speed / heat, flow)
        have = ratio**_EXPONENT - 1.0 if ratio > 1.01 else 0.1 * head
        short = np.log(head / have)
        if abs(short) < 2.0 * _NEAR:
            work *= 1.0 + short
            speed *= np.exp(short / slope)
            break
        if k > 0:
            slope = min(max((before - short) / step, 1.0), 12.0)
        before = short
        step = min(max(short / slope, -0.5), 0.5)
        speed *= np.exp(step)
    return speed, work


@compiled
def near_start(p: Any, maps: Any, turbines: Any, p_im: float) -> Any:
    """``_start_near`` with nothing known of the shaft speed."""
    return _start_near(p, maps, turbines, p_im, 0.5 * p.shaft_speed_ceiling, False)


@compiled
def _start_near(p: Any, maps: Any, turbines: Any, p_im: float, likely_speed: float, asked: bool) -> Any:
    """Start of a polish at an intake manifold pressure [Pa]; the shaft speed [rad/s] is looked for from a likely one.

    Returns found (1 or 0), ln(shaft speed), ln(flow), ln(p_em); then what is about known of that state: the share of
    the gas the turbine leaves over, p2 [Pa], T_em [K] and p4 [Pa].
    """
    t1 = p.temperature_amb
    t2 = t1 * (1.0 + ((1.04 * p_im / p.pressure_amb) ** _EXPONENT - 1.0) / _TYPICAL_EFFICIENCY)
    effect = 0.0
    if p.cooler_transfer_units > 0.0:
        effect = p.cooler_derating * (1.0 - np.exp(-p.cooler_transfer_units))
    t_im = t2 - effect * (t2 - p.cooler_temperature)
    p_em = 1.1 * p.pressure_amb + 0.8 * (p_im - p.pressure_amb)
    flow, _filling = engine_breathing(p, p_im, t_im, p_em)
    square = flow * flow
    p1 = p.pressure_amb - p.intake_loss * square * t1 / p.pressure_amb
    p_bp = p_im + p.throttle_loss * square * t_im / p_im
    p2 = p_bp + p.cooler_loss * square * t2 / p_bp
    ratio = p2 / p1
    if not (p1 > 0.5 * p.pressure_amb and ratio > _LEAST_RATIO):
        return 0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    heat = np.sqrt(t1 / REFERENCE_TEMPERATURE)
    flow_c = flow / p.compressor_count * heat * REFERENCE_PRESSURE / p1
    head = ratio**_EXPONENT - 1.0
    speed, work = _wheel_speed(maps[p.compressor_index], flow_c, head, heat, likely_speed)
    if not 0.02 * p.shaft_speed_ceiling < speed < 0.98 * p.shaft_speed_ceiling:
        return 0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    rise = max(work, 100.0) * t1 / REFERENCE_TEMPERATURE
    total = flow * (1.0 + p.fuel_air_ratio)
    if asked:
        _h, t_em, _lost = exhaust_gas(p, flow, p_im, t_im, p_em)
    else:  # that of the residual gas, less what a manifold takes: the start needs it to a twentieth
        t_em = _LIKELY_EXHAUST * p.temperature_residual
    need = flow * rise / p.mechanical_efficiency
    p4, _t = downpipe(p, total, t_em, need)
    p_em, through = _turbine_inlet(p, turbines, max(p_em, 1.02 * p4), t_em, p4, speed, need)
    if not p_em > p4:
        return 0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    return 1, np.log(speed), np.log(flow), np.log(p_em), 1.0 - through / total, p2, t_em, p4


@compiled
def spring_boost(
    p: Any, share: float, p_im: float, x: float, y: float, surplus: float, p2: float, t_em: float, p4: float
) -> float:
    """Intake manifold pressure [Pa] at which the actuator stands where the gate passes the surplus of a near state."""
    total = np.exp(x) * (1.0 + p.fuel_air_ratio)
    p_back = p.pressure_amb if p.gate_open_outlet == 1.0 else p4
    p_g, _loss, _head = gate_branch(p, np.exp(y), t_em, total, surplus * total)
    lift = min(lift_for_flow(p, surplus * total, p_g, t_em, p_back), p.gate_full_lift)
    head = head_force(p, p_g, p_back)
    stiffness = p.spring_rate + p.head_force_fall * max(head, 0.0) / p.gate_full_lift
    force = p.spring_force + p.friction_force + stiffness * lift - head
    signal = p.pressure_amb + force / (p.diaphragm_area * share)
    have = p_im if p.signal_from_plenum == 1.0 else p2
    return p_im * min(max(signal / have, 0.8), 1.4)


@compiled
def open_gate_boost(p: Any, p_im: float, x: float, y: float, surplus: float, t_em: float, p4: float) -> float:
    """Intake manifold pressure [Pa] at which turbine and fully open gate together pass the gas of a near state.

    Both flows go about with the power 0.45 of boost: with the root of the pressure difference that boost asks for.
    """
    total = np.exp(x) * (1.0 + p.fuel_air_ratio)
    p_back = p.pressure_amb if p.gate_open_outlet == 1.0 else p4
    p_g, _loss, _head = gate_branch(p, np.exp(y), t_em, total, max(surplus, 0.0) * total)
    passed = (1.0 - surplus) * total + gate_flow(p, p.gate_full_lift, p_g, t_em, p_back)
    change = min(max((total / passed) ** 2.2, 0.15), 4.0)
    return p.pressure_amb + (p_im - p.pressure_amb) * change


@compiled
def clear_below(p: Any, maps: Any, turbines: Any, boost: float, speed: float) -> bool:
    """Whether a wheel that comes from rest gets to a boost (over ambient) without meeting a balance on the way.

    speed  of the shaft at that boost [rad/s]
    At 0.4 and 0.16 of the boost, as far apart as the climb's own rungs, the turbine must leave a good share over.
    """
    for k in range(1, 3):
        share = _LOWER**k
        p_im = (1.0 + max(share * boost, _LEAST_BOOST)) * p.pressure_amb
        found, _z, _x, _y, left, _p2, _t, _p4 = _start_near(
            p, maps, turbines, p_im, speed * np.sqrt(share), True
        )
        if found == 0 or left < _LOWER_LEFT:
            return False
    return True


@compiled
def shut_gate_start(p: Any, maps: Any, turbines: Any, boost: float, left: float, speed: float) -> Any:
    """Start of a polish where the turbine takes all the gas, from a near state with more or less boost.

    boost  of that state, over ambient pressure [-]; left: share of the gas its turbine leaves over; speed: of its
           shaft [rad/s]
    The share left over falls about evenly with the logarithm of boost, so secants in it serve. Returns found (1 or 0),
    ln(shaft speed), ln(flow), ln(p_em).
    """
    none = (0, 0.0, 0.0, 0.0)
    here = np.log(boost)
    slope = _SLOPE_OF_SHARE
    found, z, x, y = 1, 0.0, 0.0, 0.0
    at = speed
    near = False
    for _ in range(5):
        step = min(max(-left / slope, -1.5), 1.5)
        here += step
        boost = np.exp(here)
        if not _LEAST_BOOST < boost < _MOST_BOOST:
            return none
        before = left
        p_im = (1.0 + boost) * p.pressure_amb
        found, z, x, y, left, _p2, _t, _p4 = _start_near(
            p, maps, turbines, p_im, at * np.exp(0.5 * step), True
        )
        if found == 0:
            return none
        at = np.exp(z)
        if abs(left) < _CLOSE:
            near = True
            break
        slope = min(max((left - before) / step, -1.0), -0.1)
    if not near:
        return none
    if not clear_below(p, maps, turbines, boost, at):
        return none
    return 1, z, x, y
