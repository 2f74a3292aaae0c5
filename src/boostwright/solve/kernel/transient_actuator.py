"""The gate's own motion: a mass on a spring with dry friction between two stops, each stretch solved in closed form.

Between two moments at which the valve stops, turns or meets a stop, the forces are linear in lift and constant
otherwise, so the motion is a known damped swing; those moments are sought on it. No small steps are needed, and a valve
that sticks stands still exactly.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.solve.kernel.exhaust import head_force

__all__ = ["actuator_force", "move_valve", "swing"]

_STRETCHES = 12
_HALVINGS = 40
_LEAST_DAMPING = 1e-9


@compiled
def swing(x: float, v: float, t: float, omega: float, zeta: float) -> Any:
    """Place and speed after ``t`` of a damped swing x'' + 2 zeta omega x' + omega^2 x = 0 from x, v."""
    if zeta < 1.0 - 1e-6:
        damped = omega * np.sqrt(1.0 - zeta * zeta)
        fade = np.exp(-zeta * omega * t)
        b = (v + zeta * omega * x) / damped
        s, c = np.sin(damped * t), np.cos(damped * t)
        return fade * (x * c + b * s), fade * (v * c - (omega * omega * x + zeta * omega * v) / damped * s)
    if zeta < 1.0 + 1e-6:
        fade = np.exp(-omega * t)
        b = v + omega * x
        return fade * (x + b * t), fade * (b - omega * (x + b * t))
    root = omega * np.sqrt(zeta * zeta - 1.0)
    fast, slow = -zeta * omega - root, -zeta * omega + root
    a = (v - slow * x) / (fast - slow)
    b = x - a
    return a * np.exp(fast * t) + b * np.exp(slow * t), a * fast * np.exp(fast * t) + b * slow * np.exp(
        slow * t
    )


@compiled
def _until_still(x: float, v: float, t: float, omega: float, zeta: float) -> float:
    """Time at which a swing's speed first is zero within ``t``, else ``t``; it has kept its sign until then."""
    if zeta < 1.0 - 1e-6:
        damped = omega * np.sqrt(1.0 - zeta * zeta)
        turn = np.arctan2(damped * v, omega * (omega * x + zeta * v))
        if turn < 0.0:
            turn += np.pi
        elif turn == 0.0:
            turn = np.pi
        return min(turn / damped, t)
    _x, end = swing(x, v, t, omega, zeta)
    if end * v > 0.0:
        return t
    low, high = 0.0, t
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        _x, here = swing(x, v, middle, omega, zeta)
        if here * v > 0.0:
            low = middle
        else:
            high = middle
    return high


@compiled
def _until_stop(x: float, v: float, t: float, omega: float, zeta: float, place: float) -> float:
    """Time within ``t`` at which a swing that goes one way reaches a place; it does by then."""
    low, high = 0.0, t
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        here, _v = swing(x, v, middle, omega, zeta)
        if (here - place) * v < 0.0:
            low = middle
        else:
            high = middle
    return high


@compiled
def move_valve(
    x: float,
    v: float,
    h: float,
    drive: float,
    stiffness: float,
    mass: float,
    damping: float,
    friction: float,
    top: float,
) -> Any:
    """Lift [m] and its rate [m/s] after ``h`` [s] under a constant driving force [N] less stiffness times lift.

    friction  [N] dry, as large at rest as in motion; stops at 0 and ``top`` take all speed
    """
    omega = np.sqrt(stiffness / mass)
    zeta = max(damping, _LEAST_DAMPING) / (2.0 * mass * omega)
    left = h
    for _ in range(_STRETCHES):
        if left <= 0.0:
            break
        if v == 0.0:
            pull = drive - stiffness * x
            if abs(pull) <= friction or (x <= 0.0 and pull < 0.0) or (x >= top and pull > 0.0):
                return x, 0.0
            way = 1.0 if pull > 0.0 else -1.0
        else:
            way = 1.0 if v > 0.0 else -1.0
        middle = (drive - way * friction) / stiffness
        still = left
        if v != 0.0 or omega * left > 0.0:
            still = _until_still(x - middle, v if v != 0.0 else way * 1e-300, left, omega, zeta)
        end, speed = swing(x - middle, v, still, omega, zeta)
        end += middle
        if end < 0.0 or end > top:
            place = 0.0 if end < 0.0 else top
            still = _until_stop(
                x - middle, v if v != 0.0 else way * 1e-300, still, omega, zeta, place - middle
            )
            x, v = place, 0.0
        else:
            x = end
            v = 0.0 if still < left else speed
        left -= still
    return min(max(x, 0.0), top), v


@compiled
def actuator_force(p: Any, c: Any, lower: float, upper: float, p_g: float, p_back: float, lift: float) -> Any:
    """Driving force [N] and stiffness [N/m] about a lift: diaphragm, exhaust on the head, spring.

    The head force falls with lift, straight as in steady state or early; what it falls by acts as stiffness.
    """
    head = head_force(p, p_g, p_back)
    fall = p.head_force_fall * max(head, 0.0)
    share = min(max(lift / p.gate_full_lift, 0.0), 1.0)
    lost, slope = share, 1.0
    if c.head_law == 1.0:
        lost, slope = share * (2.0 - share), 2.0 * (1.0 - share)
    rate = fall * slope / p.gate_full_lift
    drive = (lower - upper) * p.diaphragm_area + head - p.spring_force - fall * lost + rate * lift
    return drive, p.spring_rate + rate
