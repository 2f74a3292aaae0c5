"""Geometric area of a lifting valve or flap, and its effective area with discharge coefficients."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "curtain_area",
    "effective_area_poppet",
    "governing_area",
    "lift_at_equal_area",
    "poppet_area_heywood",
    "seat_area",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)
_OPEN_BORE = {"a stem thinner than the bore": lambda stem_diameter, bore: stem_diameter < bore}


@relation(
    source="definition",
    status="definition",
    domain={"valve_diameter": _ABOVE_ZERO, "lift": _NOT_NEGATIVE},
)
def curtain_area(valve_diameter: Number, lift: Number) -> Number:
    """Area of the cylinder between seat and lifted valve.

    valve_diameter  (...,)  [m]  of the valve's sealing edge, never of the flange
    lift            (...,)  [m]
    Returns (...,) [m2]. Raises OutOfDomain outside the ranges given.
    Source: geometry."""
    return np.pi * valve_diameter * lift


@relation(
    source="definition",
    status="definition",
    domain={"bore": _ABOVE_ZERO, "stem_diameter": _NOT_NEGATIVE},
    needs=_OPEN_BORE,
)
def seat_area(bore: Number, stem_diameter: Number) -> Number:
    """Area of the round passage under the valve, less its stem.

    bore           (...,)  [m]  of the seat or port
    stem_diameter  (...,)  [m]  0 for a flap
    Returns (...,) [m2]. Raises OutOfDomain outside the ranges given.
    Source: geometry."""
    return 0.25 * np.pi * (bore**2 - stem_diameter**2)


@relation(
    source="definition",
    status="definition",
    domain={"curtain": _NOT_NEGATIVE, "seat": _NOT_NEGATIVE},
)
def governing_area(curtain: Number, seat: Number) -> Number:
    """The smaller of curtain and seat area, with the kink where they are equal.

    curtain  (...,)  [m2]
    seat     (...,)  [m2]
    Returns (...,) [m2]. Raises OutOfDomain for a negative area.
    Source: geometry."""
    result: Number = np.minimum(curtain, seat)
    return result


@relation(
    source="definition",
    status="definition",
    domain={"bore": _ABOVE_ZERO, "stem_diameter": _NOT_NEGATIVE},
    needs=_OPEN_BORE,
)
def lift_at_equal_area(bore: Number, stem_diameter: Number) -> Number:
    """Lift beyond which the seat, no longer the curtain, limits the flow; a quarter of the bore without a
    stem.

    bore           (...,)  [m]  of the seat, taken as the valve's sealing edge too
    stem_diameter  (...,)  [m]  0 for a flap
    Returns (...,) [m]. Raises OutOfDomain outside the ranges given.
    Source: geometry."""
    return 0.25 * (bore**2 - stem_diameter**2) / bore


@relation(
    source="heywood-1988",
    status="from memory",
    domain={
        "lift": _NOT_NEGATIVE,
        "head_diameter": _ABOVE_ZERO,
        "seat_width": _ABOVE_ZERO,
        "seat_angle": Interval(0.0, 0.5 * np.pi, open_low=True, open_high=True),
        "port_diameter": _ABOVE_ZERO,
        "stem_diameter": _NOT_NEGATIVE,
    },
    needs={
        "a stem thinner than the port": lambda stem_diameter, port_diameter: stem_diameter < port_diameter,
        "a head wider than two seats": lambda head_diameter, seat_width: head_diameter > 2.0 * seat_width,
    },
)
def poppet_area_heywood(
    lift: Number,
    head_diameter: Number,
    seat_width: Number,
    seat_angle: Number,
    port_diameter: Number,
    stem_diameter: Number,
) -> Number:
    """Smallest passage of a poppet valve with a conical seat, in three stages of lift.

    lift           (...,)  [m]
    head_diameter  (...,)  [m]    of the valve head
    seat_width     (...,)  [m]    radial width of the seat
    seat_angle     (...,)  [rad]  between the seat and the plane of the head, above 0 and below pi/2
    port_diameter  (...,)  [m]    inside the seat
    stem_diameter  (...,)  [m]
    Returns (...,) [m2], continuous. Raises OutOfDomain outside the ranges given.
    Source: Heywood (1988), eqs. 6.7 to 6.9, from memory."""
    sine = np.sin(seat_angle)
    cosine = np.cos(seat_angle)
    w = seat_width
    mean_diameter = head_diameter - w
    low = np.pi * lift * cosine * (head_diameter - 2.0 * w + lift * sine * cosine)
    slant = np.sqrt((lift - w * sine / cosine) ** 2 + w * w)
    port = 0.25 * np.pi * (port_diameter**2 - stem_diameter**2)
    # Below the first stage's end the second formula gives a larger area, never the smallest.
    first = (lift < w / (sine * cosine)) * 1.0
    # Heywood caps the second stage alone; behind a wide seat a narrow port is reached in the first.
    result: Number = np.minimum(first * low + (1.0 - first) * np.pi * mean_diameter * slant, port)
    return result


@relation(
    source="own-work",
    status="own estimate",
    domain={
        "lift": _NOT_NEGATIVE,
        "valve_diameter": _ABOVE_ZERO,
        "stem_diameter": _NOT_NEGATIVE,
        "curtain_coefficient": _ABOVE_ZERO,
        "seat_coefficient": _ABOVE_ZERO,
    },
    valid={"curtain_coefficient": Interval(0.5, 0.9), "seat_coefficient": Interval(0.5, 0.9)},
    needs={
        "a stem thinner than the valve": lambda stem_diameter, valve_diameter: stem_diameter < valve_diameter
    },
)
def effective_area_poppet(
    lift: Number,
    valve_diameter: Number,
    stem_diameter: Number,
    curtain_coefficient: Number,
    seat_coefficient: Number,
) -> Number:
    """Effective area of a gate valve: curtain at low lift, seat at high lift, with a rounded passage
    between.

    lift                 (...,)  [m]
    valve_diameter       (...,)  [m]  of the valve's sealing edge, taken as the bore of the seat too
    stem_diameter        (...,)  [m]  0 for a flap
    curtain_coefficient  (...,)  [-]  discharge coefficient on the curtain area
    seat_coefficient     (...,)  [-]  discharge coefficient on the seat area
    Returns (...,) [m2], coefficient included, C1 in lift. Raises OutOfDomain outside the ranges given.
    Source: geometry; the two areas joined by an eighth-power mean (8 % below the smaller where they are
    equal), an estimate of ours: measured coefficients of lifting valves fall in the same way there."""
    curtain = curtain_coefficient * np.pi * valve_diameter * lift
    seat = seat_coefficient * 0.25 * np.pi * (valve_diameter**2 - stem_diameter**2)
    share_4 = (curtain / seat) * (curtain / seat) * (curtain / seat) * (curtain / seat)
    result: Number = curtain / np.sqrt(np.sqrt(np.sqrt(1.0 + share_4 * share_4)))
    return result
