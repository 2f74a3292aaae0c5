"""Columns: the force at which a straight bar buckles, by three published forms.

The end condition is the factor by which Euler's force grows over that of two hinges: 1 hinged, 4 clamped at both
ends. A connecting rod is hinged in the plane it swings in and taken as clamped across it. Which form holds depends on
slenderness (length over radius of gyration): Euler above ``transition_slenderness``, Johnson below; Rankine joins
crushing and Euler and lies below both.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "column_force_euler",
    "column_force_johnson",
    "column_force_rankine",
    "rankine_constant",
    "transition_slenderness",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_ENDS = Interval(0.25, 4.0)
_BAR = {"area": _ABOVE_ZERO, "length": _ABOVE_ZERO, "gyration_radius": _ABOVE_ZERO}


@relation(
    source="shigley-2011",
    status="from memory",
    domain={**_BAR, "youngs_modulus": _ABOVE_ZERO, "end_condition": _ENDS},
)
def column_force_euler(
    area: Number, length: Number, gyration_radius: Number, youngs_modulus: Number, end_condition: Number
) -> Number:
    """Critical force of a slender column.

    area             (...,)  [m2]
    length           (...,)  [m]
    gyration_radius  (...,)  [m]   about the axis of bending
    youngs_modulus   (...,)  [Pa]
    end_condition    (...,)  [-]   0.25 clamped and free, 1 hinged, 4 clamped at both ends
    Returns (...,) [N]. Raises OutOfDomain outside the ranges given.
    Source: Euler; Budynas and Nisbett, Shigley's Mechanical Engineering Design, eq. 4-44, from memory."""
    return end_condition * np.pi**2 * youngs_modulus * area * (gyration_radius / length) ** 2


@relation(
    source="shigley-2011",
    status="from memory",
    domain={
        **_BAR,
        "yield_strength": _ABOVE_ZERO,
        "youngs_modulus": _ABOVE_ZERO,
        "end_condition": _ENDS,
    },
)
def column_force_johnson(
    area: Number,
    length: Number,
    gyration_radius: Number,
    yield_strength: Number,
    youngs_modulus: Number,
    end_condition: Number,
) -> Number:
    """Critical force of a column: Johnson's parabola below the transition slenderness, Euler above it.

    area             (...,)  [m2]
    length           (...,)  [m]
    gyration_radius  (...,)  [m]   about the axis of bending
    yield_strength   (...,)  [Pa]
    youngs_modulus   (...,)  [Pa]
    end_condition    (...,)  [-]   0.25 clamped and free, 1 hinged, 4 clamped at both ends
    Returns (...,) [N]. Raises OutOfDomain outside the ranges given.
    Source: J.B. Johnson; Budynas and Nisbett, Shigley's Mechanical Engineering Design, eq. 4-48, from memory."""
    slenderness = length / gyration_radius
    euler = end_condition * np.pi**2 * youngs_modulus / slenderness**2
    parabola = yield_strength - (0.5 * yield_strength * slenderness / np.pi) ** 2 / (
        end_condition * youngs_modulus
    )
    result: Number = area * np.where(euler < 0.5 * yield_strength, euler, parabola)
    return result


@relation(
    source="khurmi-gupta-2005",
    status="from memory",
    domain={**_BAR, "crushing_strength": _ABOVE_ZERO, "rankine_constant": _ABOVE_ZERO},
)
def column_force_rankine(
    area: Number,
    length: Number,
    gyration_radius: Number,
    crushing_strength: Number,
    rankine_constant: Number,
) -> Number:
    """Critical force by Rankine and Gordon.

    area               (...,)  [m2]
    length             (...,)  [m]
    gyration_radius    (...,)  [m]   about the axis of bending
    crushing_strength  (...,)  [Pa]  320 MPa mild steel in the textbooks; else the yield strength
    rankine_constant   (...,)  [-]   1/7500 mild steel with hinged ends in the textbooks; a quarter with clamped ends
    Returns (...,) [N]. Raises OutOfDomain outside the ranges given.
    Source: Rankine-Gordon; Khurmi and Gupta, A Textbook of Machine Design, chapter on struts, from memory."""
    return crushing_strength * area / (1.0 + rankine_constant * (length / gyration_radius) ** 2)


@relation(
    source="khurmi-gupta-2005",
    status="from memory",
    domain={"crushing_strength": _ABOVE_ZERO, "youngs_modulus": _ABOVE_ZERO, "end_condition": _ENDS},
)
def rankine_constant(crushing_strength: Number, youngs_modulus: Number, end_condition: Number) -> Number:
    """Constant with which Rankine's force comes to Euler's for a slender column.

    crushing_strength  (...,)  [Pa]
    youngs_modulus     (...,)  [Pa]
    end_condition      (...,)  [-]   0.25 clamped and free, 1 hinged, 4 clamped at both ends
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: definition of Rankine's constant, sigma / (C pi2 E); mild steel 320 MPa, 210 GPa is near 1/6500, where the
    textbooks have 1/7500 from tests."""
    return crushing_strength / (end_condition * np.pi**2 * youngs_modulus)


@relation(
    source="shigley-2011",
    status="from memory",
    domain={"yield_strength": _ABOVE_ZERO, "youngs_modulus": _ABOVE_ZERO, "end_condition": _ENDS},
)
def transition_slenderness(yield_strength: Number, youngs_modulus: Number, end_condition: Number) -> Number:
    """Slenderness at which Johnson's parabola goes over into Euler's curve; both then give half the yield strength.

    yield_strength  (...,)  [Pa]
    youngs_modulus  (...,)  [Pa]
    end_condition   (...,)  [-]   0.25 clamped and free, 1 hinged, 4 clamped at both ends
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: Budynas and Nisbett, Shigley's Mechanical Engineering Design, eq. 4-45, from memory."""
    result: Number = np.sqrt(2.0 * np.pi**2 * end_condition * youngs_modulus / yield_strength)
    return result
