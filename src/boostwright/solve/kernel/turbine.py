"""Turbine table inside the compiled solver: swallowing capacity and efficiency by expansion and blade-speed ratio.

A packed table starts with four numbers: nodes along ln(expansion ratio), nodes along the blade-speed ratio, the
largest ln(expansion ratio) and the largest blade-speed ratio; then the flow surface, then the efficiency surface.
Flow is held as m sqrt(T)/p over sqrt(1 - 1/ratio), which is smooth down to a ratio of 1.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.numerics.hermite import bicubic_pair

__all__ = ["turbine_flow_and_efficiency"]

_STRAIGHT = 1e-3  # of pressure difference: below it the root becomes a straight line through zero


@compiled
def turbine_flow_and_efficiency(table: Any, ratio: float, log_ratio: float, blade_speed_ratio: float) -> Any:
    """Swallowing capacity m sqrt(T)/p [kg sqrt(K)/(s Pa)] and efficiency [-] of one turbine.

    log_ratio  ln of the expansion ratio, 0 below 1
    Outside the table the nearest edge in expansion ratio is used; beyond the largest blade-speed ratio the efficiency
    goes on falling along the edge's slope (the wheel runs away as a brake).
    """
    nx = int(table[0])
    ny = int(table[1])
    x = log_ratio / table[2] * (nx - 1)
    y = blade_speed_ratio / table[3] * (ny - 1)
    x = min(x, nx - 1.0)
    y_in = min(max(y, 0.0), ny - 1.0)
    flow, efficiency = bicubic_pair(table, 4, 4 + nx * ny * 4, nx, ny, x, y_in)
    if y > y_in:
        step = 0.05
        _flow, edge = bicubic_pair(table, 4, 4 + nx * ny * 4, nx, ny, x, y_in - step)
        efficiency += (efficiency - edge) / step * (y - y_in)
    drive = 1.0 - 1.0 / ratio
    if drive < _STRAIGHT:
        return flow * drive / np.sqrt(_STRAIGHT), efficiency
    return flow * np.sqrt(drive), efficiency
