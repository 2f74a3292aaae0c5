"""One point in one of the modes, and a batch of them; fills a ``STATE`` record with everything that was found."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import claimed, compiled, scratch
from boostwright.solve.kernel.balance import balances
from boostwright.solve.kernel.layout import (
    GATE_OPEN,
    GATE_SHUT,
    NO_TURBO,
    NOT_REACHED,
    SOLVED,
    SPRING,
    TARGET,
)
from boostwright.solve.kernel.match import climb, first_guess, hold_target, nearby
from boostwright.solve.kernel.polish import polish
from boostwright.solve.kernel.quick import (
    clear_below,
    near_start,
    open_gate_boost,
    shut_gate_start,
    spring_boost,
)
from boostwright.solve.kernel.record import finish
from boostwright.solve.kernel.settle import settle

__all__ = ["point_residual", "solve_batch", "solve_point", "solve_shared"]

_NO_END = 1e30
_AT_A_TIME = 8  # points: some take a hundred times as long as others
_FULL_SIGNAL = 1.0
_SURE_SHARE = (
    0.12  # of the gas through the gate: far from the fold where a lower balance could be passed over
)
_HARDLY = 0.03  # of the gas left over at a near start: less, and the quick way would not be taken in the end
_PLENTY = 0.25  # of the gas left over: the valve stands well open, and its lift tells the boost
_LIKELY_FLOOR = 1.12  # p_im over ambient at which a fully open gate is first looked for
_LIKELY_SHUT = 0.25  # boost over ambient at which a shut gate's balance is first looked for
_FLAT = -4.0  # ln(speed) by power margin: a margin that falls less steeply with speed may have a lower zero
_SURELY_BELOW = 0.995  # of a pressure that is not reached
_OVER_CRACK = 0.10  # boost above cracking at which the spring's state is first looked for


@compiled
def point_residual(
    p: Any, maps: Any, turbines: Any, mode: int, share: float, unknowns: Any, out: Any
) -> None:
    """The three balances of a point for a general-purpose solver, unknowns ln(air flow), ln(p_em), ln(shaft speed).

    out (3,): air, gas and power; where a target is held, air, power and ln(p_im/target).
    """
    air, gas, margin, p_im, surplus = balances(
        p, maps, turbines, mode, share, np.exp(unknowns[0]), np.exp(unknowns[1]), np.exp(unknowns[2])
    )
    out[0] = air
    out[1] = gas
    out[2] = np.log(p_im / p.target_pressure) if mode == TARGET else margin


@compiled
def _quickly(
    p: Any, maps: Any, turbines: Any, mode: int, share: float, p_im: float, reach: float, out: Any
) -> Any:
    """Polish from a near start at a boost [Pa absolute], within ``reach`` of its shaft speed (in the log).

    Taken when the gate passes a good share and the state is stable, so that no lower balance can have been passed
    over. Returns 1 when taken, else 0; then the share of the gas left over at p_im, and ln(shaft speed) there.
    """
    found, z, x, y, left, p2, t_em, p4 = near_start(p, maps, turbines, p_im)
    first = (left, z)
    if found == 1 and mode == GATE_OPEN:
        p_im = open_gate_boost(p, p_im, x, y, left, t_em, p4)
        found, z, x, y, left, p2, t_em, p4 = near_start(p, maps, turbines, p_im)
    if found == 0 or left < _HARDLY:
        return 0, first[0], first[1]
    if (
        mode == SPRING and left > _PLENTY
    ):  # else the second start might stand on a shut valve, where nothing moves
        p_im = spring_boost(p, share, p_im, x, y, left, p2, t_em, p4)
        found, z, x, y, left, p2, t_em, p4 = near_start(p, maps, turbines, p_im)
        if found == 0 or left < _HARDLY:
            return 0, first[0], first[1]
    work = scratch(9)
    high = min(z + reach, np.log(p.shaft_speed_ceiling))
    found, z, x, y, count, surplus = polish(p, maps, turbines, mode, share, (z, x, y), z - reach, high, work)
    if found == 0 or not work[8] < 0.0 or surplus < 0.0:
        return 0, first[0], first[1]
    if surplus < _SURE_SHARE:
        boost = p_im / p.pressure_amb - 1.0
        if not (work[8] > _FLAT and clear_below(p, maps, turbines, boost, np.exp(z))):
            return 0, first[0], first[1]
        count += 2
    finish(p, maps, turbines, mode, share, SOLVED, z, x, y, count + 2, out)
    return 1, first[0], first[1]


@compiled
def _shut_quickly(p: Any, maps: Any, turbines: Any, p_im: float, left: float, z: float) -> Any:
    """The shut-gate balance that a near state at p_im [Pa] points to.

    left, z  share of the gas that state's turbine leaves over, ln of its shaft speed
    Returns found (1 when it is stable and steep, so that no lower balance can have been passed over, else 0), logs of
    shaft speed, flow and p_em, evaluations.
    """
    boost = p_im / p.pressure_amb - 1.0
    found, z, x, y = shut_gate_start(p, maps, turbines, boost, left, np.exp(z))
    if found == 0:
        return 0, z, x, y, 5
    work = scratch(9)
    high = min(z + 0.3, np.log(p.shaft_speed_ceiling))
    found, z, x, y, count, _s = polish(
        p, maps, turbines, GATE_SHUT, _FULL_SIGNAL, (z, x, y), z - 0.3, high, work
    )
    if found == 0 or not _FLAT < work[8] < 0.0:
        return 0, z, x, y, count + 5
    return 1, z, x, y, count + 5


@compiled
def _spring_from_shut(
    p: Any, maps: Any, turbines: Any, share: float, z: float, x: float, y: float, out: Any
) -> int:
    """The spring's state next to a shut-gate balance, the lowest there is; returns 1 when taken.

    Where the valve stays shut there it is that state; where it would open, a wheel that comes from below meets the
    spring's balance first, and the polish goes on from there.
    """
    air, gas, margin, p_im, surplus = balances(
        p, maps, turbines, SPRING, share, np.exp(x), np.exp(y), np.exp(z)
    )
    if abs(gas) < 1e-8:
        finish(p, maps, turbines, SPRING, share, SOLVED, z, x, y, 1, out)
        return 1
    work = scratch(9)
    high = min(z + 0.05, np.log(p.shaft_speed_ceiling))
    found, z, x, y, count, surplus = polish(p, maps, turbines, SPRING, share, (z, x, y), z - 0.5, high, work)
    if found == 0 or not work[8] < 0.0 or surplus < 0.0:
        return 0
    finish(p, maps, turbines, SPRING, share, SOLVED, z, x, y, count + 1, out)
    return 1


@compiled
def _solve_spring(p: Any, maps: Any, turbines: Any, share: float, before: int, out: Any) -> None:
    """Actuator under its signal: the shut-gate state at which the valve would crack is a near start.

    Below that state the gate is shut, so climbing with a shut gate is climbing this very curve; beyond it the polish
    goes on from there. Where any of this fails the whole curve is climbed.
    """
    crack = _NO_END
    if share > 0.02:
        crack = p.pressure_amb + (p.spring_force + p.friction_force) / (share * p.diaphragm_area)
        over = crack + _OVER_CRACK * (crack - p.pressure_amb)
        taken, left, z = _quickly(p, maps, turbines, SPRING, share, over, 0.5, out)
        if taken == 1:
            out.evaluations += before
            return
        if left < _HARDLY and z > 0.0:
            found, z, x, y, n = _shut_quickly(p, maps, turbines, over, left, z)
            before += n
            if found == 1 and _spring_from_shut(p, maps, turbines, share, z, x, y, out) == 1:
                out.evaluations += before
                return
    outcome, reached, z, x, y, count = climb(p, maps, turbines, GATE_SHUT, share, crack)
    count += before
    if reached == 0 and outcome == SOLVED:
        air, gas, margin, p_im, surplus = balances(
            p, maps, turbines, SPRING, share, np.exp(x), np.exp(y), np.exp(z)
        )
        if abs(gas) < 1e-8:
            finish(p, maps, turbines, SPRING, share, SOLVED, z, x, y, count, out)
            return
    if reached == 1:
        high = min(z + 0.5, np.log(p.shaft_speed_ceiling))
        work = scratch(9)
        found, z1, x1, y1, n, surplus = polish(
            p, maps, turbines, SPRING, share, (z, x, y), z - 0.3, high, work
        )
        count += n
        if found == 1 and work[8] < 0.0:
            finish(p, maps, turbines, SPRING, share, SOLVED, z1, x1, y1, count, out)
            return
    if outcome == SOLVED:
        found, z, x, y, n = nearby(p, maps, turbines, SPRING, share, z, x, y)
        count += n
        if found == 1:
            finish(p, maps, turbines, SPRING, share, SOLVED, z, x, y, count, out)
            if out.outcome == SOLVED:
                return
    outcome, reached, z, x, y, n = climb(p, maps, turbines, SPRING, share, _NO_END)
    finish(p, maps, turbines, SPRING, share, outcome, z, x, y, count + n, out)


@compiled
def _target_state(p: Any, maps: Any, turbines: Any, out: Any) -> Any:
    """The state that holds the target, quickly where the gate passes a good share, else by climbing to it.

    Returns 1 found, 0 held by something else (``out`` is filled), 2 the gate cannot be the one that holds it;
    then the logs of speed, flow, p_em, the evaluations.
    """
    found, z, x, y, left, p2, t_em, p4 = near_start(p, maps, turbines, p.target_pressure)
    count = 3
    surplus = -1.0
    if found == 1 and left > _HARDLY and p.gate_count > 0.0:
        high = min(z + 0.5, np.log(p.shaft_speed_ceiling))
        found, z, x, y, n, surplus = polish(
            p, maps, turbines, TARGET, 1.0, (z, x, y), z - 0.5, high, scratch(9)
        )
        count += n
        if found == 1 and surplus >= 0.0:
            boost = p.target_pressure / p.pressure_amb - 1.0
            if surplus >= _SURE_SHARE or clear_below(p, maps, turbines, boost, np.exp(z)):
                return 1, z, x, y, count
    near = (z, x, y)
    held = found == 1 and surplus >= 0.0
    if z > 0.0 and left < _HARDLY:
        found, z, x, y, n = _shut_quickly(p, maps, turbines, p.target_pressure, left, z)
        count += n
        if found == 1:
            finish(p, maps, turbines, GATE_SHUT, _FULL_SIGNAL, SOLVED, z, x, y, count, out)
            if out.pressure_im < _SURELY_BELOW * p.target_pressure:
                return 0, z, x, y, count
    outcome, reached, z, x, y, n = climb(p, maps, turbines, GATE_SHUT, _FULL_SIGNAL, p.target_pressure)
    count += n
    if reached == 0:
        finish(p, maps, turbines, GATE_SHUT, _FULL_SIGNAL, outcome, z, x, y, count, out)
        return 0, z, x, y, count
    if p.gate_count == 0.0:
        outcome, reached, z, x, y, n = climb(p, maps, turbines, GATE_SHUT, _FULL_SIGNAL, _NO_END)
        finish(p, maps, turbines, GATE_SHUT, _FULL_SIGNAL, outcome, z, x, y, count + n, out)
        return 0, z, x, y, count + n
    if held:  # the climb has shown that the wheel gets there; the state itself is known already
        return 1, near[0], near[1], near[2], count
    found, z, x, y, n = hold_target(p, maps, turbines, z, x, y)
    count += n
    if found == 2:
        finish(p, maps, turbines, TARGET, _FULL_SIGNAL, NOT_REACHED, z, x, y, count, out)
        return 0, z, x, y, count
    return (1 if found == 1 else 2), z, x, y, count


@compiled
def _solve_target(p: Any, maps: Any, turbines: Any, out: Any) -> None:
    """Hold the target where shaft, gate and actuator allow it; else the state they do allow."""
    found, z, x, y, count = _target_state(p, maps, turbines, out)
    if found == 0:
        return
    share = _FULL_SIGNAL
    if found == 1:
        finish(p, maps, turbines, TARGET, _FULL_SIGNAL, SOLVED, z, x, y, count, out)
        share = out.signal_share
        if out.gate_lift <= p.gate_full_lift and p.signal_share_low <= share <= _FULL_SIGNAL:
            return
        if share < p.signal_share_low and out.gate_lift <= p.gate_full_lift:
            share = p.signal_share_low
            out.gate_pushed_open = 1
        else:
            share = _FULL_SIGNAL
    _solve_spring(p, maps, turbines, share, count, out)


@compiled
def solve_point(p: Any, maps: Any, turbines: Any, out: Any) -> None:
    """Solve one ``POINT`` record into one ``STATE`` record.

    maps (k, m), turbines (j, n): packed compressor surfaces and turbine tables, one a row.
    """
    out.gate_pushed_open = 0
    if p.mode == NO_TURBO:
        jacobian = scratch(4)
        x, y = first_guess(p)
        x, y, margin, p_im, count = settle(
            p,
            maps,
            turbines,
            NO_TURBO,
            0.0,
            1.0,
            x,
            y,
            jacobian,
            1e-11,
        )
        finish(p, maps, turbines, NO_TURBO, 0.0, SOLVED, 0.0, x, y, count, out)
        return
    if p.mode == TARGET:
        _solve_target(p, maps, turbines, out)
        return
    if p.mode == SPRING and p.gate_count > 0.0:
        _solve_spring(p, maps, turbines, p.signal_share, 0, out)
        return
    if p.mode == GATE_OPEN and p.gate_count > 0.0:
        likely = _LIKELY_FLOOR * p.pressure_amb
        taken, left, z = _quickly(p, maps, turbines, GATE_OPEN, p.signal_share, likely, 1.2, out)
        if taken == 1:
            return
    if p.mode == GATE_SHUT or p.gate_count == 0.0:
        p_im = (1.0 + _LIKELY_SHUT) * p.pressure_amb
        found, z, x, y, left, p2, t_em, p4 = near_start(p, maps, turbines, p_im)
        if found == 1:
            found, z, x, y, n = _shut_quickly(p, maps, turbines, p_im, left, z)
            if found == 1:
                finish(p, maps, turbines, p.mode, p.signal_share, SOLVED, z, x, y, n, out)
                return
    outcome, reached, z, x, y, count = climb(p, maps, turbines, p.mode, p.signal_share, _NO_END)
    finish(p, maps, turbines, p.mode, p.signal_share, outcome, z, x, y, count, out)


@compiled
def solve_batch(points: Any, maps: Any, turbines: Any, states: Any) -> None:
    """Solve ``points`` (n,) into ``states`` (n,); every point starts cold, so order and company change nothing."""
    for i in range(points.shape[0]):
        solve_point(points[i], maps, turbines, states[i])


@compiled
def solve_shared(points: Any, maps: Any, turbines: Any, states: Any, counter: Any) -> None:
    """The same as one of several threads, which take points a few at a time by a ``counter`` (1,) that begins at 0."""
    count = points.shape[0]
    first = claimed(counter, _AT_A_TIME)
    while first < count:
        for i in range(first, min(first + _AT_A_TIME, count)):
            solve_point(points[i], maps, turbines, states[i])
        first = claimed(counter, _AT_A_TIME)
