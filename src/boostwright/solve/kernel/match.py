"""Find the operating point: climb in shaft speed from near rest, hold to the first stable balance, then polish it.

At each rung air flow and turbine-inlet pressure are settled by a quasi-Newton iteration that carries its Jacobian
upwards; the sign of the power left over says whether the wheel would still gain speed. The first rung where it would
not brackets the point that a real wheel reaches, coming from below. Only then are all three unknowns polished
together, and a slow bracketing search stands behind every quick step.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled, scratch
from boostwright.solve.kernel.exhaust import downpipe, gate_flow, turbine_state
from boostwright.solve.kernel.layout import GATE_OPEN, NOT_REACHED, RUNS_AWAY, SOLVED, TARGET
from boostwright.solve.kernel.polish import close_in, polish
from boostwright.solve.kernel.settle import settle

__all__ = ["climb", "first_guess", "hold_target", "nearby"]

_TIGHT = 1e-11
_LOOSE = 3e-4
_NEAR = 0.03  # a margin this small is settled properly before its sign is trusted
_FIRST_RUNG = 0.08  # of the ceiling
_LEAST_SPEED = 1.0  # rad/s: a wheel this slow is at rest for every purpose
_STEP_DOWN = 0.5  # in ln(shaft speed), the first one below the first rung
_FIRST_EXHAUST = 1050.0  # K
_DIP = 0.25  # a margin that turns up again below this is looked at between the rungs


@compiled
def first_guess(p: Any) -> Any:
    """ln(air flow) and ln(p_em) to start from: the engine breathing ambient air, a little back-pressure."""
    density = p.pressure_amb / (p.gas_constant_air * p.temperature_amb)
    flow = 0.95 * p.volumetric_efficiency * density * p.displacement * p.engine_speed / (4.0 * np.pi)
    return np.log(max(flow, 1e-6)), np.log(1.1 * p.pressure_amb)


@compiled
def _first_pressure(p: Any, turbines: Any, mode: int, x: float, speed: float) -> float:
    """ln(p_em) at which turbine and, where it stands open, gate pass about the gas of a first guess."""
    total = np.exp(x) * (1.0 + p.fuel_air_ratio)
    p4, _t4 = downpipe(p, total, _FIRST_EXHAUST, 0.0)
    p_em = 1.1 * p4
    for _ in range(3):
        through, _p, _e, _b, _t = turbine_state(p, turbines, p_em, _FIRST_EXHAUST, p4, speed)
        if mode == GATE_OPEN and p.gate_count > 0.0:
            through += gate_flow(p, p.gate_full_lift, p_em, _FIRST_EXHAUST, p4)
        # flow goes with the root of the pressure difference
        short = total / max(through, 1e-9)
        p_em = p4 + (p_em - p4) * min(max(short * short, 0.02), 50.0)
    return np.log(p_em)


@compiled
def _rung(
    p: Any,
    maps: Any,
    turbines: Any,
    mode: int,
    share: float,
    z: float,
    below: Any,
    further: Any,
    jacobian: Any,
) -> Any:
    """Settle at ln(speed) ``z``, started from the two rungs below by a straight line."""
    z1, x1, y1, _ = below
    z0, x0, y0, _ = further
    w = (z - z1) / (z1 - z0) if z1 != z0 else 0.0
    x, y, margin, p_im, count = settle(
        p,
        maps,
        turbines,
        mode,
        share,
        np.exp(z),
        x1 + w * (x1 - x0),
        y1 + w * (y1 - y0),
        jacobian,
        _LOOSE,
    )
    if abs(margin) < _NEAR:
        x, y, margin, p_im, n = settle(p, maps, turbines, mode, share, np.exp(z), x, y, jacobian, _TIGHT)
        count += n
    return x, y, margin, p_im, count


@compiled
def _balance_between(
    p: Any, maps: Any, turbines: Any, mode: int, share: float, low: Any, high: Any, jacobian: Any
) -> Any:
    """The balance between two rungs: polish from the chord; where that fails (a valve that cracks in between bends the
    margin) narrow the rungs by a chord step and try again; close in at last. Returns z, x, y, evaluations.
    """
    work = scratch(9)
    count = 0
    for trial in range(4):
        za, xa, ya, fa = low
        zb, xb, yb, fb = high
        w = min(max(fa / (fa - fb), 0.1), 0.9)
        z = za + w * (zb - za)
        x = xa + w * (xb - xa)
        y = ya + w * (yb - ya)
        if trial > 0:
            x, y, margin, p_im, n = settle(p, maps, turbines, mode, share, np.exp(z), x, y, jacobian, _LOOSE)
            count += n
            if margin > 0.0:
                low = (z, x, y, margin)
            else:
                high = (z, x, y, margin)
        found, z, x, y, n, _s = polish(p, maps, turbines, mode, share, (z, x, y), za, zb, work)
        count += n
        if found == 1:
            return z, x, y, count
    z, x, y, n = close_in(p, maps, turbines, mode, share, low, high, False, jacobian)
    return z, x, y, count + n


@compiled
def _dip_between(a: Any, b: Any, c: Any) -> float:
    """ln(speed) of the lowest point of the parabola through three rungs (z, x, y, margin)."""
    d1 = (b[3] - a[3]) / (b[0] - a[0])
    d2 = (c[3] - b[3]) / (c[0] - b[0])
    bend = (d2 - d1) / (c[0] - a[0])
    return 0.5 * (a[0] + b[0]) - 0.5 * d1 / bend


@compiled
def _from_rest(p: Any, maps: Any, turbines: Any, mode: int, share: float, high: Any, jacobian: Any) -> Any:
    """The balance below the first rung, where the wheel already loses speed: downwards in longer and longer steps."""
    count = 0
    step = _STEP_DOWN
    least = np.log(_LEAST_SPEED)
    while True:
        z = max(high[0] - step, least)
        x, y, margin, p_im, n = settle(
            p, maps, turbines, mode, share, np.exp(z), high[1], high[2], jacobian, _TIGHT
        )
        count += n
        if margin > 0.0:
            z, x, y, n = _balance_between(p, maps, turbines, mode, share, (z, x, y, margin), high, jacobian)
            return z, x, y, count + n
        if z <= least:
            return z, x, y, count
        high = (z, x, y, margin)
        step *= 2.0


@compiled
def climb(p: Any, maps: Any, turbines: Any, mode: int, share: float, until: float) -> Any:
    """Climb in shaft speed until the wheel stops gaining, or until p_im reaches ``until`` [Pa].

    Returns outcome, reached (1 when ``until`` came first), ln(speed), ln(flow), ln(p_em), evaluations.
    RUNS_AWAY: still gaining at the end of the compressor surface; NOT_REACHED: the same, with ``until`` asked for.
    Where ``until`` came first the state is the last rung below it, carried to it by a chord: a start, not a solution.
    """
    jacobian = scratch(4)
    x, y = first_guess(p)
    z = np.log(_FIRST_RUNG * p.shaft_speed_ceiling)
    top = np.log(p.shaft_speed_ceiling)
    y = _first_pressure(p, turbines, mode, x, np.exp(z))
    start = (z, x, y, 0.0)
    x, y, margin, p_im, count = _rung(p, maps, turbines, mode, share, z, start, start, jacobian)
    here = (z, x, y, margin)
    if margin <= 0.0:
        z, x, y, n = _from_rest(p, maps, turbines, mode, share, here, jacobian)
        return SOLVED, 0, z, x, y, count + n
    if p_im >= until:
        return SOLVED, 1, z, x, y, count
    below = here
    further = here
    pressure = p_im
    while z < top:
        gain = here[3]
        z = min(z + (0.45 if gain > 2.0 else 0.3 if gain > 0.8 else 0.2 if gain > 0.25 else 0.1), top)
        x, y, margin, p_im, n = _rung(p, maps, turbines, mode, share, z, here, below, jacobian)
        count += n
        further = below
        below = here
        here = (z, x, y, margin)
        if margin > below[3] and below[3] < further[3] and below[3] < _DIP and margin > 0.0:
            dip = _dip_between(further, below, here)
            if further[0] < dip < z:
                xd, yd, md, pd, n = _rung(p, maps, turbines, mode, share, dip, below, further, jacobian)
                count += n
                if md <= 0.0:
                    if dip < below[0]:
                        below = further
                    z, x, y, margin, p_im = dip, xd, yd, md, pd
                    here = (z, x, y, margin)
        if margin <= 0.0:
            z, x, y, n = _balance_between(p, maps, turbines, mode, share, below, here, jacobian)
            count += n
            if p_im <= until:
                return SOLVED, 0, z, x, y, count
            x, y, margin, p_im, n = settle(p, maps, turbines, mode, share, np.exp(z), x, y, jacobian, _TIGHT)
            count += n
            if p_im <= until:
                return SOLVED, 0, z, x, y, count
            here = (z, x, y, margin)
        if p_im > until:
            w = np.log(until / pressure) / np.log(p_im / pressure)
            z = below[0] + w * (here[0] - below[0])
            x = below[1] + w * (here[1] - below[1])
            y = below[2] + w * (here[2] - below[2])
            return SOLVED, 1, z, x, y, count
        pressure = p_im
    if until < 1e9:
        return NOT_REACHED, 0, z, x, y, count
    return RUNS_AWAY, 0, z, x, y, count


@compiled
def nearby(p: Any, maps: Any, turbines: Any, mode: int, share: float, z: float, x: float, y: float) -> Any:
    """The balance next to a shut-gate state about which the gate opens: in short rungs upwards while the wheel gains,
    downwards while it loses.

    Returns found (1 or 0), ln(speed), ln(flow), ln(p_em), evaluations.
    """
    jacobian = scratch(4)
    top = np.log(p.shaft_speed_ceiling)
    x, y, margin, _pressure, count = settle(p, maps, turbines, mode, share, np.exp(z), x, y, jacobian, _TIGHT)
    gains = margin > 0.0
    step = 0.03 if gains else -0.03
    for _ in range(8):
        here = (z, x, y, margin)
        if z >= top:
            return 0, z, x, y, count
        z = min(z + step, top)
        x, y, margin, _pressure, n = settle(p, maps, turbines, mode, share, np.exp(z), x, y, jacobian, _LOOSE)
        count += n
        if (margin > 0.0) != gains:
            there = (z, x, y, margin)
            low, high = (here, there) if gains else (there, here)
            z, x, y, n = _balance_between(p, maps, turbines, mode, share, low, high, jacobian)
            return 1, z, x, y, count + n
        step *= 1.6
    return 0, z, x, y, count


@compiled
def hold_target(p: Any, maps: Any, turbines: Any, z: float, x: float, y: float) -> Any:
    """State in which p_im is the target and the shaft is in balance, whatever the gate must pass for it.

    z, x, y  start: logs of shaft speed, air flow, p_em (the shut-gate state with that boost)
    Returns found (1; 0 where no shaft speed is low enough; 2 where the compressor surface ends first), z, x, y,
    evaluations.
    """
    top = np.log(p.shaft_speed_ceiling)
    found, z1, x1, y1, count, _s = polish(
        p, maps, turbines, TARGET, 1.0, (z, x, y), z - 0.3, min(z + 0.3, top), scratch(9)
    )
    if found == 1:
        return 1, z1, x1, y1, count
    jacobian = scratch(4)
    target = p.target_pressure
    x, y, margin, p_im, n = settle(p, maps, turbines, TARGET, 1.0, np.exp(z), x, y, jacobian, _TIGHT)
    count += n
    value = np.log(p_im / target)
    here = (z, x, y, value)
    step = 0.02
    for _ in range(14):
        there = here
        z = here[0] - step if value > 0.0 else here[0] + step
        if z > top:
            if here[0] >= top:
                return 2, here[0], here[1], here[2], count
            z = top
        if z < 0.0:
            return 0, z, x, y, count
        x, y, margin, p_im, n = settle(
            p, maps, turbines, TARGET, 1.0, np.exp(z), here[1], here[2], jacobian, _TIGHT
        )
        count += n
        here = (z, x, y, np.log(p_im / target))
        if (here[3] > 0.0) != (value > 0.0):
            low, high = (there, here) if value <= 0.0 else (here, there)
            z, x, y, n = close_in(p, maps, turbines, TARGET, 1.0, low, high, True, jacobian)
            return 1, z, x, y, count + n
        step *= 1.6
    return 0, z, x, y, count
