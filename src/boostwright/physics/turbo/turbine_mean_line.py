"""Radial turbine with a vaneless volute on its mean line: inlet angle from A/R, best incidence, losses.

Unproven: no open measured map of a radial turbine was found to check the whole against.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "best_relative_inlet_angle_stanitz",
    "loss_clearance_flow_share",
    "loss_incidence_futral_wasserbauer",
    "loss_passage_glassman",
    "volute_flow_angle_tangent",
    "volute_swirl",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)


@relation(
    source="definition",
    status="definition",
    domain={"throat_velocity": _NOT_NEGATIVE, "throat_radius": _ABOVE_ZERO, "radius": _ABOVE_ZERO},
)
def volute_swirl(
    throat_velocity: Number, throat_radius: Number, radius: Number, swirl_share: Number
) -> Number:
    """Tangential velocity at a radius inside a volute whose flow keeps its angular momentum.

    throat_velocity  (...,)  [m/s]
    throat_radius    (...,)  [m]  of the throat's centroid from the shaft
    radius           (...,)  [m]
    swirl_share      (...,)  [-]  angular momentum that is left; 1 without friction
    Returns (...,) [m/s]. Raises OutOfDomain outside the ranges given.
    Source: free vortex."""
    return swirl_share * throat_velocity * throat_radius / radius


@relation(
    source="definition",
    status="definition",
    domain={"rotor_width": _ABOVE_ZERO, "a_over_r": _ABOVE_ZERO, "density_ratio": _ABOVE_ZERO},
)
def volute_flow_angle_tangent(
    rotor_width: Number, a_over_r: Number, density_ratio: Number, swirl_share: Number
) -> Number:
    """Tangent of the flow angle from radial at the wheel: what A/R sets, and the wheel's diameter does not.

    rotor_width    (...,)  [m]  of the blade at the wheel's inlet
    a_over_r       (...,)  [m]  throat area over the radius of its centroid
    density_ratio  (...,)  [-]  static density at the wheel over that in the throat
    swirl_share    (...,)  [-]  angular momentum that is left; 1 without friction
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: free vortex with continuity between throat and wheel (any text on vaneless volutes)."""
    return swirl_share * 2.0 * np.pi * rotor_width * density_ratio / a_over_r


@relation(
    source="stanitz-1952-slip",
    status="from memory",
    domain={"flow_angle": Interval(0.0, 1.5707), "blade_count": Interval(2.0)},
    valid={"blade_count": Interval(8.0, 24.0)},
)
def best_relative_inlet_angle_stanitz(flow_angle: Number, blade_count: Number) -> Number:
    """Relative flow angle at the inlet of radial blades at which they meet no incidence; against rotation.

    flow_angle   (...,)  [rad]  absolute, from radial, in the direction of rotation
    blade_count  (...,)  [-]
    Returns (...,) [rad], below 0: the swirl falls short of the blade speed by the slip. Raises OutOfDomain
    outside the ranges given.
    Source: slip of Stanitz (1952) read backwards, as radial-turbine texts do, from memory: swirl =
    (1 - 0.63 pi/Z) blade speed."""
    short = 0.63 * np.pi / blade_count
    result: Number = -np.arctan(short / (1.0 - short) * np.tan(flow_angle))
    return result


@relation(source="futral-wasserbauer-1965", status="from memory", domain={"relative_velocity": _NOT_NEGATIVE})
def loss_incidence_futral_wasserbauer(relative_velocity: Number, incidence: Number) -> Number:
    """Enthalpy lost where the flow meets the wheel's inlet at an angle: the head across the best direction.

    relative_velocity  (...,)  [m/s]  at the inlet
    incidence          (...,)  [rad]  relative flow angle less the best one
    Returns (...,) [J/kg]. Raises OutOfDomain outside the ranges given.
    Source: Futral and Wasserbauer, NASA TN D-2621 (1965), from memory."""
    return 0.5 * (relative_velocity * np.sin(incidence)) ** 2


@relation(
    source="glassman-1976",
    status="from memory",
    domain={
        "relative_velocity": _NOT_NEGATIVE,
        "relative_velocity_exit": _NOT_NEGATIVE,
        "passage_factor": _NOT_NEGATIVE,
    },
    valid={"passage_factor": Interval(0.1, 0.6)},
)
def loss_passage_glassman(
    relative_velocity: Number, incidence: Number, relative_velocity_exit: Number, passage_factor: Number
) -> Number:
    """Enthalpy lost to friction and loading in the wheel's passages.

    relative_velocity       (...,)  [m/s]  at the inlet
    incidence               (...,)  [rad]
    relative_velocity_exit  (...,)  [m/s]
    passage_factor          (...,)  [-]    0.3 is usual
    Returns (...,) [J/kg]. Raises OutOfDomain outside the ranges given.
    Source: Glassman, NASA TN D-8164 (1976), after Futral and Wasserbauer, from memory."""
    inlet = (relative_velocity * np.cos(incidence)) ** 2
    return 0.5 * passage_factor * (inlet + relative_velocity_exit**2)


@relation(
    source="own-work",
    status="own estimate",
    domain={"clearance": _NOT_NEGATIVE, "blade_height": _ABOVE_ZERO, "clearance_factor": _NOT_NEGATIVE},
)
def loss_clearance_flow_share(clearance: Number, blade_height: Number, clearance_factor: Number) -> Number:
    """Share of the blade work lost over the tips of an open wheel.

    clearance         (...,)  [m]  between blade and housing
    blade_height      (...,)  [m]  mean of inlet and exit
    clearance_factor  (...,)  [-]  work lost over relative clearance
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: proportion, as commonly reckoned; about 1 to 2 points of work a point of relative clearance, own
    estimate."""
    return clearance_factor * clearance / blade_height
