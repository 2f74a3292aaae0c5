"""Slider-crank: piston travel, speed and acceleration by crank angle, and the forces in the connecting rod.

Crank angle is 0 at top dead centre. Acceleration is positive toward the crank. Compression of the rod is
positive.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "gas_force",
    "inertia_force",
    "piston_acceleration",
    "piston_speed",
    "piston_travel",
    "rod_force_along",
    "rod_force_firing",
    "rod_force_overlap",
    "rotating_force",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)
_TURNS_OVER = {"a rod longer than half the stroke": lambda rod_length, stroke: rod_length > 0.5 * stroke}


@relation(
    source="definition",
    status="definition",
    domain={"stroke": _ABOVE_ZERO, "rod_length": _ABOVE_ZERO},
    needs=_TURNS_OVER,
)
def piston_travel(crank_angle: Number, stroke: Number, rod_length: Number) -> Number:
    """Distance of the piston below top dead centre.

    crank_angle  (...,)  [rad]  after top dead centre
    stroke       (...,)  [m]
    rod_length   (...,)  [m]    centre to centre, above half the stroke
    Returns (...,) [m]. Raises OutOfDomain for a length not above 0 or
    a rod too short to turn over.
    Source: kinematics, exact."""
    r = 0.5 * stroke
    sine = np.sin(crank_angle)
    result: Number = r * (1.0 - np.cos(crank_angle)) + rod_length - np.sqrt(rod_length**2 - (r * sine) ** 2)
    return result


@relation(
    source="definition",
    status="definition",
    domain={"stroke": _ABOVE_ZERO, "rod_length": _ABOVE_ZERO, "rotational_speed": _NOT_NEGATIVE},
    needs=_TURNS_OVER,
)
def piston_speed(crank_angle: Number, stroke: Number, rod_length: Number, rotational_speed: Number) -> Number:
    """Speed of the piston, positive toward the crank.

    crank_angle       (...,)  [rad]  after top dead centre
    stroke            (...,)  [m]
    rod_length        (...,)  [m]    centre to centre, above half the stroke
    rotational_speed  (...,)  [rad/s]
    Returns (...,) [m/s]. Raises OutOfDomain outside the ranges given.
    Source: kinematics, exact."""
    r = 0.5 * stroke
    sine = np.sin(crank_angle)
    upright = np.sqrt(rod_length**2 - (r * sine) ** 2)
    result: Number = rotational_speed * r * sine * (1.0 + r * np.cos(crank_angle) / upright)
    return result


@relation(
    source="definition",
    status="definition",
    domain={"stroke": _ABOVE_ZERO, "rod_length": _ABOVE_ZERO, "rotational_speed": _NOT_NEGATIVE},
    needs=_TURNS_OVER,
)
def piston_acceleration(
    crank_angle: Number, stroke: Number, rod_length: Number, rotational_speed: Number
) -> Number:
    """Acceleration of the piston, positive toward the crank; largest at top dead centre.

    crank_angle       (...,)  [rad]  after top dead centre
    stroke            (...,)  [m]
    rod_length        (...,)  [m]    centre to centre, above half the stroke
    rotational_speed  (...,)  [rad/s]
    Returns (...,) [m/s2]. Raises OutOfDomain outside the ranges given.
    Source: kinematics, exact."""
    r = 0.5 * stroke
    sine = np.sin(crank_angle)
    cosine = np.cos(crank_angle)
    upright = np.sqrt(rod_length**2 - (r * sine) ** 2)
    second = r * (cosine**2 - sine**2) / upright + r**3 * (sine * cosine) ** 2 / upright**3
    result: Number = rotational_speed**2 * r * (cosine + second)
    return result


@relation(source="definition", status="definition", domain={"bore": _ABOVE_ZERO})
def gas_force(pressure: Number, crankcase_pressure: Number, bore: Number) -> Number:
    """Force of the gas on the piston, toward the crank.

    pressure            (...,)  [Pa]  in the cylinder, absolute
    crankcase_pressure  (...,)  [Pa]  absolute
    bore                (...,)  [m]
    Returns (...,) [N]. Raises OutOfDomain for a bore not above 0.
    Source: statics."""
    return (pressure - crankcase_pressure) * 0.25 * np.pi * bore**2


@relation(
    source="definition",
    status="definition",
    domain={
        "reciprocating_mass": _NOT_NEGATIVE,
        "stroke": _ABOVE_ZERO,
        "rod_length": _ABOVE_ZERO,
        "rotational_speed": _NOT_NEGATIVE,
    },
    needs=_TURNS_OVER,
)
def inertia_force(
    crank_angle: Number,
    reciprocating_mass: Number,
    stroke: Number,
    rod_length: Number,
    rotational_speed: Number,
) -> Number:
    """Force that accelerates the reciprocating mass, positive toward the crank: it relieves the rod at
    firing.

    crank_angle         (...,)  [rad]  after top dead centre
    reciprocating_mass  (...,)  [kg]   piston, pin, rings, small-end share of the rod
    stroke              (...,)  [m]
    rod_length          (...,)  [m]    centre to centre, above half the stroke
    rotational_speed    (...,)  [rad/s]
    Returns (...,) [N]. Raises OutOfDomain outside the ranges given.
    Source: Newton's second law with the exact kinematics."""
    r = 0.5 * stroke
    sine = np.sin(crank_angle)
    cosine = np.cos(crank_angle)
    upright = np.sqrt(rod_length**2 - (r * sine) ** 2)
    second = r * (cosine**2 - sine**2) / upright + r**3 * (sine * cosine) ** 2 / upright**3
    result: Number = reciprocating_mass * rotational_speed**2 * r * (cosine + second)
    return result


