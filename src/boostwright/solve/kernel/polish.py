"""All three unknowns together from a good start; and the slow way between two rungs when that fails."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.solve.kernel.balance import exhaust_balances
from boostwright.solve.kernel.intake import charge_path
from boostwright.solve.kernel.layout import TARGET
from boostwright.solve.kernel.settle import settle

__all__ = ["close_in", "polish"]

_STEP = 1e-6
_TIGHT = 1e-11
_ENOUGH = 1e-9
_SHARP = 1e-9  # the next error is about the square of the last over the one before
_LONGEST = 0.3  # of one step, in the log


@compiled
def _three(
    p: Any,
    maps: Any,
    turbines: Any,
    mode: int,
    share: float,
    x: float,
    y: float,
    z: float,
    t_known: float,
) -> Any:
    flow, speed = np.exp(x), np.exp(z)
    _p1, _s, _f, _r, shaft_power, p2, _t2, _e, _pb, _tb, p_im, t_im = charge_path(p, maps, flow, speed)
    air, gas, margin, surplus, _t = exhaust_balances(
        p, turbines, mode, share, flow, np.exp(y), speed, shaft_power, p2, p_im, t_im, t_known
    )
    third = np.log(p_im / p.target_pressure) if mode == TARGET else margin
    return air, gas, third, surplus


@compiled
def _inverse(m: Any) -> bool:
    """Invert a 3x3 matrix (9,) in place by cofactors; False when it cannot be."""
    a, b, c, d, e, f, g, h, i = m[0], m[1], m[2], m[3], m[4], m[5], m[6], m[7], m[8]
    first = e * i - f * h
    second = f * g - d * i
    third = d * h - e * g
    det = a * first + b * second + c * third
    if not abs(det) > 1e-300:
        return False
    m[0], m[1], m[2] = first / det, (c * h - b * i) / det, (b * f - c * e) / det
    m[3], m[4], m[5] = second / det, (a * i - c * g) / det, (c * d - a * f) / det
    m[6], m[7], m[8] = third / det, (b * g - a * h) / det, (a * e - b * d) / det
    return True


@compiled
def polish(
    p: Any,
    maps: Any,
    turbines: Any,
    mode: int,
    share: float,
    start: Any,
    z_low: float,
    z_high: float,
    m: Any,
) -> Any:
    """Quasi-Newton on (ln flow, ln p_em, ln shaft speed) inside z_low..z_high.

    start  (z, x, y); m (9,) work space
    Returns found (1 or 0), z, x, y, evaluations and the share of the gas the turbine leaves over.
    The last step is not asked what it left, where the steps before it say that it must be below 1e-9: the state that is
    made of it will tell. Where a target is held the third balance is ln(p_im/target).
    """
    z, x, y = start
    flow, speed = np.exp(x), np.exp(z)
    _p1, _s, _f, _r, shaft_power, p2, _t2, _e, _pb, _tb, p_im, t_im = charge_path(p, maps, flow, speed)
    r0, r1, r2, surplus, t_em = exhaust_balances(
        p, turbines, mode, share, flow, np.exp(y), speed, shaft_power, p2, p_im, t_im, 0.0
    )
    # back-pressure does not reach the charge side, so its difference needs the exhaust side alone
    b0, b1, b2, _s, _t = exhaust_balances(
        p, turbines, mode, share, flow, np.exp(y + _STEP), speed, shaft_power, p2, p_im, t_im, t_em
    )
    if mode == TARGET:
        r2 = b2 = np.log(p_im / p.target_pressure)
    a0, a1, a2, _s = _three(p, maps, turbines, mode, share, x + _STEP, y, z, t_em)
    c0, c1, c2, _s = _three(p, maps, turbines, mode, share, x, y, z + _STEP, t_em)
    m[0], m[1], m[2] = (a0 - r0) / _STEP, (b0 - r0) / _STEP, (c0 - r0) / _STEP
    m[3], m[4], m[5] = (a1 - r1) / _STEP, (b1 - r1) / _STEP, (c1 - r1) / _STEP
    m[6], m[7], m[8] = (a2 - r2) / _STEP, (b2 - r2) / _STEP, (c2 - r2) / _STEP
    count = 4
    if not _inverse(m):
        return 0, z, x, y, count, surplus
    error = abs(r0) + abs(r1) + abs(r2)
    trusted = False
    for _ in range(14):
        if error < _ENOUGH:
            break
        dx = -(m[0] * r0 + m[1] * r1 + m[2] * r2)
        dy = -(m[3] * r0 + m[4] * r1 + m[5] * r2)
        dz = -(m[6] * r0 + m[7] * r1 + m[8] * r2)
        longest = max(abs(dx), abs(dy), abs(dz))
        if not longest < 3.0:
            return 0, z, x, y, count, surplus
        if longest > _LONGEST:
            dx *= _LONGEST / longest
            dy *= _LONGEST / longest
            dz *= _LONGEST / longest
        x += dx
        y += dy
        z += dz
        if z < z_low or z > z_high:
            return 0, z, x, y, count, surplus
        if trusted:
            return 1, z, x, y, count, surplus
        s0, s1, s2, surplus = _three(p, maps, turbines, mode, share, x, y, z, 0.0)
        count += 1
        before = error
        error = abs(s0) + abs(s1) + abs(s2)
        trusted = error * error < _SHARP * before
        if not error < 5.0 * before:
            return 0, z, x, y, count, surplus
        # Broyden's update of the inverse: H += (d - H q) (d^T H) / (d^T H q)
        q0, q1, q2 = s0 - r0, s1 - r1, s2 - r2
        h0 = m[0] * q0 + m[1] * q1 + m[2] * q2
        h1 = m[3] * q0 + m[4] * q1 + m[5] * q2
        h2 = m[6] * q0 + m[7] * q1 + m[8] * q2
        bottom = dx * h0 + dy * h1 + dz * h2
        if bottom != 0.0:
            t0 = (dx * m[0] + dy * m[3] + dz * m[6]) / bottom
            t1 = (dx * m[1] + dy * m[4] + dz * m[7]) / bottom
            t2 = (dx * m[2] + dy * m[5] + dz * m[8]) / bottom
            m[0], m[1], m[2] = m[0] + (dx - h0) * t0, m[1] + (dx - h0) * t1, m[2] + (dx - h0) * t2
            m[3], m[4], m[5] = m[3] + (dy - h1) * t0, m[4] + (dy - h1) * t1, m[5] + (dy - h1) * t2
            m[6], m[7], m[8] = m[6] + (dz - h2) * t0, m[7] + (dz - h2) * t1, m[8] + (dz - h2) * t2
        r0, r1, r2 = s0, s1, s2
    if error < _ENOUGH:
        return 1, z, x, y, count, surplus
    return 0, z, x, y, count, surplus


@compiled
def close_in(
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

    low, high  (ln speed, x, y, value), the values of opposite sign
    Illinois false position in ln(speed), both inner unknowns settled at each trial. Returns z, x, y, evaluations.
    """
    za, xa, ya, fa = low
    zb, xb, yb, fb = high
    x, y, z = xa, ya, za
    count = 0
    side = 0
    for trial in range(80):
        z = (za * fb - zb * fa) / (fb - fa) if fb != fa else 0.5 * (za + zb)
        if trial % 5 == 4:
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
        if abs(value) < 1e-10 or abs(zb - za) < 1e-14:
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
