"""What torque, pressure and speed of an engine mean to each other. Four strokes unless a name says
otherwise."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "brake_mean_effective_pressure",
    "brake_power",
    "displacement",
    "firing_frequency",
    "mean_piston_speed",
    "torque_from_mean_effective_pressure",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)


@relation(
    source="definition",
    status="definition",
    domain={"bore": _ABOVE_ZERO, "stroke": _ABOVE_ZERO, "cylinders": Interval(1.0)},
)
def displacement(bore: Number, stroke: Number, cylinders: Number) -> Number:
    """Swept volume of the engine.

    bore       (...,)  [m]
    stroke     (...,)  [m]
    cylinders  (...,)  [-]  number of them
    Returns (...,) [m3]. Raises OutOfDomain outside the ranges given.
    Source: geometry."""
    return 0.25 * np.pi * bore**2 * stroke * cylinders


@relation(source="definition", status="definition", domain={"displacement": _ABOVE_ZERO})
def brake_mean_effective_pressure(torque: Number, displacement: Number) -> Number:
    """Mean effective pressure of a torque, four strokes: torque that travels between engines of any size.

    torque        (...,)  [N m]  at the crankshaft
    displacement  (...,)  [m3]   of the engine
    Returns (...,) [Pa]. Raises OutOfDomain for a displacement not above 0.
    Source: definition."""
    return 4.0 * np.pi * torque / displacement


@relation(source="definition", status="definition", domain={"displacement": _ABOVE_ZERO})
def torque_from_mean_effective_pressure(mean_effective_pressure: Number, displacement: Number) -> Number:
    """Torque of a mean effective pressure, four strokes.

    mean_effective_pressure  (...,)  [Pa]
    displacement             (...,)  [m3]  of the engine
    Returns (...,) [N m]. Raises OutOfDomain for a displacement not above 0.
    Source: definition."""
    return mean_effective_pressure * displacement / (4.0 * np.pi)


@relation(source="definition", status="definition", domain={"rotational_speed": _NOT_NEGATIVE})
def brake_power(torque: Number, rotational_speed: Number) -> Number:
    """Power of a torque at a speed.

    torque            (...,)  [N m]
    rotational_speed  (...,)  [rad/s]
    Returns (...,) [W]. Raises OutOfDomain for a negative speed.
    Source: definition."""
    return torque * rotational_speed


@relation(
    source="definition",
    status="definition",
    domain={"stroke": _ABOVE_ZERO, "rotational_speed": _NOT_NEGATIVE},
)
def mean_piston_speed(stroke: Number, rotational_speed: Number) -> Number:
    """Mean speed of the piston, two strokes a turn.

    stroke            (...,)  [m]
    rotational_speed  (...,)  [rad/s]
    Returns (...,) [m/s]. Raises OutOfDomain outside the ranges given.
    Source: definition."""
    return stroke * rotational_speed / np.pi


@relation(
    source="definition",
    status="definition",
    domain={"cylinders": Interval(1.0), "rotational_speed": _NOT_NEGATIVE},
)
def firing_frequency(cylinders: Number, rotational_speed: Number) -> Number:
    """Firings per second of an evenly firing four-stroke engine.

    cylinders         (...,)  [-]  number of them
    rotational_speed  (...,)  [rad/s]
    Returns (...,) [Hz]. Raises OutOfDomain outside the ranges given.
    Source: definition."""
    return cylinders * rotational_speed / (4.0 * np.pi)
