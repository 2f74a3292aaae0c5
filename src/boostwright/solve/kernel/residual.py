"""Temperature of the residual gas of cycles that begin with what they leave, at some states of the manifolds."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.physics.cylinder import residual_gas
from boostwright.solve.kernel.cylinder import cylinder_cycle
from boostwright.solve.kernel.gas import exhaust_heat

__all__ = ["fill_settled_temperatures"]

_CP_AT = 0.9  # of the temperature at exhaust opening: where cp is taken for the way down
_FIRST, _LATER = 4, 2  # cycles until the first state has settled, and the others, which begin beside it
_after_stroke = compiled(residual_gas.temperature_after_exhaust_stroke.formula)


@compiled
def _left_by(p: Any, flow: float, p_im: float, t_im: float, p_em: float, stroke_pressure: float) -> float:
    """Temperature [K] of what a cycle leaves; what it begins with is in the point's course."""
    cycle = cylinder_cycle(p, flow, p_im, t_im, p_em)
    t_open, p_open = cycle[8], cycle[9]
    exponent = p.gas_constant_exhaust / exhaust_heat(p, _CP_AT * t_open)
    blown = t_open * np.exp(exponent * np.log(p_em / p_open))
    units = p.exhaust_stroke_units * np.exp(-0.2 * np.log(p_em / stroke_pressure))
    return float(_after_stroke(blown, p.wall_temperature, units))


@compiled
def fill_settled_temperatures(
    points: Any, nodes: Any, filling: float, stroke_pressure: float, guess: float, out: Any
) -> None:
    """Settled temperatures [K] into out (n, k).

    points           (n,) filled but for the course, which is left with a single temperature in it
    nodes            (k, 3) density of the fresh air over the displacement [kg/m3], p_em/p_im - 1, T_im [K]; the first
                     is the one the others are begun from
    filling          of the cylinders [-]; stroke_pressure [Pa] at which the transfer units of the exhaust stroke stand
    guess            [K] to begin the first from
    """
    for i in range(points.size):
        p = points[i]
        p.temperature_residual = 0.0
        for k in range(7):
            p.residual_course[k] = 0.0
        p.residual_course[0] = guess
        for k in range(nodes.shape[0]):
            t_im = nodes[k, 2]
            flow = nodes[k, 0] * p.displacement * p.engine_speed / (4.0 * np.pi)
            p_im = nodes[k, 0] * p.gas_constant_air * t_im / filling
            p_em = p_im * (1.0 + nodes[k, 1])
            for _ in range(_FIRST if k == 0 else _LATER):
                p.residual_course[0] = _left_by(p, flow, p_im, t_im, p_em, stroke_pressure)
            out[i, k] = p.residual_course[0]
            p.residual_course[0] = out[i, 0]
