"""Many draws of all doubts through the compiled solver, in one batch."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.uncertainty.doubts import Doubt

__all__ = ["Sampled"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Sampled:
    """What every sample gave.

    doubts      what was drawn
    shifts      (samples, doubts) [-] draws, in widths of the bands
    speeds      (speeds,) [rad/s] of the engine
    mode        how boost was controlled
    seed        from which the draws follow
    quantities  by name, (samples, speeds) or (samples, levels, speeds), SI; NaN where there is no steady state
    steady      the same shape, True where there is one
    """

    doubts: tuple[Doubt, ...]
    shifts: Array
    speeds: Array
    mode: str
    seed: int
    quantities: Mapping[str, Array]
    steady: NDArray[np.bool_]
