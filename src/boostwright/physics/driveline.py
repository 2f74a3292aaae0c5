"""Power at the driven wheels from power at the crankshaft, and back."""

from __future__ import annotations

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["power_at_crankshaft", "power_at_wheels"]

_SHARE = Interval(0.0, 1.0, open_high=True)
_NOT_NEGATIVE = Interval(0.0)
_DOMAIN = {"loss_share": _SHARE, "drag_torque": _NOT_NEGATIVE, "engine_speed": _NOT_NEGATIVE}


@relation(source="definition", status="definition", domain=_DOMAIN)
def power_at_wheels(power: Number, engine_speed: Number, loss_share: Number, drag_torque: Number) -> Number:
    """Power that reaches the wheels: a constant drag comes off first, then a share of the rest.

    power         (...,)  [W]      brake power at the crankshaft
    engine_speed  (...,)  [rad/s]  of the crankshaft
    loss_share    (...,)  [-]      of the power that meshing gears, joints and tyres take
    drag_torque   (...,)  [N m]    that turns oil and bearings whatever the load, referred to the crankshaft
    Returns (...,) [W]. Raises OutOfDomain outside the ranges given.
    Source: definition of the two losses; neither figure is in it."""
    return (power - drag_torque * engine_speed) * (1.0 - loss_share)


@relation(source="definition", status="definition", domain=_DOMAIN)
def power_at_crankshaft(
    power_wheel: Number, engine_speed: Number, loss_share: Number, drag_torque: Number
) -> Number:
    """Brake power behind a figure taken at the wheels, the inverse of power_at_wheels.

    power_wheel   (...,)  [W]      at the wheels
    engine_speed  (...,)  [rad/s]  of the crankshaft
    loss_share    (...,)  [-]      of the power that meshing gears, joints and tyres take
    drag_torque   (...,)  [N m]    that turns oil and bearings whatever the load, referred to the crankshaft
    Returns (...,) [W]. Raises OutOfDomain outside the ranges given.
    Source: definition of the two losses; neither figure is in it."""
    return power_wheel / (1.0 - loss_share) + drag_torque * engine_speed
