"""What the engine drives: a brake, a roller, the car in a gear through its clutch, or itself alone."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.solve.kernel.cycle_table import cycle_outputs
from boostwright.solve.kernel.transient_layout import (
    BRAKE,
    CLUTCH_OPEN,
    ENGINE_RATE,
    ENGINE_SPEED,
    LOCKED,
    NEUTRAL,
    P_GEAR,
    P_LOAD,
    P_RAMP,
    P_ROAD,
    P_SLOPE,
    VEHICLE_SPEED,
)

__all__ = ["brake_torque", "drive", "wheel_torque"]

_SLOWEST = 0.75  # of idle speed, at which the clutch is opened rather than the engine stalled
_CLOSING = 0.12  # s, time constant of the slip as a driver lets a clutch in, own estimate; dropped it would pull at 2 g
_LEAST_APART = 20.0  # rad/s: the last of the slip goes at this pace
_FASTEST = 1000.0  # rad/s2 at which a driver lets the clutch change engine speed, own estimate
_MOTORED_EXPONENT = 1.3
_STILL = 0.05  # m/s below which nothing resists


@compiled
def brake_torque(p: Any, c: Any, a: Any, row: Any, friction: Any, firing: float, out: Any) -> Any:
    """Torque at the crankshaft [N m], what friction takes of it, and peak pressure [Pa], at the answers ``a``.

    row       of the whole table of closed cycles at this speed
    friction  mean pressure = f0 + f1 peak pressure + f2 p_im, (3,) at this speed
    """
    p_im, p_em = a[2], a[21]
    cycle_outputs(row, a[15], a[16], a[17], a[18], out)
    unfired = a[20] * p.compression_ratio**_MOTORED_EXPONENT
    peak = firing * max(out[7], unfired) + (1.0 - firing) * unfired
    pressure = friction[0] + friction[1] * peak + friction[2] * p_im
    swept = p.displacement
    gross = p.cylinders * (firing * a[19] - (1.0 - firing) * c.motored_work * p_im * swept / p.cylinders)
    pumping = (p_em - p_im + p.valve_loss * p_im) * swept
    lost = pressure * swept / (4.0 * np.pi)
    return (gross - pumping) / (4.0 * np.pi) - lost, lost, peak


@compiled
def wheel_torque(c: Any, torque: float) -> float:
    """Torque behind the driveline's losses, at crankshaft speed [N m]; losses brake in overrun too."""
    left = torque - c.drag_torque
    if left >= 0.0:
        return left * (1.0 - c.loss_share)
    return left / (1.0 - c.loss_share)


@compiled
def _resistance(c: Any, phase: Any, v: float) -> float:
    """Force against the car [N]: rolling, slope and air; on a roller rolling alone."""
    if v < _STILL:
        return 0.0
    rolling = c.weight * c.rolling_resistance
    if phase[P_ROAD] != 1.0:
        return rolling
    return rolling + c.weight * phase[P_SLOPE] + c.drag_factor * v * v


@compiled
def _car_mass(c: Any, phase: Any) -> float:
    return float(c.mass_road if phase[P_ROAD] == 1.0 else c.mass_roller)


@compiled
def _slipping(c: Any, torque: float, apart: float) -> float:
    """Torque through a slipping clutch [N m] when the engine turns by ``apart`` [rad/s] faster than the gearbox.

    The driver lets it in so that the slip dies away with ``_CLOSING``, in some 0.3 s: what the engine gives, and what
    changes its speed at that pace, from the faster side to the slower one, and never more than the clutch carries.
    """
    pace = min(max(abs(apart), _LEAST_APART) / _CLOSING, _FASTEST)
    if apart > 0.0:
        return min(max(torque + c.engine_inertia * pace, 0.0), c.clutch_torque)
    return max(min(torque - c.engine_inertia * pace, 0.0), -c.clutch_torque)


@compiled
def _in_gear(c: Any, phase: Any, s: Any, torque: float, h: float) -> None:
    """Engine and car through the gear: as one while the clutch holds, each by itself while it slips."""
    per_metre = c.gears[int(phase[P_GEAR]) - 1] * c.final_drive / c.rolling_radius
    v, speed = s[VEHICLE_SPEED], s[ENGINE_SPEED]
    against = _resistance(c, phase, v)
    mass = _car_mass(c, phase)
    if s[LOCKED] == 1.0:
        # what the engine's own inertia takes never comes to the gearbox, and loses nothing in it
        passed = 1.0 - c.loss_share if torque >= c.drag_torque else 1.0 / (1.0 - c.loss_share)
        whole = mass + passed * c.engine_inertia * per_metre * per_metre
        rate = (wheel_torque(c, torque) * per_metre - against) / whole
        s[VEHICLE_SPEED] = max(v + rate * h, 0.0)
        s[ENGINE_SPEED] = s[VEHICLE_SPEED] * per_metre
        s[ENGINE_RATE] = rate * per_metre
        if s[ENGINE_SPEED] < _SLOWEST * c.idle_speed:
            s[LOCKED] = 0.0
        return
    apart = speed - v * per_metre
    hold = _slipping(c, torque, apart)
    if (
        v * per_metre < _SLOWEST * c.idle_speed
    ):  # too slow for this gear: the driver lets it slip no lower than that
        hold = min(hold, max(torque, 0.0))
    s[ENGINE_RATE] = (torque - hold) / c.engine_inertia
    s[ENGINE_SPEED] = max(speed + s[ENGINE_RATE] * h, _SLOWEST * c.idle_speed)
    s[VEHICLE_SPEED] = max(v + (wheel_torque(c, hold) * per_metre - against) / mass * h, 0.0)
    after = s[ENGINE_SPEED] - s[VEHICLE_SPEED] * per_metre
    if after * apart <= 0.0 and s[VEHICLE_SPEED] * per_metre >= _SLOWEST * c.idle_speed:
        s[LOCKED] = 1.0
        s[ENGINE_SPEED] = s[VEHICLE_SPEED] * per_metre


@compiled
def drive(c: Any, phase: Any, s: Any, torque: float, h: float) -> None:
    """Carry engine speed [rad/s] and road speed [m/s] on by ``h`` [s] under the torque at the crankshaft [N m]."""
    load = phase[P_LOAD]
    if load == BRAKE:
        s[ENGINE_RATE] = phase[P_RAMP]
        s[ENGINE_SPEED] += phase[P_RAMP] * h
        s[LOCKED] = 1.0
        gear = int(phase[P_GEAR])
        if gear > 0:
            s[VEHICLE_SPEED] = s[ENGINE_SPEED] * c.rolling_radius / (c.gears[gear - 1] * c.final_drive)
        return
    if load in (NEUTRAL, CLUTCH_OPEN):
        s[LOCKED] = 0.0
        s[ENGINE_RATE] = torque / c.engine_inertia
        s[ENGINE_SPEED] = max(s[ENGINE_SPEED] + s[ENGINE_RATE] * h, _SLOWEST * c.idle_speed)
        v = s[VEHICLE_SPEED]
        s[VEHICLE_SPEED] = max(v - _resistance(c, phase, v) / max(_car_mass(c, phase), 1.0) * h, 0.0)
        return
    _in_gear(c, phase, s, torque, h)
