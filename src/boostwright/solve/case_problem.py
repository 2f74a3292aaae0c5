"""From the parts of a case back to a problem of its own."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.case_parts import Parts
from boostwright.solve.kernel.layout import MODES, POINT
from boostwright.solve.problem import Problem, shaft_speed_ceiling

__all__ = ["points_of", "problem_of", "problem_with"]

Array = NDArray[np.float64]


def problem_of(parts: Parts, speeds: Array, mode: str) -> Problem | None:
    """The problem that ``assemble`` would make at the engine speeds (n,) [rad/s] of the parts; None where their
    turbine's tables are those of another one."""
    if parts.pulses.flow_scale != 1.0:
        return None
    return problem_with(points_of(parts, speeds, mode), parts, speeds)


def points_of(parts: Parts, speeds: Array, mode: str) -> NDArray[np.void]:
    """Records (n,) of the parts at their engine speeds [rad/s], ready to be solved in a mode."""
    points = np.zeros(speeds.shape, POINT)
    for fields in parts.fields:
        for name, value in fields.items():
            points[name] = value
    points["turbine_flow_scale"] = parts.pulses.flow_scale
    points["turbine_index"] = parts.pulses.index
    points["turbine_radius"] = parts.turbine.wheel_diameter / 2.0
    points["shaft_speed_ceiling"] = shaft_speed_ceiling(parts.compressor, parts.ambient)
    points["mode"] = MODES.index(mode)
    return points


def problem_with(points: NDArray[np.void], parts: Parts, speeds: Array) -> Problem:
    """The problem of records (n,) that were made of these parts, at their engine speeds (n,) [rad/s]."""
    return Problem(
        points=points,
        maps=np.ascontiguousarray(parts.compressor.table[None, :]),
        turbines=parts.pulses.turbines,
        speeds=speeds,
        ambient=parts.ambient,
        mixture=parts.mixture,
        engine=parts.engine,
        compressor=parts.compressor,
        turbine=parts.turbine,
        cycle=parts.cycle,
        rows=parts.rows,
        spark=parts.spark,
        pulsing=parts.pulses.pulsing,
        pulse_amplitude=parts.pulses.amplitude,
    )
