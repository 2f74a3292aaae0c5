"""One point in one of the modes, and a batch of them; fills a ``STATE`` record with everything that was found."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled, scratch
from boostwright.solve.kernel.balance import balances, downstream, power_margin
from boostwright.solve.kernel.cylinder import cylinder_cycle
from boostwright.solve.kernel.exhaust import (
    exhaust_of_cycle,
    downpipe,
    gate_branch,
    gate_flow,
    gate_lift,
    head_force,
    lift_for_flow,
)
from boostwright.solve.kernel.gas import exhaust_enthalpy, exhaust_temperature
from boostwright.solve.kernel.intake import charge_path, engine_breathing
from boostwright.solve.kernel.layout import (
    GATE_OPEN,
    GATE_SHUT,
    NO_BALANCE,
    NO_TURBO,
    NOT_REACHED,
    SOLVED,
    SPRING,
    TARGET,
)
from boostwright.solve.kernel.match import climb, first_guess, hold_target, nearby
from boostwright.solve.kernel.polish import polish
from boostwright.solve.kernel.quick import clear_below, near_start, open_gate_boost, shut_gate_start, spring_boost
from boostwright.solve.kernel.settle import settle

__all__ = ["point_residual", "solve_batch", "solve_point"]

_NO_END = 1e30
_ENOUGH = 3e-9  # what its last step should leave of a balance, at most
_FULL_SIGNAL = 1.0
_CLOSED = 1e-7  # largest relative error of a balance that counts as closed
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
def _share_for_lift(p: Any, lift: float, p_signal: float, p_g: float, p_back: float) -> float:
    """Signal share that balances the actuator at a lift; the inverse of ``gate_lift``."""
    head = head_force(p, p_g, p_back)
    stiffness = p.spring_rate + p.head_force_fall * max(head, 0.0) / p.gate_full_lift
    force = p.spring_force + p.friction_force + stiffness * lift - head
    return force / (max(p_signal - p.pressure_amb, 1.0) * p.diaphragm_area)


@compiled
def _fill_cylinder(cycle: Any, out: Any) -> None:
    """Write one cylinder's cycle into ``out``."""
    _air, mass, temperature, residual, angle, work, wall, taken_up, t_open, p_open, p_close, _log = cycle
    out.trapped_mass = mass
    out.trapped_temperature = temperature
    out.trapped_pressure = p_close
    out.residual_fraction = residual
    out.angle_half_burned = angle
    out.gross_work = work
    out.cylinder_wall_heat = wall - taken_up
    out.temperature_opening = t_open
    out.pressure_opening = p_open