@relation(source="definition", status="definition")
def rod_force_firing(gas_force: Number, inertia_force_top: Number) -> Number:
    """Compression of the rod at firing top dead centre: equal cylinder pressure loads it most at low speed.

    gas_force          (...,)  [N]  from gas_force at peak pressure
    inertia_force_top  (...,)  [N]  from inertia_force at crank angle 0
    Returns (...,) [N], compression positive. Raises nothing.
    Source: statics; with the pressure peak taken at top dead centre, where inertia relieves the rod most: the force at
    the peak's own angle is larger, by 1 to 3 % at 7000 rpm."""
    return gas_force - inertia_force_top


@relation(source="definition", status="definition")
def rod_force_overlap(gas_force: Number, inertia_force_top: Number) -> Number:
    """Tension of the rod at overlap top dead centre: set by speed alone, hardly by boost.

    gas_force          (...,)  [N]  from gas_force with the pressure during overlap
    inertia_force_top  (...,)  [N]  from inertia_force at crank angle 0
    Returns (...,) [N], tension positive. Raises nothing.
    Source: statics."""
    return inertia_force_top - gas_force


@relation(
    source="definition",
    status="definition",
    domain={"stroke": _ABOVE_ZERO, "rod_length": _ABOVE_ZERO},
    needs=_TURNS_OVER,
)
def rod_force_along(piston_force: Number, crank_angle: Number, stroke: Number, rod_length: Number) -> Number:
    """Force along the rod, which leans by its angle against the cylinder.

    piston_force  (...,)  [N]    gas less inertia, along the cylinder
    crank_angle   (...,)  [rad]  after top dead centre
    stroke        (...,)  [m]
    rod_length    (...,)  [m]    centre to centre, above half the stroke
    Returns (...,) [N]. Raises OutOfDomain for a length not above 0 or
    a rod too short to turn over.
    Source: statics; friction of the piston left out."""
    lean = 0.5 * stroke * np.sin(crank_angle) / rod_length
    result: Number = piston_force / np.sqrt(1.0 - lean**2)
    return result


@relation(
    source="definition",
    status="definition",
    domain={"mass": _NOT_NEGATIVE, "stroke": _ABOVE_ZERO, "rotational_speed": _NOT_NEGATIVE},
)
def rotating_force(mass: Number, stroke: Number, rotational_speed: Number) -> Number:
    """Force that holds a mass on the crankpin's circle.

    mass              (...,)  [kg]  that goes round with the crankpin, such as a share of the big end
    stroke            (...,)  [m]
    rotational_speed  (...,)  [rad/s]
    Returns (...,) [N]. Raises OutOfDomain outside the ranges given.
    Source: Newton's second law."""
    return mass * 0.5 * stroke * rotational_speed**2
