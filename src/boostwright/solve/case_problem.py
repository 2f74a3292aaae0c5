"""From the parts of a case back to a problem of its own."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.case_parts import Parts
from boostwright.solve.kernel.layout import MODES, POINT
from boostwright.solve.problem import Problem, shaft_speed_ceiling

__all__ = ["problem_of"]

Array = NDArray[np.float64]


def problem_of(parts: Parts, speeds: Array, mode: str) -> Problem | None:
    """The problem that ``assemble`` would make at the engine speeds (n,) [rad/s] of the parts; None where their
    turbine's tables are those of another one."""
    pulses = parts.pulses
    if pulses.flow_scale != 1.0:
        return None
    points = np.zeros(speeds.shape, POINT)
    for fields in parts.fields:
        for name, value in fields.items():
            points[name] = value
    points["shaft_speed_ceiling"] = shaft_speed_ceiling(parts.compressor, parts.ambient)
    points["turbine_radius"] = parts.turbine.wheel_diameter / 2.0
    points["turbine_index"] = pulses.index
    points["mode"] = MODES.index(mode)
    return Problem(
        points=points,
        maps=np.ascontiguousarray(parts.compressor.table[None, :]),
        turbines=pulses.turbines,
        speeds=speeds,
        ambient=parts.ambient,
        mixture=parts.mixture,
        engine=parts.engine,
        compressor=parts.compressor,
        turbine=parts.turbine,
        cycle=parts.cycle,
        rows=parts.rows,
        spark=parts.spark,
        pulsing=pulses.pulsing,
        pulse_amplitude=pulses.amplitude,
    )
