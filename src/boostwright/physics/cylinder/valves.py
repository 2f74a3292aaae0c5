"""Engine valves: lift, effective area, inlet Mach index, and what both leave of the filling.

No runner has a length here: neither ram nor tuning is in these relations.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "filling_factor_taylor",
    "inlet_mach_index_taylor",
    "share_kept_at_closing",
    "valve_effective_area",
    "valve_lift_sine_squared",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)
_TAYLOR_DURATION = 4.276056667386108  # rad = 245 deg, see filling_factor_taylor


@relation(
    source="own-work",
    status="own estimate",
    domain={"share_of_opening": Interval(0.0, 1.0), "full_lift": _NOT_NEGATIVE},
)
def valve_lift_sine_squared(share_of_opening: Number, full_lift: Number) -> Number:
    """Lift of a valve on its way, as a smooth bump.

    share_of_opening  (...,)  [-]  crank angle since the valve left its seat, over the angle it is off it
    full_lift         (...,)  [m]
    Returns (...,) [m]. Raises OutOfDomain outside the ranges given.
    Source: shape of ours, between a mild and a sporting cam: half the full lift in the mean, and 10 mm of it
    is above 1 mm for 80 % of the angle."""
    sine = np.sin(np.pi * share_of_opening)
    return full_lift * sine * sine


@relation(
    source="own-work",
    status="own estimate",
    domain={
        "lift": _NOT_NEGATIVE,
        "valve_diameter": _ABOVE_ZERO,
        "discharge_coefficient": _ABOVE_ZERO,
        "throat_share": _ABOVE_ZERO,
    },
)
def valve_effective_area(
    lift: Number, valve_diameter: Number, discharge_coefficient: Number, throat_share: Number
) -> Number:
    """Effective flow area of one poppet valve with its port: curtain and throat one after the other.

    lift                   (...,)  [m]
    valve_diameter         (...,)  [m]  of the head
    discharge_coefficient  (...,)  [-]  on the curtain, at small lift
    throat_share           (...,)  [-]  effective area of the port alone over the area of the head
    Returns (...,) [m2]. Raises OutOfDomain outside the ranges given.
    Source: our own estimate: areas in series add as 1/A^2. At a lift of a quarter of the diameter it gives
    0.48 of the head's area with the usual 0.65 and 0.70; flow benches show 0.45 to 0.6, from memory."""
    curtain = discharge_coefficient * np.pi * valve_diameter * lift
    throat = throat_share * 0.25 * np.pi * valve_diameter * valve_diameter
    return curtain * throat / np.sqrt(curtain * curtain + throat * throat)


@relation(
    source="taylor-1985",
    status="from memory",
    domain={
        "bore": _ABOVE_ZERO,
        "valve_diameter": _ABOVE_ZERO,
        "valve_count": _ABOVE_ZERO,
        "mean_flow_coefficient": _ABOVE_ZERO,
        "mean_piston_speed": _NOT_NEGATIVE,
        "speed_of_sound": _ABOVE_ZERO,
    },
)
def inlet_mach_index_taylor(
    bore: Number,
    valve_diameter: Number,
    valve_count: Number,
    mean_flow_coefficient: Number,
    mean_piston_speed: Number,
    speed_of_sound: Number,
) -> Number:
    """Inlet Mach index Z: mean gas speed through the intake valves over the speed of sound.

    bore                   (...,)  [m]
    valve_diameter         (...,)  [m]    of the head of an intake valve
    valve_count            (...,)  [-]    intake valves of a cylinder
    mean_flow_coefficient  (...,)  [-]    effective area over that of the head, mean over the time it is open
    mean_piston_speed      (...,)  [m/s]
    speed_of_sound         (...,)  [m/s]  in the intake manifold
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: Taylor, vol. 1, ch. 6: Z = (b/D)^2 s/(a C_i), from memory; several valves add their areas."""
    ratio = bore / valve_diameter
    return ratio * ratio * mean_piston_speed / (valve_count * mean_flow_coefficient * speed_of_sound)


@relation(
    source="livengood-stanitz-1943",
    status="from memory",
    domain={"inlet_mach_index": _NOT_NEGATIVE, "intake_duration": _ABOVE_ZERO},
    valid={"inlet_mach_index": Interval(0.0, 1.5), "intake_duration": Interval(3.6, 5.1)},
)
def filling_factor_taylor(inlet_mach_index: Number, intake_duration: Number) -> Number:
    """What the intake valves' own resistance leaves of the filling, 1 for slow gas.

    inlet_mach_index  (...,)  [-]
    intake_duration   (...,)  [rad]  crank angle for which the intake valve is off its seat
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: the curve of Livengood and Stanitz as drawn by Taylor (flat to Z 0.5, about 0.93 at 0.75, 0.77 at
    1.0, 0.54 at 1.5), read from memory, +-0.03; the smooth form is ours. That Z counts with 245 deg over the
    duration to the power 1.3 is ours too, from a quasi-steady filling (studies/filling)."""
    longer = intake_duration / _TAYLOR_DURATION
    x = inlet_mach_index / (0.82 * longer**1.3)
    return (1.0 + x**6.0) ** (-1.0 / 6.0)


@relation(
    source="own-work",
    status="own estimate",
    domain={"closing_after_bottom": Interval(0.0, np.pi), "rod_ratio": Interval(0.5, open_low=True)},
)
def share_kept_at_closing(closing_after_bottom: Number, rod_ratio: Number) -> Number:
    """Share of the stroke still below the piston when the intake valve closes: the rest is pushed back.

    closing_after_bottom  (...,)  [rad]  after bottom dead centre, where lift falls below 1 mm
    rod_ratio             (...,)  [-]    connecting rod, centre to centre, over stroke
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: slider-crank; that 1 mm is the lift at which filling ends is ours, from a quasi-steady filling
    (studies/filling). Ram of the intake column, which can make good for it at speed, is not in it."""
    crank = np.cos(closing_after_bottom)
    side = np.sin(closing_after_bottom) / (2.0 * rod_ratio)
    return 0.5 * (1.0 + crank) + rod_ratio * (1.0 - np.sqrt(1.0 - side * side))
