"""A near start for points whose boost is about known: the target's, or what the spring would hold.

From the boost follow air flow, compressor pressure ratio, shaft speed (by similarity on the map) and the turbine inlet
pressure that drives it, each by a few cheap steps; only the last stretch is left to the three-unknown polish.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.solve.kernel.compressor import compressor_state
from boostwright.solve.kernel.exhaust import downpipe, turbine_state
from boostwright.solve.kernel.intake import REFERENCE_PRESSURE, REFERENCE_TEMPERATURE

__all__ = ["near_start"]

_EXPONENT = 0.2857  # (gamma - 1)/gamma of air
_TYPICAL_EFFICIENCY = 0.72
_TYPICAL_EXHAUST = 1130.0  # K
_LEAST_RATIO = 1.03  # below it similarity says little; the climb serves


@compiled
def near_start(p: Any, maps: Any, turbines: Any, p_im: float) -> Any:
    """Start of a polish at an intake manifold pressure [Pa]: found (1 or 0), ln(shaft speed), ln(flow), ln(p_em)."""
    t1 = p.temperature_amb
    t2 = t1 * (1.0 + ((1.04 * p_im / p.pressure_amb) ** _EXPONENT - 1.0) / _TYPICAL_EFFICIENCY)
    effect = 0.0
    if p.cooler_transfer_units > 0.0:
        effect = p.cooler_derating * (1.0 - np.exp(-p.cooler_transfer_units))
    t_im = t2 - effect * (t2 - p.cooler_temperature)
    filling = p.volumetric_efficiency * (t_im / p.breathing_temperature) ** p.breathing_exponent
    flow = filling * p_im / (p.gas_constant_air * t_im) * p.displacement * p.engine_speed / (4.0 * np.pi)
    square = flow * flow
    p1 = p.pressure_amb - p.intake_loss * square * t1 / p.pressure_amb
    p_bp = p_im + p.throttle_loss * square * t_im / p_im
    ratio = (p_bp + p.cooler_loss * square * t2 / p_bp) / p1
    if not (p1 > 0.5 * p.pressure_amb and ratio > _LEAST_RATIO):
        return 0, 0.0, 0.0, 0.0
    heat = np.sqrt(t1 / REFERENCE_TEMPERATURE)
    flow_c = flow / p.compressor_count * heat * REFERENCE_PRESSURE / p1
    head = ratio**_EXPONENT - 1.0
    speed = 0.5 * p.shaft_speed_ceiling
    work = 0.0
    table = maps[p.compressor_index]
    for _ in range(5):
        r, work = compressor_state(table, speed / heat, flow_c)
        have = r**_EXPONENT - 1.0 if r > 1.01 else 0.25 * head
        step = np.sqrt(head / have)
        speed *= step
        if abs(step - 1.0) < 0.01:
            break
    if not 0.02 * p.shaft_speed_ceiling < speed < 0.98 * p.shaft_speed_ceiling:
        return 0, 0.0, 0.0, 0.0
    need = flow * max(work, 100.0) * t1 / REFERENCE_TEMPERATURE / p.mechanical_efficiency
    total = flow * (1.0 + p.fuel_air_ratio)
    p4, _t = downpipe(p, total, _TYPICAL_EXHAUST, need)
    p_em = p4 + 0.7 * (p_im - p.pressure_amb) + 10e3
    for _ in range(3):
        _f, power, _e, _b, _t = turbine_state(p, turbines, p_em, _TYPICAL_EXHAUST, p4, speed)
        if not power > 0.0:
            return 0, 0.0, 0.0, 0.0
        p_em = p4 + (p_em - p4) * min(max((need / power) ** 0.65, 0.4), 2.5)
    return 1, np.log(speed), np.log(flow), np.log(p_em)
