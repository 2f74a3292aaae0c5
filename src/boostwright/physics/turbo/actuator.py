"""Force balance of a boost-pressure actuator: spring and diaphragm against exhaust pressure on the valve.

Signs: every force that opens the valve is positive. ``pressure_lower`` acts on the side of the diaphragm
that opens the valve, ``pressure_upper`` on the spring side. The exhaust pressure on the head helps to open
a poppet whose head faces the manifold and pushes a swing flap open about its pivot.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "flap_opening_pressure",
    "head_force_by_lift",
    "poppet_lift",
    "poppet_opening_pressure",
    "preload_from_bench_rating",
    "preload_from_running_rating",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)


@relation(
    source="definition",
    status="definition",
    domain={"spring_rating": _NOT_NEGATIVE, "diaphragm_area": _ABOVE_ZERO},
)
def preload_from_bench_rating(spring_rating: Number, diaphragm_area: Number) -> Number:
    """Spring force at zero lift from the gauge pressure that just cracks the valve on the bench.

    spring_rating   (...,)  [Pa]  gauge, no exhaust pressure on the valve
    diaphragm_area  (...,)  [m2]  effective
    Returns (...,) [N]. Raises OutOfDomain outside the ranges given.
    Source: statics."""
    return spring_rating * diaphragm_area


@relation(
    source="definition",
    status="definition",
    domain={"spring_rating": _NOT_NEGATIVE, "diaphragm_area": _ABOVE_ZERO, "valve_area": _ABOVE_ZERO},
)
def preload_from_running_rating(
    spring_rating: Number, diaphragm_area: Number, valve_area: Number, pressure_difference: Number
) -> Number:
    """Spring force at zero lift from the gauge boost at which the valve was seen to open with the engine
    running.

    spring_rating        (...,)  [Pa]  gauge boost at which it cracked
    diaphragm_area       (...,)  [m2]  effective
    valve_area           (...,)  [m2]  of the head, on which the exhaust pressure acts
    pressure_difference  (...,)  [Pa]  across the valve, gate inlet less outlet, at that moment
    Returns (...,) [N]. Raises OutOfDomain outside the ranges given.
    Source: statics."""
    return spring_rating * diaphragm_area + pressure_difference * valve_area


@relation(
    source="definition",
    status="definition",
    domain={"diaphragm_area": _ABOVE_ZERO, "spring_rate": _NOT_NEGATIVE, "lift": _NOT_NEGATIVE},
)
def poppet_opening_pressure(
    preload: Number,
    spring_rate: Number,
    lift: Number,
    diaphragm_area: Number,
    head_force: Number,
    friction_force: Number,
) -> Number:
    """Pressure across the diaphragm that holds a poppet gate at a lift; at lift 0 the cracking pressure.

    preload         (...,)  [N]    spring force at zero lift
    spring_rate     (...,)  [N/m]
    lift            (...,)  [m]
    diaphragm_area  (...,)  [m2]   effective
    head_force      (...,)  [N]    of the exhaust on the head, opening
    friction_force  (...,)  [N]    positive while opening, negative while closing
    Returns (...,) [Pa]; negative says that the exhaust alone holds the valve open. Raises OutOfDomain
    outside the ranges given.
    Source: statics."""
    return (preload + spring_rate * lift + friction_force - head_force) / diaphragm_area


@relation(
    source="definition",
    status="definition",
    domain={
        "spring_rate": _ABOVE_ZERO,
        "diaphragm_area": _ABOVE_ZERO,
        "full_lift": _ABOVE_ZERO,
        "head_force_fall": Interval(0.0, 1.0),
    },
)
def poppet_lift(
    pressure_lower: Number,
    pressure_upper: Number,
    diaphragm_area: Number,
    head_force_shut: Number,
    head_force_fall: Number,
    preload: Number,
    friction_force: Number,
    spring_rate: Number,
    full_lift: Number,
) -> Number:
    """Lift of a poppet gate from its force balance, between its two stops.

    pressure_lower   (...,)  [Pa]   on the opening side of the diaphragm
    pressure_upper   (...,)  [Pa]   on the spring side
    diaphragm_area   (...,)  [m2]   effective
    head_force_shut  (...,)  [N]    of the exhaust on the head at zero lift
    head_force_fall  (...,)  [-]    share of it lost from shut to full lift, 0 to 1
    preload          (...,)  [N]    spring force at zero lift
    friction_force   (...,)  [N]    positive while opening, negative while closing
    spring_rate      (...,)  [N/m]
    full_lift        (...,)  [m]
    Returns (...,) [m], 0 to full_lift. Raises OutOfDomain outside the ranges given.
    Source: statics; the head force falls linearly with lift (own estimate, see head_force_by_lift), which
    acts as if the spring were stiffer."""
    force = (pressure_lower - pressure_upper) * diaphragm_area + head_force_shut - preload - friction_force
    stiffness = spring_rate + head_force_fall * head_force_shut / full_lift
    result: Number = np.minimum(np.maximum(force / stiffness, 0.0), full_lift)
    return result


@relation(
    source="own-work",
    status="own estimate",
    domain={
        "head_area": _ABOVE_ZERO,
        "back_area": _NOT_NEGATIVE,
        "lift": _NOT_NEGATIVE,
        "full_lift": _ABOVE_ZERO,
        "head_force_fall": Interval(0.0, 1.0),
    },
)
def head_force_by_lift(
    pressure_gate: Number,
    pressure_back: Number,
    head_area: Number,
    back_area: Number,
    lift: Number,
    full_lift: Number,
    head_force_fall: Number,
) -> Number:
    """Force of the exhaust on a lifting valve.

    pressure_gate    (...,)  [Pa]  ahead of the valve, absolute
    pressure_back    (...,)  [Pa]  behind it, absolute
    head_area        (...,)  [m2]  facing the gate inlet
    back_area        (...,)  [m2]  facing the outlet: head less stem
    lift             (...,)  [m]
    full_lift        (...,)  [m]
    head_force_fall  (...,)  [-]   share of the shut force lost at full lift, 0 to 1
    Returns (...,) [N], opening. Raises OutOfDomain outside the ranges given.
    Source: statics when shut; the linear fall with lift is an estimate of ours, for the open valve no
    longer carries the whole pressure difference. Band of the share 0.2 to 0.7."""
    shut = pressure_gate * head_area - pressure_back * back_area
    share = np.minimum(lift / full_lift, 1.0)
    result: Number = shut * (1.0 - head_force_fall * share)
    return result


@relation(
    source="definition",
    status="definition",
    domain={
        "spring_rate": _NOT_NEGATIVE,
        "rod_travel": _NOT_NEGATIVE,
        "diaphragm_area": _ABOVE_ZERO,
        "flap_area": _NOT_NEGATIVE,
        "arm_actuator": _ABOVE_ZERO,
        "arm_flap": _NOT_NEGATIVE,
    },
)
def flap_opening_pressure(
    preload: Number,
    spring_rate: Number,
    rod_travel: Number,
    diaphragm_area: Number,
    flap_area: Number,
    pressure_difference: Number,
    arm_actuator: Number,
    arm_flap: Number,
) -> Number:
    """Pressure across the diaphragm that holds a swing flap at a rod travel; at travel 0 the cracking
    pressure.

    preload              (...,)  [N]    rod force of the spring at zero travel
    spring_rate          (...,)  [N/m]
    rod_travel           (...,)  [m]
    diaphragm_area       (...,)  [m2]   effective
    flap_area            (...,)  [m2]   of the hole that the flap covers
    pressure_difference  (...,)  [Pa]   across the flap
    arm_actuator         (...,)  [m]    pivot to rod
    arm_flap             (...,)  [m]    pivot to centre of the flap
    Returns (...,) [Pa]. Raises OutOfDomain outside the ranges given.
    Source: moments about the pivot."""
    rod_force = preload + spring_rate * rod_travel
    flap_moment = pressure_difference * flap_area * arm_flap
    return (rod_force - flap_moment / arm_actuator) / diaphragm_area
