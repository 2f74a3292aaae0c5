"""Air-standard cycles, the yardstick of indicated efficiency, and what mixture strength does beside them."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["efficiency_dual", "efficiency_otto", "mixture_efficiency_factor"]

_COMPRESSION = Interval(1.0, open_low=True)
_GAMMA = Interval(1.0, 3.0, open_low=True)


@relation(
    source="heywood-1988",
    status="from memory",
    domain={"compression_ratio": _COMPRESSION, "heat_capacity_ratio": _GAMMA},
)
def efficiency_otto(compression_ratio: Number, heat_capacity_ratio: Number) -> Number:
    """Efficiency of the constant-volume cycle.

    compression_ratio    (...,)  [-]  above 1
    heat_capacity_ratio  (...,)  [-]  constant
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: Heywood (1988), table 5.2, from memory."""
    return 1.0 - compression_ratio ** (1.0 - heat_capacity_ratio)


@relation(
    source="heywood-1988",
    status="from memory",
    domain={
        "compression_ratio": _COMPRESSION,
        "heat_capacity_ratio": _GAMMA,
        "pressure_rise_ratio": Interval(1.0),
        "cut_off_ratio": Interval(1.0),
    },
)
def efficiency_dual(
    compression_ratio: Number,
    heat_capacity_ratio: Number,
    pressure_rise_ratio: Number,
    cut_off_ratio: Number,
) -> Number:
    """Efficiency of the cycle with heat added first at constant volume, then at constant pressure.

    compression_ratio    (...,)  [-]  above 1
    heat_capacity_ratio  (...,)  [-]  constant
    pressure_rise_ratio  (...,)  [-]  at constant volume; not 1 together with a cut-off ratio of 1 (no heat)
    cut_off_ratio        (...,)  [-]  volume ratio at constant pressure
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: Heywood (1988), table 5.2, from memory."""
    g = heat_capacity_ratio
    a = pressure_rise_ratio
    b = cut_off_ratio
    lost = (a * b**g - 1.0) / ((a - 1.0) + g * a * (b - 1.0))
    return 1.0 - compression_ratio ** (1.0 - g) * lost


@relation(
    source="own-work",
    status="own estimate",
    domain={"lambda_value": Interval(0.4)},
    valid={"lambda_value": Interval(0.7, 1.2)},
)
def mixture_efficiency_factor(lambda_value: Number) -> Number:
    """Efficiency on the heat released in the cylinder, over that at lambda 1.

    lambda_value  (...,)  [-]  air over stoichiometric air
    Returns (...,) [-], 1 at lambda 1 and above 1 on both sides. Raises OutOfDomain below lambda 0.4.
    Source: constant-volume fuel-air cycles with dissociating products, studies/fuel_air_cycle; the fit keeps
    within 0.6 % of all of them, for compression ratios of 8 to 11. A rich mixture releases less heat per kg
    of air and yet does as much work: that peaks near lambda 0.93 and is the same at 0.83 as at 1."""
    rich = np.maximum(1.0 - lambda_value, 0.0)
    lean = np.maximum(lambda_value - 1.0, 0.0)
    result: Number = 1.0 + rich * (0.616 + rich * (3.11 * rich - 1.63)) + lean * (0.36 - 0.62 * lean)
    return result
