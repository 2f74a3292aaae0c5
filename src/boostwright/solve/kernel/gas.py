"""Enthalpies and temperatures inside the compiled solver; the same polynomials as ``physics.gas.mixture``."""

from __future__ import annotations

from typing import Any

from boostwright.numerics.compiler import compiled

__all__ = [
    "air_enthalpy",
    "air_heat",
    "air_temperature",
    "exhaust_enthalpy",
    "exhaust_heat",
    "exhaust_temperature",
]

_NEWTON_STEP = 1e-2  # K: after a step this small the error is its square times cp'/2cp, below 1e-8 K
_MIDDLE = 1000.0  # K, where the two ranges of the published polynomials meet


@compiled
def _heat(c: Any, t: float) -> float:
    return c[0] + t * (c[1] + t * (c[2] + t * (c[3] + t * c[4])))


@compiled
def _enthalpy(c: Any, t: float) -> float:
    return c[5] + t * (c[0] + t * (c[1] / 2.0 + t * (c[2] / 3.0 + t * (c[3] / 4.0 + t * c[4] / 5.0))))


@compiled
def air_heat(p: Any, t: float) -> float:
    """cp of the intake air [J/(kg K)] at ``t`` [K], below 1000 K."""
    return _heat(p.air, t)


@compiled
def air_enthalpy(p: Any, t: float) -> float:
    """Enthalpy of the intake air above 298.15 K [J/kg]."""
    return _enthalpy(p.air, t)


@compiled
def air_temperature(p: Any, enthalpy: float, guess: float) -> float:
    """Temperature [K] of the intake air from its enthalpy, by Newton from a near guess."""
    t = guess
    for _ in range(6):
        step = (_enthalpy(p.air, t) - enthalpy) / _heat(p.air, t)
        t -= step
        if abs(step) < _NEWTON_STEP:
            break
    return t


@compiled
def exhaust_heat(p: Any, t: float) -> float:
    """cp of the exhaust gas [J/(kg K)]."""
    if t < _MIDDLE:
        return _heat(p.exhaust_low, t)
    return _heat(p.exhaust_high, t)


@compiled
def exhaust_enthalpy(p: Any, t: float) -> float:
    """Enthalpy of the exhaust gas above 298.15 K [J/kg]."""
    if t < _MIDDLE:
        return _enthalpy(p.exhaust_low, t)
    return _enthalpy(p.exhaust_high, t)


@compiled
def exhaust_temperature(p: Any, enthalpy: float, slope: float, guess: float) -> float:
    """Temperature [K] at which ``h(T) + slope*T = enthalpy``; ``slope`` [J/(kg K)] carries a wall loss."""
    t = guess
    for _ in range(8):
        step = (exhaust_enthalpy(p, t) + slope * t - enthalpy) / (exhaust_heat(p, t) + slope)
        t = min(max(t - step, 200.0), 4000.0)
        if abs(step) < _NEWTON_STEP:
            break
    return t
