"""The balances of one point at a trial state: what the solver drives to zero, and nothing else."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.solve.kernel.exhaust import (
    downpipe,
    exhaust_gas,
    gate_branch,
    gate_flow,
    gate_lift,
    turbine_state,
)
from boostwright.solve.kernel.intake import charge_path, engine_breathing
from boostwright.solve.kernel.layout import GATE_SHUT, NO_TURBO, TARGET

__all__ = ["balances", "downstream", "exhaust_balances", "power_margin"]

_LEAST_THROUGH = 1e-3  # of all gas, through the turbine
_POWER_FLOOR = 0.1  # W, so that a wheel at rest has a scale to compare with


@compiled
def power_margin(p: Any, power: float, shaft_power: float) -> float:
    """What the turbines' power [W] leaves over after bearings and compressors, over what the compressors take [W]."""
    return float((p.mechanical_efficiency * power - shaft_power) / (abs(shaft_power) + _POWER_FLOOR))


@compiled
def downstream(
    p: Any, turbines: Any, total: float, p_em: float, t_em: float, speed: float, shaft: float
) -> Any:
    """Downpipe and turbine at a trial state; ``shaft`` [W] is the power the wheel must give.

    Returns p4, T4, turbine flow, power, efficiency, blade-speed ratio, turbine outlet temperature. With an open gate
    outlet only the turbine's own flow passes the exhaust, which is found by secants.
    """
    p4, t4 = downpipe(p, total, t_em, shaft)
    flow, power, efficiency, blade, t_out = turbine_state(p, turbines, p_em, t_em, p4, speed)
    if p.gate_open_outlet == 1.0 and p.gate_count > 0.0 and flow < total:
        before, surplus_before = total, flow - total
        through = max(flow, _LEAST_THROUGH * total)
        for _ in range(30):
            p4, t4 = downpipe(p, through, t_em, shaft)
            flow, power, efficiency, blade, t_out = turbine_state(p, turbines, p_em, t_em, p4, speed)
            surplus = flow - through
            if abs(surplus) < 1e-13 * total or through == before:
                break
            # more gas means more pressure behind the wheel and so less flow: the slope is -1 or steeper
            slope = min((surplus - surplus_before) / (through - before), -1.0)
            before, surplus_before = through, surplus
            through = min(max(through - surplus / slope, _LEAST_THROUGH * total), total)
    return p4, t4, flow, power, efficiency, blade, t_out


@compiled
def exhaust_balances(
    p: Any,
    turbines: Any,
    mode: int,
    share: float,
    flow: float,
    p_em: float,
    speed: float,
    shaft_power: float,
    p2: float,
    p_im: float,
    t_im: float,
    t_known: float,
) -> Any:
    """The balances of ``balances`` with the charge side known: compressor power [W], p2, p_im [Pa] and T_im [K].

    t_known  exhaust temperature [K] to go by, 0 where the cylinder is to be asked: a difference quotient needs its
             slope to some per cent only, and the temperature hardly moves
    Returns air, gas, margin, surplus and the exhaust temperature [K].
    """
    breathed, _ = engine_breathing(p, p_im, t_im, p_em)
    air = np.log(breathed / flow)
    total = flow * (1.0 + p.fuel_air_ratio)
    t_em = t_known
    if t_known <= 0.0:
        _, t_em, _lost = exhaust_gas(p, flow, p_im, t_im, p_em)
    if mode == NO_TURBO:
        p4, t4 = downpipe(p, total, t_em, 0.0)
        return air, np.log(p_em / p4), 0.0, 0.0, t_em
    wheel = shaft_power / p.mechanical_efficiency
    p4, t4, through, power, efficiency, blade, t_out = downstream(
        p, turbines, total, p_em, t_em, speed, wheel
    )
    gate = total - through
    surplus = gate / total
    margin = power_margin(p, power, shaft_power)
    gas = surplus
    if mode == TARGET:
        gas = -margin
    elif p.gate_count > 0.0 and mode != GATE_SHUT:
        p_back = p.pressure_amb if p.gate_open_outlet == 1.0 else p4
        p_g, _, _ = gate_branch(p, p_em, t_em, total, gate)
        p_signal = p_im if p.signal_from_plenum == 1.0 else p2
        lift = gate_lift(p, mode, share, p_signal, p_g, p_back)
        if lift > 0.0:
            gas -= gate_flow(p, lift, p_g, t_em, p_back) / total
    return air, gas, margin, surplus, t_em


@compiled
def balances(
    p: Any, maps: Any, turbines: Any, mode: int, share: float, flow: float, p_em: float, speed: float
) -> Any:
    """Relative balance errors at a trial state.

    flow   fresh air [kg/s]; p_em total pressure at the turbine inlet [Pa]; speed shaft [rad/s]
    share  (p_lower - p_upper)/(p_signal - p_amb) of the actuator [-]
    Returns
      air     ln(what the engine breathes / flow)
      gas     (exhaust - turbine - gate)/exhaust; where a target is held the gate passes whatever is left, and the
              second balance is the shaft's: compressor power over what the turbine gives, less 1
      power   (mechanical efficiency x turbine power - compressor power)/compressor power
      p_im    [Pa]
      surplus (exhaust - turbine)/exhaust, what the gate would have to pass
    """
    _p1, _s, _f, _r, shaft_power, p2, _t2, _e, _pb, _tb, p_im, t_im = charge_path(p, maps, flow, speed)
    air, gas, margin, surplus, _t = exhaust_balances(
        p, turbines, mode, share, flow, p_em, speed, shaft_power, p2, p_im, t_im, 0.0
    )
    return air, gas, margin, p_im, surplus
