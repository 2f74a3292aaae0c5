"""Knock as a limit where something else than the knock limit sets the spark: judged at the safe end of its band."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.solve.cylinder_quantities import KNOCK_TEMPERATURE_BAND, knock_multiplier_band
from boostwright.solve.kernel.cycle_layout import CYCLE_OUTPUTS
from boostwright.solve.native import cycle_outputs
from boostwright.solve.operating_point import Limit
from boostwright.solve.problem import Problem

__all__ = ["knock_reserve_limit"]

Array = NDArray[np.float64]


def knock_reserve_limit(build: Build, problem: Problem, q: Mapping[str, Array]) -> Limit | None:
    """Knock integral (n,) of the spark that was set, which must not pass 1; None where the knock limit sets it itself,
    or where knock is not predicted.

    With a multiplier that stands in the build it is used as it is; without one the late end of its band is, with the
    end gas as much hotter as the band says.
    q  quantities along the points (n,), SI
    """
    if problem.spark.set_by == "knock-limit" or problem.engine.cycle.fuel.octane_number <= 0.0:
        return None
    section = build["spark"]
    fitted = section.written("knock_multiplier")
    multiplier = section.si("knock_multiplier") if fitted else knock_multiplier_band(section)[1]
    hotter = 0.0 if fitted else KNOCK_TEMPERATURE_BAND
    out = cycle_outputs(
        problem.rows,
        q["trapped_mass"],
        q["trapped_temperature"] + hotter,
        q["residual_fraction"],
        q["angle_half_burned"],
    )
    used = multiplier * out[:, CYCLE_OUTPUTS.index("knock_integral")]
    source = (
        "build, spark.knock_multiplier" if fitted else "late end of a knock multiplier that is not fitted"
    )
    return Limit("knock", "knock integral", "1", np.ones(used.shape), used, source, "knock_integral")
