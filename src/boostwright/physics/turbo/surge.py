"""Surge: whether a compressor, its pipe and the volume behind it swing by themselves."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["compressor_flow_acceleration", "greitzer_parameter", "helmholtz_frequency"]

_ABOVE_ZERO = Interval(0.0, open_low=True)


@relation(
    source="greitzer-1976",
    status="from memory",
    domain=dict.fromkeys(("tip_speed", "sound_speed", "volume", "duct_area", "duct_length"), _ABOVE_ZERO),
)
def greitzer_parameter(
    tip_speed: Number, sound_speed: Number, volume: Number, duct_area: Number, duct_length: Number
) -> Number:
    """Greitzer's B: pressure forces over inertia forces in a compression system; above about 0.7 to 0.8 it surges.

    tip_speed    (...,)  [m/s]  of the compressor wheel
    sound_speed  (...,)  [m/s]  in the volume
    volume       (...,)  [m3]   behind the compressor
    duct_area    (...,)  [m2]   of the compressor's duct
    duct_length  (...,)  [m]    of that duct, at that area
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: Greitzer (1976), B = U/(2 a) sqrt(V/(A L)); the limit holds for his axial machine."""
    return tip_speed / (2.0 * sound_speed) * np.sqrt(volume / (duct_area * duct_length))


@relation(
    source="greitzer-1976",
    status="from memory",
    domain=dict.fromkeys(("sound_speed", "volume", "duct_area", "duct_length"), _ABOVE_ZERO),
)
def helmholtz_frequency(
    sound_speed: Number, volume: Number, duct_area: Number, duct_length: Number
) -> Number:
    """Natural frequency of the air in a duct on the spring of a volume.

    sound_speed  (...,)  [m/s]
    volume       (...,)  [m3]
    duct_area    (...,)  [m2]
    duct_length  (...,)  [m]
    Returns (...,) [rad/s]. Raises OutOfDomain outside the ranges given.
    Source: Greitzer (1976), omega = a sqrt(A/(V L)), Helmholtz's resonator."""
    return sound_speed * np.sqrt(duct_area / (volume * duct_length))


@relation(
    source="greitzer-1976",
    status="from memory",
    domain={"duct_area": _ABOVE_ZERO, "duct_length": _ABOVE_ZERO},
)
def compressor_flow_acceleration(
    pressure_made: Number, pressure_behind: Number, duct_area: Number, duct_length: Number
) -> Number:
    """Rate at which a compressor's mass flow changes.

    pressure_made    (...,)  [Pa]  that the compressor makes at this flow and speed, absolute
    pressure_behind  (...,)  [Pa]  at the end of its duct, absolute
    duct_area        (...,)  [m2]
    duct_length      (...,)  [m]
    Returns (...,) [kg/s2]. Raises OutOfDomain outside the ranges given.
    Source: Greitzer (1976): momentum of the air in a duct of constant area."""
    return (pressure_made - pressure_behind) * duct_area / duct_length
