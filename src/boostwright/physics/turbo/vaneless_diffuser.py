"""Vaneless diffuser and volute behind a centrifugal wheel: wall friction, fall of swirl, rise of entropy."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "diffuser_friction_coefficient_japikse",
    "entropy_slope_stanitz",
    "swirl_slope_stanitz",
    "volute_loss",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)


@relation(
    source="japikse-1982",
    status="from memory",
    domain={"reynolds_number": _ABOVE_ZERO},
    valid={"reynolds_number": Interval(1e4, 2e6)},
)
def diffuser_friction_coefficient_japikse(reynolds_number: Number) -> Number:
    """Skin-friction coefficient of a vaneless diffuser.

    reynolds_number  (...,)  [-]  on the width and the absolute velocity
    Returns (...,) [-], on half density times velocity squared. Raises OutOfDomain outside the ranges given.
    Source: Japikse (1982), from memory: 0.010 (1.8e5/Re)^0.2."""
    result: Number = 0.010 * (1.8e5 / reynolds_number) ** 0.2
    return result


@relation(
    source="stanitz-1952",
    status="from memory",
    domain={"radius": _ABOVE_ZERO, "width": _ABOVE_ZERO, "radial_velocity": _ABOVE_ZERO},
)
def swirl_slope_stanitz(
    swirl: Number, radial_velocity: Number, radius: Number, width: Number, skin_friction_coefficient: Number
) -> Number:
    """Change of the tangential velocity with radius between two walls.

    swirl                      (...,)  [m/s]  tangential velocity
    radial_velocity            (...,)  [m/s]
    radius                     (...,)  [m]
    width                      (...,)  [m]    between the walls
    skin_friction_coefficient  (...,)  [-]
    Returns (...,) [1/s]. Raises OutOfDomain outside the ranges given.
    Source: Stanitz, NACA TN 2610 (1952), from memory; balance of angular momentum, 0 friction is the free
    vortex."""
    velocity = np.sqrt(swirl * swirl + radial_velocity * radial_velocity)
    result: Number = -swirl / radius - skin_friction_coefficient * velocity * swirl / (
        width * radial_velocity
    )
    return result


@relation(
    source="stanitz-1952",
    status="from memory",
    domain={"temperature": _ABOVE_ZERO, "width": _ABOVE_ZERO, "radial_velocity": _ABOVE_ZERO},
)
def entropy_slope_stanitz(
    swirl: Number,
    radial_velocity: Number,
    temperature: Number,
    width: Number,
    skin_friction_coefficient: Number,
) -> Number:
    """Rise of entropy with radius between two walls with friction.

    swirl                      (...,)  [m/s]  tangential velocity
    radial_velocity            (...,)  [m/s]
    temperature                (...,)  [K]    static
    width                      (...,)  [m]    between the walls
    skin_friction_coefficient  (...,)  [-]
    Returns (...,) [J/(kg K m)]. Raises OutOfDomain outside the ranges given.
    Source: Stanitz, NACA TN 2610 (1952), from memory; work of the wall's shear."""
    squared = swirl * swirl + radial_velocity * radial_velocity
    return skin_friction_coefficient * squared**1.5 / (width * radial_velocity * temperature)


@relation(
    source="own-work",
    status="own estimate",
    domain={"density": _ABOVE_ZERO, "tangential_share": Interval(0.0, 1.0)},
)
def volute_loss(radial_velocity: Number, swirl: Number, density: Number, tangential_share: Number) -> Number:
    """Total pressure lost in a volute: the radial head wholly, a share of the tangential one.

    radial_velocity   (...,)  [m/s]    at the volute's inlet
    swirl             (...,)  [m/s]    tangential velocity there
    density           (...,)  [kg/m3]
    tangential_share  (...,)  [-]      lost by friction, diffusion and mismatch
    Returns (...,) [Pa]. Raises OutOfDomain outside the ranges given.
    Source: common reckoning that a collector wastes the radial head; the share is an estimate of ours."""
    return 0.5 * density * (radial_velocity * radial_velocity + tangential_share * swirl * swirl)
