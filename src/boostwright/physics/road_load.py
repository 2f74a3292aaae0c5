"""What holds a car back, and the mass that its turning parts stand for."""

from __future__ import annotations

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["STANDARD_GRAVITY", "equivalent_mass", "road_load_force"]

STANDARD_GRAVITY = 9.80665
"""[m/s2], by definition."""

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)


@relation(
    source="definition",
    status="definition",
    domain={
        "mass": _NOT_NEGATIVE,
        "rolling_resistance": _NOT_NEGATIVE,
        "drag_area": _NOT_NEGATIVE,
        "air_density": _NOT_NEGATIVE,
    },
    valid={"slope": Interval(-0.3, 0.3)},
)
def road_load_force(
    mass: Number,
    rolling_resistance: Number,
    drag_area: Number,
    air_density: Number,
    vehicle_speed: Number,
    slope: Number,
) -> Number:
    """Force at the driven wheels that keeps a car at its speed, in still air.

    mass                (...,)  [kg]
    rolling_resistance  (...,)  [-]      rolling resistance over weight
    drag_area           (...,)  [m2]     drag coefficient times frontal area
    air_density         (...,)  [kg/m3]
    vehicle_speed       (...,)  [m/s]    forwards
    slope               (...,)  [-]      rise over way along the road, positive uphill
    Returns (...,) [N]. Raises OutOfDomain outside the ranges given.
    Source: balance of forces along the road, cosine of the slope taken as 1 (4 % at a slope of 0.3)."""
    weight = mass * 9.80665
    return weight * (rolling_resistance + slope) + 0.5 * air_density * drag_area * vehicle_speed**2


@relation(
    source="definition",
    status="definition",
    domain={"mass": _NOT_NEGATIVE, "inertia": _NOT_NEGATIVE, "radius": _ABOVE_ZERO},
)
def equivalent_mass(mass: Number, inertia: Number, radius: Number) -> Number:
    """Mass that takes the same force to accelerate as a mass and parts that turn with it.

    mass     (...,)  [kg]
    inertia  (...,)  [kg m2]  of all that turns once per radian of the wheel or roller
    radius   (...,)  [m]      at which it runs along
    Returns (...,) [kg]. Raises OutOfDomain outside the ranges given.
    Source: kinetic energy."""
    return mass + inertia / (radius * radius)
