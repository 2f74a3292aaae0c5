"""At a given shaft speed: air flow and turbine-inlet pressure. Unknowns are logarithms, so they stay positive."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.solve.kernel.balance import balances
from boostwright.solve.kernel.layout import NO_TURBO

__all__ = ["settle"]

_STEP = 1e-6  # of the finite differences
_LONGEST = 0.5  # of one quasi-Newton step, in the log
_SLOW_TOLERANCE = 1e-12


@compiled
def _flow_at(
    p: Any, maps: Any, turbines: Any, mode: int, share: float, y: float, speed: float, x: float
) -> Any:
    """ln(air flow) that the engine breathes at a given ln(p_em): bracketed, then Illinois with bisection behind it.

    Returns x, the second balance there and the evaluations. More flow always leaves the engine less to breathe.
    """
    low, high = x - 0.3, x + 0.3
    f_low, gas, _m, _p, _s = balances(p, maps, turbines, mode, share, np.exp(low), np.exp(y), speed)
    f_high, gas, _m, _p, _s = balances(p, maps, turbines, mode, share, np.exp(high), np.exp(y), speed)
    count = 2
    while f_low < 0.0 and low > -25.0:
        high, f_high = low, f_low
        low -= 0.8
        f_low, gas, _m, _p, _s = balances(p, maps, turbines, mode, share, np.exp(low), np.exp(y), speed)
        count += 1
    while f_high > 0.0 and high < 6.0:
        low, f_low = high, f_high
        high += 0.8
        f_high, gas, _m, _p, _s = balances(p, maps, turbines, mode, share, np.exp(high), np.exp(y), speed)
        count += 1
    side = 0
    for trial in range(90):
        x = low + (high - low) * f_low / (f_low - f_high) if trial % 4 != 3 else 0.5 * (low + high)
        air, gas, _m, _p, _s = balances(p, maps, turbines, mode, share, np.exp(x), np.exp(y), speed)
        count += 1
        if abs(air) < _SLOW_TOLERANCE or high - low < 1e-14:
            break
        if air > 0.0:
            low, f_low = x, air
            if side == 1:
                f_high *= 0.5
            side = 1
        else:
            high, f_high = x, air
            if side == -1:
                f_low *= 0.5
            side = -1
    return x, gas, count


@compiled
def _settle_slowly(
    p: Any, maps: Any, turbines: Any, mode: int, share: float, speed: float, x: float, y: float
) -> Any:
    """Both unknowns by nested bracketing: slower, and finds what the quick way may miss. Returns x, y, evaluations.

    Too little back-pressure leaves gas over (second balance positive); with no turbine the sign is the other way.
    """
    sign = -1.0 if mode == NO_TURBO else 1.0
    low, high = y - 0.2, y + 0.2
    x, gas, count = _flow_at(p, maps, turbines, mode, share, low, speed, x)
    f_low = sign * gas
    while f_low < 0.0 and low > 9.0:
        low -= 0.4
        x, gas, n = _flow_at(p, maps, turbines, mode, share, low, speed, x)
        f_low = sign * gas
        count += n
    x, gas, n = _flow_at(p, maps, turbines, mode, share, high, speed, x)
    f_high = sign * gas
    count += n
    while f_high > 0.0 and high < 16.0:
        high += 0.4
        x, gas, n = _flow_at(p, maps, turbines, mode, share, high, speed, x)
        f_high = sign * gas
        count += n
    side = 0
    for trial in range(90):
        y = low + (high - low) * f_low / (f_low - f_high) if trial % 4 != 3 else 0.5 * (low + high)
        x, gas, n = _flow_at(p, maps, turbines, mode, share, y, speed, x)
        count += n
        f = sign * gas
        if abs(f) < _SLOW_TOLERANCE or high - low < 1e-14:
            break
        if f > 0.0:
            low, f_low = y, f
            if side == 1:
                f_high *= 0.5
            side = 1
        else:
            high, f_high = y, f
            if side == -1:
                f_low *= 0.5
            side = -1
    return x, y, count


@compiled
def _differences(
    p: Any,
    maps: Any,
    turbines: Any,
    mode: int,
    share: float,
    speed: float,
    x: float,
    y: float,
    air: float,
    gas: float,
    jacobian: Any,
) -> None:
    a, g, _m, _p, _s = balances(p, maps, turbines, mode, share, np.exp(x + _STEP), np.exp(y), speed)
    jacobian[0] = (a - air) / _STEP
    jacobian[2] = (g - gas) / _STEP
    a, g, _m, _p, _s = balances(p, maps, turbines, mode, share, np.exp(x), np.exp(y + _STEP), speed)
    jacobian[1] = (a - air) / _STEP
    jacobian[3] = (g - gas) / _STEP


@compiled
def _damped_newton(
    p: Any,
    maps: Any,
    turbines: Any,
    mode: int,
    share: float,
    speed: float,
    x: float,
    y: float,
    jacobian: Any,
    tolerance: float,
) -> Any:
    """Newton with a fresh Jacobian each step and halved steps where the error does not fall: for steep choke lines.

    Returns found (1 or 0), x, y, margin, p_im, evaluations.
    """
    air, gas, margin, p_im, _s = balances(p, maps, turbines, mode, share, np.exp(x), np.exp(y), speed)
    count = 1
    for _ in range(12):
        error = abs(air) + abs(gas)
        if error < tolerance:
            return 1, x, y, margin, p_im, count
        _differences(p, maps, turbines, mode, share, speed, x, y, air, gas, jacobian)
        count += 2
        det = jacobian[0] * jacobian[3] - jacobian[1] * jacobian[2]
        dx = -(air * jacobian[3] - gas * jacobian[1]) / det
        dy = -(jacobian[0] * gas - jacobian[2] * air) / det
        largest = max(abs(dx), abs(dy))
        if not largest < 1e6:
            break
        scale = min(1.0, _LONGEST / largest)
        better = False
        for _ in range(5):
            air, gas, margin, p_im, _s = balances(
                p, maps, turbines, mode, share, np.exp(x + scale * dx), np.exp(y + scale * dy), speed
            )
            count += 1
            if abs(air) + abs(gas) < 0.95 * error:
                better = True
                break
            scale *= 0.4
        if not better:
            break
        x += scale * dx
        y += scale * dy
    return 0, x, y, margin, p_im, count


@compiled
def settle(
    p: Any,
    maps: Any,
    turbines: Any,
    mode: int,
    share: float,
    speed: float,
    x: float,
    y: float,
    jacobian: Any,
    tolerance: float,
) -> Any:
    """Air flow and turbine-inlet pressure at a given shaft speed [rad/s].

    x, y      start: ln(air flow), ln(p_em); jacobian (4,) of the last call, its first entry 0 when there is none
    Returns x, y, power margin, p_im, evaluations. Quasi-Newton with Broyden's update; where a step does not help,
    Newton with halved steps, and bracketing when that fails too.
    """
    air, gas, margin, p_im, _s = balances(p, maps, turbines, mode, share, np.exp(x), np.exp(y), speed)
    count = 1
    if jacobian[0] == 0.0:
        _differences(p, maps, turbines, mode, share, speed, x, y, air, gas, jacobian)
        count += 2
    error = abs(air) + abs(gas)
    for _ in range(10):
        if error < tolerance:
            return x, y, margin, p_im, count
        det = jacobian[0] * jacobian[3] - jacobian[1] * jacobian[2]
        dx = -(air * jacobian[3] - gas * jacobian[1]) / det
        dy = -(jacobian[0] * gas - jacobian[2] * air) / det
        largest = max(abs(dx), abs(dy))
        if not largest < 1e3:
            break
        if largest > _LONGEST:
            dx *= _LONGEST / largest
            dy *= _LONGEST / largest
        a, g, margin, p_im, _s = balances(
            p, maps, turbines, mode, share, np.exp(x + dx), np.exp(y + dy), speed
        )
        count += 1
        before = error
        error = abs(a) + abs(g)
        if not error < 2.0 * before:
            break
        x += dx
        y += dy
        square = dx * dx + dy * dy
        if square == 0.0:
            break
        miss_air = (a - air - jacobian[0] * dx - jacobian[1] * dy) / square
        miss_gas = (g - gas - jacobian[2] * dx - jacobian[3] * dy) / square
        jacobian[0] += miss_air * dx
        jacobian[1] += miss_air * dy
        jacobian[2] += miss_gas * dx
        jacobian[3] += miss_gas * dy
        air = a
        gas = g
    found, x, y, margin, p_im, n = _damped_newton(
        p, maps, turbines, mode, share, speed, x, y, jacobian, tolerance
    )
    count += n
    if found == 1:
        return x, y, margin, p_im, count
    x, y, n = _settle_slowly(p, maps, turbines, mode, share, speed, x, y)
    air, gas, margin, p_im, _s = balances(p, maps, turbines, mode, share, np.exp(x), np.exp(y), speed)
    jacobian[0] = 0.0
    return x, y, margin, p_im, count + n + 1
