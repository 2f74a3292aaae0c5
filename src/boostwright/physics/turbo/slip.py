"""Slip of a centrifugal wheel: how far the gas lags behind the blades at the exit."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["slip_factor_stanitz", "slip_factor_wiesner"]

_BLADES = Interval(1.0)
_BACKSWEEP = Interval(0.0, 0.5 * np.pi, open_high=True)


@relation(
    source="stanitz-1952-slip",
    status="from memory",
    domain={"blade_count": Interval(2.0)},
    valid={"blade_count": Interval(8.0, 40.0)},
)
def slip_factor_stanitz(blade_count: Number) -> Number:
    """Slip factor of a wheel with radial blades: one less slip velocity over tip speed.

    blade_count  (...,)  [-]  at the exit, 2 or more
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given. Meant for backsweep up to 45 degrees.
    Source: Stanitz (1952), from memory: 1 - 0.63 pi/Z."""
    return 1.0 - 0.63 * np.pi / blade_count


@relation(
    source="wiesner-1967",
    status="from memory",
    domain={
        "blade_count": _BLADES,
        "backsweep": _BACKSWEEP,
        "radius_ratio": Interval(0.0, 1.0, open_high=True),
    },
    valid={"blade_count": Interval(4.0, 40.0)},
)
def slip_factor_wiesner(blade_count: Number, backsweep: Number, radius_ratio: Number) -> Number:
    """Slip factor fitted to Busemann's theory: one less slip velocity over tip speed.

    blade_count   (...,)  [-]    at the exit; a splitter counts by its share of the full blade's length
    backsweep     (...,)  [rad]  from radial, 0 and above
    radius_ratio  (...,)  [-]    mean radius of the inlet over that of the exit, below 1
    Returns (...,) [-]; falls once the inlet comes too near the exit (radius ratio above
    exp(-8.16 cos(backsweep)/Z)). Raises OutOfDomain outside the ranges given.
    Source: Wiesner, J. Eng. Power 89 (1967) 558, from memory."""
    cosine = np.cos(backsweep)
    slip = 1.0 - np.sqrt(cosine) / blade_count**0.7
    limit = np.exp(-8.16 * cosine / blade_count)
    over = np.maximum(radius_ratio - limit, 0.0) / (1.0 - limit)
    result: Number = slip * (1.0 - over**3)
    return result