@compiled
def _fill(
    p: Any, maps: Any, turbines: Any, mode: int, share: float, z: float, x: float, y: float, out: Any
) -> Any:
    """Write the state at (ln shaft speed, ln air flow, ln p_em) into ``out``; returns the three balances there, of
    which the third is that of the target where one is held."""
    flow = np.exp(x)
    p_em = np.exp(y)
    speed = np.exp(z) if mode != NO_TURBO else 0.0
    p1, speed_c, flow_c, ratio, power_c, p2, t2, effect, p_bp, t_bp, p_im, t_im = charge_path(
        p, maps, flow, speed
    )
    breathed, efficiency = engine_breathing(p, p_im, t_im, p_em)
    air = np.log(breathed / flow)
    fuel = flow * p.fuel_air_ratio
    total = flow + fuel
    cycle = cylinder_cycle(p, flow, p_im, t_im, p_em)
    enthalpy_port, t_em, lost = exhaust_of_cycle(p, flow, p_im, t_im, p_em, cycle)
    _fill_cylinder(cycle, out)
    out.port_heat_flow = lost
    out.mass_flow_air = flow
    out.mass_flow_fuel = fuel
    out.shaft_speed = speed
    out.pressure_1 = p1
    out.pressure_2 = p2
    out.temperature_2 = t2
    out.pressure_bp = p_bp
    out.temperature_bp = t_bp
    out.pressure_im = p_im
    out.temperature_im = t_im
    out.pressure_em = p_em
    out.temperature_port = exhaust_temperature(p, enthalpy_port, 0.0, t_em)
    out.temperature_em = t_em
    out.corrected_speed = speed_c
    out.corrected_flow = flow_c
    out.compressor_pressure_ratio = ratio
    out.compressor_power = power_c
    out.volumetric_efficiency = efficiency
    out.cooler_effectiveness = effect
    out.signal_share = share
    if mode == NO_TURBO:
        out.pressure_4 = p_em
        out.temperature_4 = t_em
        out.pressure_g = p_em
        out.temperature_turbine_outlet = t_em
        return air, np.log(p_em / downpipe(p, total, t_em, 0.0)[0]), 0.0
    p4, t4, through, power, eta, blade, t_out = downstream(
        p, turbines, total, p_em, t_em, speed, power_c / p.mechanical_efficiency
    )
    out.pressure_4 = p4
    out.temperature_4 = t4
    # t_out comes from a mean cp; the printed temperature closes the wheel's energy balance exactly
    left = exhaust_enthalpy(p, t_em) - power / through if through > 0.0 else exhaust_enthalpy(p, t_em)
    out.temperature_turbine_outlet = exhaust_temperature(p, left, 0.0, t_out)
    out.mass_flow_turbine = through
    out.turbine_power = power
    out.turbine_efficiency = eta
    out.blade_speed_ratio = blade
    out.pressure_g = p_em
    margin = power_margin(p, power, power_c)
    surplus = (total - through) / total
    if p.gate_count > 0.0:
        gate = total - through
        if mode == GATE_SHUT:
            gate = 0.0
        out.mass_flow_gate = gate
        p_back = p.pressure_amb if p.gate_open_outlet == 1.0 else p4
        p_g, loss, head = gate_branch(p, p_em, t_em, total, gate)
        out.pressure_g = p_g
        out.takeoff_loss = loss
        out.collector_head = head
        p_signal = p_im if p.signal_from_plenum == 1.0 else p2
        if mode == TARGET:
            out.gate_lift = lift_for_flow(p, gate, p_g, t_em, p_back)
            out.signal_share = _share_for_lift(p, out.gate_lift, p_signal, p_g, p_back)
        else:
            out.gate_lift = gate_lift(p, mode, share, p_signal, p_g, p_back)
            if out.gate_lift > 0.0:
                surplus -= gate_flow(p, out.gate_lift, p_g, t_em, p_back) / total
    if mode == TARGET:
        return air, -margin, np.log(p_im / p.target_pressure)
    return air, surplus, margin


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
def _finish(
    p: Any,
    maps: Any,
    turbines: Any,
    mode: int,
    share: float,
    outcome: int,
    z: float,
    x: float,
    y: float,
    count: int,
    out: Any,
) -> None:
    """Fill the record. Where a polish trusted its last step too far it is sent back to work."""
    air, gas, third = _fill(p, maps, turbines, mode, share, z, x, y, out)
    error = max(abs(air), abs(gas), abs(third))
    if outcome == SOLVED and mode != NO_TURBO and not error < _ENOUGH:
        found, z1, x1, y1, n, _s = polish(
            p, maps, turbines, mode, share, (z, x, y), z - 0.01, z + 0.01, scratch(9)
        )
        count += n
        if found == 1:
            air, gas, third = _fill(p, maps, turbines, mode, share, z1, x1, y1, out)
            error = max(abs(air), abs(gas), abs(third))
    out.residual = error
    # a margin that jumps across zero (a gate branch whose flow sets in all at once) has no balance to close
    out.outcome = NO_BALANCE if outcome == SOLVED and not out.residual < _CLOSED else outcome
    out.mode_held = mode
    out.evaluations = count


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
    found, z, x, y, count, surplus = polish(
        p, maps, turbines, mode, share, (z, x, y), z - reach, high, work
    )
    if found == 0 or not work[8] < 0.0 or surplus < 0.0:
        return 0, first[0], first[1]
    if surplus < _SURE_SHARE:
        boost = p_im / p.pressure_amb - 1.0
        if not (_FLAT < work[8] and clear_below(p, maps, turbines, boost, np.exp(z))):
            return 0, first[0], first[1]
        count += 2
    _finish(p, maps, turbines, mode, share, SOLVED, z, x, y, count + 2, out)
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
        _finish(p, maps, turbines, SPRING, share, SOLVED, z, x, y, 1, out)
        return 1
    work = scratch(9)
    high = min(z + 0.05, np.log(p.shaft_speed_ceiling))
    found, z, x, y, count, surplus = polish(
        p, maps, turbines, SPRING, share, (z, x, y), z - 0.5, high, work
    )
    if found == 0 or not work[8] < 0.0 or surplus < 0.0:
        return 0
    _finish(p, maps, turbines, SPRING, share, SOLVED, z, x, y, count + 1, out)
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
            _finish(p, maps, turbines, SPRING, share, SOLVED, z, x, y, count, out)
            return
    if reached == 1:
        high = min(z + 0.5, np.log(p.shaft_speed_ceiling))
        work = scratch(9)
        found, z1, x1, y1, n, surplus = polish(
            p, maps, turbines, SPRING, share, (z, x, y), z - 0.3, high, work
        )
        count += n
        if found == 1 and work[8] < 0.0:
            _finish(p, maps, turbines, SPRING, share, SOLVED, z1, x1, y1, count, out)
            return
    if outcome == SOLVED:
        found, z, x, y, n = nearby(p, maps, turbines, SPRING, share, z, x, y)
        count += n
        if found == 1:
            _finish(p, maps, turbines, SPRING, share, SOLVED, z, x, y, count, out)
            if out.outcome == SOLVED:
                return
    outcome, reached, z, x, y, n = climb(p, maps, turbines, SPRING, share, _NO_END)
    _finish(p, maps, turbines, SPRING, share, outcome, z, x, y, count + n, out)


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
    if 0.0 < z and left < _HARDLY:
        found, z, x, y, n = _shut_quickly(p, maps, turbines, p.target_pressure, left, z)
        count += n
        if found == 1:
            _finish(p, maps, turbines, GATE_SHUT, _FULL_SIGNAL, SOLVED, z, x, y, count, out)
            if out.pressure_im < _SURELY_BELOW * p.target_pressure:
                return 0, z, x, y, count
    outcome, reached, z, x, y, n = climb(p, maps, turbines, GATE_SHUT, _FULL_SIGNAL, p.target_pressure)
    count += n
    if reached == 0:
        _finish(p, maps, turbines, GATE_SHUT, _FULL_SIGNAL, outcome, z, x, y, count, out)
        return 0, z, x, y, count
    if p.gate_count == 0.0:
        outcome, reached, z, x, y, n = climb(p, maps, turbines, GATE_SHUT, _FULL_SIGNAL, _NO_END)
        _finish(p, maps, turbines, GATE_SHUT, _FULL_SIGNAL, outcome, z, x, y, count + n, out)
        return 0, z, x, y, count + n
    if held:  # the climb has shown that the wheel gets there; the state itself is known already
        return 1, near[0], near[1], near[2], count
    found, z, x, y, n = hold_target(p, maps, turbines, z, x, y)
    count += n
    if found == 2:
        _finish(p, maps, turbines, TARGET, _FULL_SIGNAL, NOT_REACHED, z, x, y, count, out)
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
        _finish(p, maps, turbines, TARGET, _FULL_SIGNAL, SOLVED, z, x, y, count, out)
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
        _finish(p, maps, turbines, NO_TURBO, 0.0, SOLVED, 0.0, x, y, count, out)
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
                _finish(p, maps, turbines, p.mode, p.signal_share, SOLVED, z, x, y, n, out)
                return
    outcome, reached, z, x, y, count = climb(p, maps, turbines, p.mode, p.signal_share, _NO_END)
    _finish(p, maps, turbines, p.mode, p.signal_share, outcome, z, x, y, count, out)


@compiled
def solve_batch(points: Any, maps: Any, turbines: Any, states: Any) -> None:
    """Solve ``points`` (n,) into ``states`` (n,); every point starts cold, so order and company change nothing."""
    for i in range(points.shape[0]):
        solve_point(points[i], maps, turbines, states[i])
