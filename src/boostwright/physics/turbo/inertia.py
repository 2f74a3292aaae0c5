"""Inertia of a turbocharger's shaft from its wheels' diameters, where nobody has measured it."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["shaft_inertia_from_wheels"]

_ALUMINIUM, _NICKEL_ALLOY = 2700.0, 8000.0  # kg/m3, handbook values rounded
_THICKNESS = (
    0.12  # of a disc of the wheel's diameter with the wheel's inertia, over that diameter: own estimate
)


@relation(
    source="own-work",
    status="own estimate",
    domain={"compressor_diameter": Interval(0.02, 0.2), "turbine_diameter": Interval(0.02, 0.2)},
)
def shaft_inertia_from_wheels(compressor_diameter: Number, turbine_diameter: Number) -> Number:
    """Inertia of a shaft with an aluminium compressor and a nickel-alloy turbine, good to 40 %.

    compressor_diameter  (...,)  [m]  outer (exducer)
    turbine_diameter     (...,)  [m]  outer (inducer)
    Returns (...,) [kg m2]. Raises OutOfDomain outside the ranges given.
    Source: own estimate: each wheel turns like a disc of its diameter whose thickness is 0.12 of it, so inertia goes
    with the fifth power; rod and seals count for nothing. It lies 21 % below the one published set whose wheels are of
    known size (Sivertsson and Eriksson, SIMS 2014). A second set, of a 2 l engine, prints an inertia that solid blocks
    of its wheels' diameters would not reach: left aside."""
    disc = np.pi / 32.0 * _THICKNESS
    return disc * (_ALUMINIUM * compressor_diameter**5 + _NICKEL_ALLOY * turbine_diameter**5)
