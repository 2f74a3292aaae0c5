"""The least pressure before the turbine with which it can make the compressor's power."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.physics.turbo.shaft import expansion_ratio_needed

__all__ = ["least_before_turbine"]

Array = NDArray[np.float64]
_BEST = 0.62
_CP_AIR, _CP_GAS = 1007.0, 1210.0
_GAMMA_AIR, _GAMMA_GAS = 1.40, 1.30
_INLET = 298.0
_GAS_OVER_AIR = 1.07
_STATIC = 0.5


def least_before_turbine(
    pressure_ratio: Array, temperature_em: float, overall: float = _BEST, static: float = _STATIC
) -> Array:
    """Pressure before the turbine over that behind it, at the least.

    pressure_ratio  (n,)  [-]  of the compressor, 1 or above; NaN stays NaN
    temperature_em  [K]        turbine inlet
    overall         [-]        compressor x turbine x mechanical efficiency; the default is better than any small one
    static          [-]        share of the drop a wall tap sees at the least: half, the rest may be dynamic head; 1
                               where the head is reckoned with
    Returns (n,) [-]. All gas is taken to go through the turbine.
    Source: energy balance of the shaft, constant specific heats.
    """
    share = (_GAMMA_AIR - 1.0) / _GAMMA_AIR
    known = np.isfinite(pressure_ratio)
    work = _CP_AIR * _INLET * (np.where(known, pressure_ratio, 1.0) ** share - 1.0)
    needed = expansion_ratio_needed(work, _GAS_OVER_AIR, temperature_em, overall, 1.0, _CP_GAS, _GAMMA_GAS)
    return np.where(known, 1.0 + static * (needed - 1.0), np.nan)
