"""Find the operating point: climb in shaft speed from near rest, hold to the first stable balance, then polish it.

At each shaft speed air flow and turbine-inlet pressure are settled by a quasi-Newton iteration that carries its
Jacobian from rung to rung; the sign of the power left over says whether the wheel would still gain speed. The first
rung where it would not brackets the point that a real wheel reaches, coming from below. Only then are all three
unknowns polished together. Every shortcut is checked, and a slow bracketing search stands behind it.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.solve.kernel.balance import balances
from boostwright.solve.kernel.layout import NO_TURBO, NOT_REACHED, RUNS_AWAY, SOLVED, TARGET

__all__ = ["climb", "hold_target", "settle"]

_TIGHT = 1e-11
_LOOSE = 3e-5
_FIRST_RUNG = 0.04  # of the ceiling
_LEAST_SPEED = 1.0  # rad/s: a wheel this slow is at rest for every purpose
_MOST_PRESSURE = 3.0e6  # Pa, end of the bracketing search


@compiled
def _bracket_flow(
    p: Any, maps: Any, turbines: Any, mode: int, share: float, p_em: float, speed: float
) -> Any:
    """Air flow [kg/s] that the engine breathes at this back-pressure and shaft speed, by bisection in the log."""
    low = np.log(1e-6)
    high = np.log(20.0)
    for _ in range(60):
        x = 0.5 * (low + high)
        air, gas, margin, p_im, surplus = balances(p, maps, turbines, mode, share, np.exp(x), p_em, speed)
        if air > 0.0:
            low = x
        else:
            high = x
    return 0.5 * (low + high)


@compiled
def _settle_slowly(p: Any, maps: Any, turbines: Any, mode: int, share: float, speed: float) -> Any:
    """Air flow and turbine-inlet pressure (logs) by nested bisection: slow, and finds what the quick way may miss."""
    low = np.log(0.5 * p.pressure_amb)
    high = np.log(_MOST_PRESSURE)
    x = 0.0
    for _ in range(60):
        y = 0.5 * (low + high)
        x = _bracket_flow(p, maps, turbines, mode, share, np.exp(y), speed)
        air, gas, margin, p_im, surplus = balances(
            p, maps, turbines, mode, share, np.exp(x), np.exp(y), speed
        )
        # too little back-pressure: the gas cannot get away (gas > 0); without a turbine the sign is the other way
        if (gas > 0.0) != (mode == NO_TURBO):
            low = y
        else:
            high = y
    return x, 0.5 * (low + high)


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
    """Air flow and turbine-inlet pressure at a given shaft speed.

    x, y      start: ln(air flow), ln(p_em); jacobian (4,) array of the last call, its first entry 0 when there is none
    Returns x, y, power margin, p_im, evaluations. Quasi-Newton with Broyden's update; the Jacobian is rebuilt when a
    step does not help, and bisection takes over when that fails too.
    """
    count = 0
    for attempt in range(4):
        air, gas, margin, p_im, surplus = balances(
            p, maps, turbines, mode, share, np.exp(x), np.exp(y), speed
        )
        count += 1
        if attempt > 0 or jacobian[0] == 0.0:
            step = 1e-6
            a1, g1, _m, _p, _s = balances(p, maps, turbines, mode, share, np.exp(x + step), np.exp(y), speed)
            a2, g2, _m, _p, _s = balances(p, maps, turbines, mode, share, np.exp(x), np.exp(y + step), speed)
            count += 2
            jacobian[0] = (a1 - air) / step
            jacobian[1] = (a2 - air) / step
            jacobian[2] = (g1 - gas) / step
            jacobian[3] = (g2 - gas) / step
        error = abs(air) + abs(gas)
        for _ in range(12):
            if error < tolerance:
                return x, y, margin, p_im, count
            det = jacobian[0] * jacobian[3] - jacobian[1] * jacobian[2]
            if det == 0.0:
                break
            dx = -(air * jacobian[3] - gas * jacobian[1]) / det
            dy = -(jacobian[0] * gas - jacobian[2] * air) / det
            largest = max(abs(dx), abs(dy))
            if not largest < 1e3:
                break
            if largest > 0.5:
                dx *= 0.5 / largest
                dy *= 0.5 / largest
            x += dx
            y += dy
            air_new, gas_new, margin, p_im, surplus = balances(
                p, maps, turbines, mode, share, np.exp(x), np.exp(y), speed
            )
            count += 1
            square = dx * dx + dy * dy
            miss_air = (air_new - air - jacobian[0] * dx - jacobian[1] * dy) / square
            miss_gas = (gas_new - gas - jacobian[2] * dx - jacobian[3] * dy) / square
            jacobian[0] += miss_air * dx
            jacobian[1] += miss_air * dy
            jacobian[2] += miss_gas * dx
            jacobian[3] += miss_gas * dy
            air = air_new
            gas = gas_new
            before = error
            error = abs(air) + abs(gas)
            if not error < 4.0 * before:
                break
    x, y = _settle_slowly(p, maps, turbines, mode, share, speed)
    air, gas, margin, p_im, surplus = balances(p, maps, turbines, mode, share, np.exp(x), np.exp(y), speed)
    jacobian[0] = 0.0
    return x, y, margin, p_im, count + 7320


@compiled
def _start(p: Any) -> Any:
    """First guess of ln(air flow) and ln(p_em): the engine breathing ambient air, a little back-pressure."""
    density = p.pressure_amb / (p.gas_constant_air * p.temperature_amb)
    flow = 0.8 * p.volumetric_efficiency * density * p.displacement * p.engine_speed / (4.0 * np.pi)
    return np.log(max(flow, 1e-6)), np.log(1.15 * p.pressure_amb)


@compiled
def _close_in(
    p: Any,
    maps: Any,
    turbines: Any,
    mode: int,
    share: float,
    low: Any,
    high: Any,
    want_pressure: bool,
    jacobian: Any,
) -> Any:
    """Shaft speed between two rungs where the power margin (or ln(p_im/target)) changes sign.

    low, high  (ln speed, x, y, value) with value > 0 at low and < 0 at high for the margin; the reverse for pressure.
    Illinois false position in ln(speed) with both inner unknowns settled at each trial.
    """
    za, xa, ya, fa = low
    zb, xb, yb, fb = high
    x, y, z = xa, ya, za
    count = 0
    side = 0
    for trial in range(80):
        z = (za * fb - zb * fa) / (fb - fa) if fb != fa else 0.5 * (za + zb)
        if trial > 25:
            z = 0.5 * (za + zb)
        w = (z - za) / (zb - za) if zb != za else 0.5
        x, y, margin, p_im, n = settle(
            p,
            maps,
            turbines,
            mode,
            share,
            np.exp(z),
            xa + w * (xb - xa),
            ya + w * (yb - ya),
            jacobian,
            _TIGHT,
        )
        count += n
        value = np.log(p_im / p.target_pressure) if want_pressure else margin
        if abs(value) < 1e-10 or abs(zb - za) < 1e-13:
            break
        if (value > 0.0) == (fa > 0.0):
            za, xa, ya, fa = z, x, y, value
            if side == 1:
                fb *= 0.5
            side = 1
        else:
            zb, xb, yb, fb = z, x, y, value
            if side == -1:
                fa *= 0.5
            side = -1
    return z, x, y, count


@compiled
def climb(p: Any, maps: Any, turbines: Any, mode: int, share: float, until: float) -> Any:
    """Climb in shaft speed until the wheel stops gaining, or until p_im reaches ``until`` [Pa].

    Returns outcome, reached (1 when ``until`` came first), ln(speed), ln(flow), ln(p_em), evaluations.
    RUNS_AWAY: still gaining at the end of the compressor surface; NOT_REACHED: the same, with ``until`` asked for.
    """
    jacobian = np.zeros(4)
    x, y = _start(p)
    z = np.log(_FIRST_RUNG * p.shaft_speed_ceiling)
    top = np.log(p.shaft_speed_ceiling)
    x, y, margin, p_im, count = settle(p, maps, turbines, mode, share, np.exp(z), x, y, jacobian, _LOOSE)
    if margin <= 0.0:
        high = (z, x, y, margin)
        z = np.log(_LEAST_SPEED)
        x, y, margin, p_im, n = settle(p, maps, turbines, mode, share, np.exp(z), x, y, jacobian, _TIGHT)
        count += n
        if margin <= 0.0:
            return SOLVED, 0, z, x, y, count
        z, x, y, n = _close_in(p, maps, turbines, mode, share, (z, x, y, margin), high, False, jacobian)
        return SOLVED, 0, z, x, y, count + n
    if p_im >= until:
        return SOLVED, 1, z, x, y, count
    before = (z, x, y, margin)
    earlier = before
    pressure = p_im
    while z < top:
        gain = before[3]
        z = min(z + (0.3 if gain > 1.0 else 0.2 if gain > 0.3 else 0.1), top)
        x, y, margin, p_im, n = settle(p, maps, turbines, mode, share, np.exp(z), x, y, jacobian, _LOOSE)
        count += n
        if margin > 0.0 and margin > before[3] and before[3] < earlier[3] and before[3] < 0.25:
            # the margin dipped between rungs: look at the bottom of the parabola through the last three
            d1 = (before[3] - earlier[3]) / (before[0] - earlier[0])
            d2 = (margin - before[3]) / (z - before[0])
            bend = (d2 - d1) / (z - earlier[0])
            dip = 0.5 * (earlier[0] + before[0]) - 0.5 * d1 / bend
            if earlier[0] < dip < z:
                xd, yd, md, pd, n = settle(
                    p, maps, turbines, mode, share, np.exp(dip), before[1], before[2], jacobian, _LOOSE
                )
                count += n
                if md <= 0.0:
                    z, x, y, margin, p_im = dip, xd, yd, md, pd
                    if dip < before[0]:
                        before = earlier
        here = (z, x, y, margin)
        if margin <= 0.0:
            z, x, y, n = _close_in(p, maps, turbines, mode, share, before, here, False, jacobian)
            count += n
            x, y, margin, p_im, n = settle(p, maps, turbines, mode, share, np.exp(z), x, y, jacobian, _TIGHT)
            count += n
            if p_im <= until:
                return SOLVED, 0, z, x, y, count
            here = (z, x, y, margin)
        if p_im > until:
            low = (before[0], before[1], before[2], np.log(pressure / p.target_pressure))
            high = (here[0], here[1], here[2], np.log(p_im / p.target_pressure))
            z, x, y, n = _close_in(p, maps, turbines, mode, share, low, high, True, jacobian)
            return SOLVED, 1, z, x, y, count + n
        earlier = before
        before = here
        pressure = p_im
    if until < 1e9:
        return NOT_REACHED, 0, z, x, y, count
    return RUNS_AWAY, 0, z, x, y, count


@compiled
def hold_target(p: Any, maps: Any, turbines: Any, z: float, x: float, y: float) -> Any:
    """State in which p_im is the target and the shaft is in balance, whatever the gate must pass for it.

    z, x, y  start: logs of shaft speed, air flow, p_em (the shut-gate state with that boost)
    Returns found (1 or 0), z, x, y, evaluations.
    """
    jacobian = np.zeros(4)
    target = p.target_pressure
    top = np.log(p.shaft_speed_ceiling)
    x, y, margin, p_im, count = settle(p, maps, turbines, TARGET, 1.0, np.exp(z), x, y, jacobian, _TIGHT)
    value = np.log(p_im / target)
    here = (z, x, y, value)
    step = 0.02
    for _ in range(14):
        there = here
        z = here[0] - step if value > 0.0 else here[0] + step
        if z > top or z < 0.0:
            return 0, z, x, y, count
        x, y, margin, p_im, n = settle(
            p, maps, turbines, TARGET, 1.0, np.exp(z), here[1], here[2], jacobian, _TIGHT
        )
        count += n
        here = (z, x, y, np.log(p_im / target))
        if (here[3] > 0.0) != (value > 0.0):
            low, high = (there, here) if value <= 0.0 else (here, there)
            z, x, y, n = _close_in(p, maps, turbines, TARGET, 1.0, low, high, True, jacobian)
            return 1, z, x, y, count + n
        step *= 1.6
    return 0, z, x, y, count
