"""Air-standard cycles: what a perfect gas could do, the yardstick of indicated efficiency."""

from __future__ import annotations

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["efficiency_dual", "efficiency_otto"]

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
