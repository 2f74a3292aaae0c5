"""A whole run: phase after phase, control and actuator each step, a row written down at every one."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled, scratch
from boostwright.solve.kernel.transient_actuator import actuator_force, move_valve
from boostwright.solve.kernel.transient_drive import brake_torque, drive, wheel_torque
from boostwright.solve.kernel.transient_flows import flows
from boostwright.solve.kernel.transient_gas import throttle_share
from boostwright.solve.kernel.transient_layout import (
    CHAMBER_LOWER,
    CHAMBER_UPPER,
    CLUTCH_OPEN,
    COMPRESSOR_FLOW,
    DUTY,
    ENGINE_RATE,
    ENGINE_SPEED,
    FIRING,
    GATE_FLOW,
    IDLE,
    INTEGRAL,
    LIFT,
    LIFT_RATE,
    LOCKED,
    MASS_EM,
    MIXTURE,
    NEUTRAL,
    P_DURATION,
    P_END,
    P_GEAR,
    P_LOAD,
    P_PEDAL,
    P_PEDAL_TO,
    RELIEF,
    SHAFT,
    T_HEAT_PORT,
    T_MASS_EXHAUST,
    T_MASS_PORT,
    T_MASS_RELIEF,
    T_MASS_THROTTLE,
    T_MASS_TURBINE,
    THROTTLE,
    VEHICLE_SPEED,
    WALL_1,
)
from boostwright.solve.kernel.transient_step import step_states

__all__ = ["run_phases"]

_PART, _FULL = 0.6, 0.8  # of the throttle: part-load mixture below, the build's own above
_UP = 0.02  # pedal below which it counts as up
_ACTIVE = 0.7  # of the throttle, above which boost is controlled
_WINDOW = 15e3  # Pa about the target, within which the integral part works
_IDLE_GAIN, _IDLE_RESET, _IDLE_MOST = 8e-4, 0.5, 0.30  # throttle per rad/s, s, throttle
_OVERRUN = (
    0.015  # throttle per idle speed above idle, so that the manifold is not sucked empty: common practice
)
_RESUME = 0.85  # of the speed above which fuel is cut, at which it comes back
_LEAST_FLOW = 1e-6


@compiled
def _lay(low: Any, high: Any, w: float, into: Any, share: float) -> None:
    """Adds a share of the record between two neighbours, number by number."""
    for k in range(into.size):
        into[k] += share * (low[k] + w * (high[k] - low[k]))


@compiled
def _between(full: Any, part: Any, i: int, w: float, rich: float, into: Any) -> None:
    """Numbers between two neighbours of a table at full load, of one at part load, or of both in shares."""
    for k in range(into.size):
        into[k] = 0.0
    if rich > 0.0:
        _lay(full[i], full[i + 1], w, into, rich)
    if rich < 1.0:
        _lay(part[i], part[i + 1], w, into, 1.0 - rich)


@compiled
def _point_at(
    c: Any, grid: Any, words: Any, part: Any, speed: float, rich: float, point: Any, into: Any
) -> Any:
    """The record at an engine speed [rad/s], between its neighbours in the grid; returns place and weight."""
    place = min(max((speed - c.grid_from) / c.grid_step, 0.0), c.grid_count - 1.000001)
    i = int(place)
    w = place - i
    _between(words, part, i, w, rich, into)
    near = i if w < 0.5 else i + 1
    point.compressor_index = grid[near].compressor_index
    point.turbine_index = grid[near].turbine_index
    point.mode = grid[near].mode
    point.engine_speed = max(speed, c.grid_from)
    return i, w


@compiled
def _throttle(c: Any, phase: Any, s: Any, pedal: float, h: float) -> None:
    """Electronic throttle: after the pedal, or holding idle speed, no faster than its motor."""
    wanted = pedal
    if pedal < _UP:
        away = c.idle_speed - s[ENGINE_SPEED]
        free = phase[P_LOAD] == NEUTRAL or phase[P_LOAD] == CLUTCH_OPEN
        if free and abs(away) < 0.5 * c.idle_speed:
            s[IDLE] = min(max(s[IDLE] + _IDLE_GAIN * away * h / _IDLE_RESET, 0.0), _IDLE_MOST)
        wanted = max(wanted, _OVERRUN * max(-away, 0.0) / c.idle_speed)
        if free or away > 0.0:
            wanted = max(wanted, min(max(s[IDLE] + _IDLE_GAIN * away, 0.0), _IDLE_MOST))
    most = h / c.throttle_time
    s[THROTTLE] += min(max(wanted - s[THROTTLE], -most), most)


@compiled
def _fuel(c: Any, s: Any, pedal: float, h: float) -> None:
    """Share of the cycles that fire: fuel is cut in overrun, and either way it takes a cycle to be felt."""
    wanted = 1.0
    if pedal < _UP:
        limit = c.cut_speed * (_RESUME if s[FIRING] < 0.5 else 1.0)
        if s[ENGINE_SPEED] > limit:
            wanted = 0.0
    s[FIRING] = wanted + (s[FIRING] - wanted) * np.exp(-h * max(s[ENGINE_SPEED], 10.0) / (4.0 * np.pi))


@compiled
def _duty(c: Any, s: Any, target: float, table: float, p_im: float, h: float) -> None:
    """Solenoid duty: fixed, by the table, or by the table and a PI controller that does not wind up."""
    if c.controller == 0.0:
        s[DUTY] = c.fixed_duty
        return
    if s[THROTTLE] < _ACTIVE:
        s[INTEGRAL], s[DUTY] = 0.0, 0.0 if c.controller == 2.0 else table
        return
    if c.controller == 1.0:
        s[DUTY] = table
        return
    lacking = target - p_im
    wanted = table + c.gain * lacking + s[INTEGRAL]
    s[DUTY] = min(max(wanted, 0.0), 1.0)
    if abs(lacking) < _WINDOW and (wanted - s[DUTY]) * lacking <= 0.0:
        s[INTEGRAL] += c.gain * lacking * h / c.reset_time


@compiled
def _gate(p: Any, c: Any, y: Any, s: Any, a: Any, h: float) -> None:
    """The valve's own motion under the chambers and the exhaust; the air in both chambers is a spring to it."""
    if p.gate_count <= 0.0:
        return
    p_back = p.pressure_amb if p.gate_open_outlet == 1.0 else a[23]
    force, stiffness = actuator_force(p, c, y[CHAMBER_LOWER], y[CHAMBER_UPPER], a[25], p_back, s[LIFT])
    per_metre = (
        p.diaphragm_area / c.chamber_volume
    )  # of their pressure, by which the chambers' change with lift
    cushion = (y[CHAMBER_LOWER] + y[CHAMBER_UPPER]) * per_metre * p.diaphragm_area
    before = s[LIFT]
    s[LIFT], s[LIFT_RATE] = move_valve(
        before,
        s[LIFT_RATE],
        h,
        force + cushion * before,
        stiffness + cushion,
        c.moving_mass,
        c.damping,
        p.friction_force,
        p.gate_full_lift,
    )
    moved = per_metre * (s[LIFT] - before)
    y[CHAMBER_LOWER] *= 1.0 - moved
    y[CHAMBER_UPPER] *= 1.0 + moved


@compiled
def _mixture(y: Any, s: Any, f: Any, a: Any, firing: float, fuel_share: float, h: float) -> None:
    """Fuel over air of the gas in the exhaust manifold, which takes its time to be swept out."""
    fresh = fuel_share * firing
    swept = max(f[T_MASS_PORT], _LEAST_FLOW) * h / max(y[MASS_EM], _LEAST_FLOW)
    s[MIXTURE] = fresh + (s[MIXTURE] - fresh) * np.exp(-swept)


@compiled
def _write(
    p: Any,
    c: Any,
    phase: Any,
    y: Any,
    s: Any,
    f: Any,
    a: Any,
    torque: Any,
    pedal: float,
    target: float,
    row: Any,
) -> None:
    """The row of answers but for its first two, in the order of ``ANSWERS``."""
    brake, lost, peak = torque
    gear = phase[P_GEAR] if phase[P_LOAD] != CLUTCH_OPEN else 0.0
    row[2], row[3], row[4], row[5], row[6], row[7] = (
        gear, pedal, s[THROTTLE], s[ENGINE_SPEED], s[ENGINE_RATE], s[VEHICLE_SPEED],
    )  # fmt: skip
    row[8], row[9], row[10], row[11], row[12], row[13] = s[LOCKED], s[FIRING], brake, lost, y[SHAFT], f[SHAFT]
    row[14], row[15], row[16] = y[COMPRESSOR_FLOW], f[T_MASS_THROTTLE], a[14]
    row[17] = a[14] * p.fuel_air_ratio * s[FIRING]
    row[18], row[19], row[20], row[21] = f[T_MASS_RELIEF], f[T_MASS_TURBINE], y[GATE_FLOW], f[T_MASS_EXHAUST]
    row[22], row[23], row[24], row[25], row[26], row[27], row[28] = a[6], a[7], a[8], a[0], a[1], a[2], a[3]
    row[29], row[30], row[31], row[32], row[33], row[34] = a[21], a[22], a[25], a[23], a[24], a[30]
    row[35], row[36], row[37], row[38], row[39] = (
        s[LIFT],
        s[LIFT_RATE],
        y[CHAMBER_LOWER],
        y[CHAMBER_UPPER],
        s[DUTY],
    )
    row[40], row[41] = target, y[RELIEF]
    for k in range(4):
        row[42 + k] = y[WALL_1 + k]
    row[46], row[47], row[48], row[49] = a[31], a[27], a[28], a[29]
    row[50], row[51], row[52], row[53], row[54] = a[9], a[10], a[11], a[12], s[MIXTURE]
    row[55], row[56], row[57], row[58], row[59], row[60] = a[18], peak, a[17], a[15], a[16], a[26]
    row[61], row[62] = p.gas_constant_exhaust, f[T_HEAT_PORT]
    row[63] = f[T_HEAT_PORT] / max(f[T_MASS_PORT], _LEAST_FLOW)
    row[64] = wheel_torque(c, brake - c.engine_inertia * s[ENGINE_RATE])
    row[65] = s[INTEGRAL]
    for k in range(y.size):
        row[66 + k] = y[k]


@compiled
def _at_speed(table: Any, i: int, w: float, into: Any) -> None:
    for k in range(into.size):
        into[k] = table[i, k] + w * (table[i + 1, k] - table[i, k])


@compiled
def _ended(phase: Any, start: float, speed: float) -> bool:
    """Whether the engine has come to the phase's end speed."""
    end = phase[P_END]
    if end <= 0.0:
        return False
    return speed >= end if start < end else speed <= end


@compiled
def _begin(c: Any, phase: Any, s: Any) -> None:
    """At the start of a phase in gear: the clutch holds where both sides turn alike already."""
    if phase[P_LOAD] < 2.0 or phase[P_LOAD] == CLUTCH_OPEN:
        return
    turned = s[VEHICLE_SPEED] * c.gears[int(phase[P_GEAR]) - 1] * c.final_drive / c.rolling_radius
    s[LOCKED] = 1.0 if abs(s[ENGINE_SPEED] - turned) < 0.005 * s[ENGINE_SPEED] else 0.0


@compiled
def run_phases(
    c: Any,
    grid: Any,
    words: Any,
    part: Any,
    maps: Any,
    turbines: Any,
    cycles: Any,
    cycles_part: Any,
    curves: Any,
    phases: Any,
    point: Any,
    into: Any,
    cycle: Any,
    y: Any,
    s: Any,
    scale: Any,
    work: Any,
    tables: Any,
    rows: Any,
    said: Any,
) -> None:
    """Run phases (k, 9) from states ``y`` (38,) and ``s`` (12,), which are carried on, into ``rows`` (n, 104).

    c, point        one PLANT and one POINT to be filled, whose numbers are ``into``
    grid, words, part  (g,) POINT at even engine speeds, its numbers (g, w), and those at part load
    cycles, cycles_part (g, m) rows of the table of closed cycles; cycle (m,) room for one
    curves          (g, 5) friction's three numbers, target [Pa], duty
    said            (3,) rows written, 0 where all went well else 1, time [s] at the end
    """
    f, a, u, at, out = scratch(38), scratch(32), scratch(4), scratch(5), scratch(10)
    p = point
    h = c.step / c.substeps
    count, time = 0, 0.0
    for number in range(phases.shape[0]):
        phase = phases[number]
        start, inside = s[ENGINE_SPEED], 0.0
        _begin(c, phase, s)
        while inside < phase[P_DURATION] - 1e-9 and count < rows.shape[0]:
            torque = (0.0, 0.0, 0.0)
            pedal = 0.0
            for _ in range(int(c.substeps)):
                along = min((inside + 0.5 * h) / phase[P_DURATION], 1.0)
                pedal = phase[P_PEDAL] + along * (phase[P_PEDAL_TO] - phase[P_PEDAL])
                _throttle(c, phase, s, pedal, h)
                _fuel(c, s, pedal, h)
                rich = min(max((s[THROTTLE] - _PART) / (_FULL - _PART), 0.0), 1.0)
                i, w = _point_at(
                    c, grid, words, part, s[ENGINE_SPEED] + 0.5 * h * s[ENGINE_RATE], rich, p, into
                )
                _at_speed(curves, i, w, at)
                _duty(c, s, at[3], at[4], a[2] if count > 0 or inside > 0.0 else at[3], h)
                u[0], u[1], u[2], u[3] = throttle_share(c, s[THROTTLE]), s[LIFT], s[DUTY], s[FIRING]
                if step_states(p, c, maps, turbines, y, u, h, scale, work, tables, a) == 0:
                    said[0], said[1], said[2] = count, 1.0, time
                    return
                flows(p, c, maps, turbines, y, u, f, a)
                _between(cycles, cycles_part, i, w, rich, cycle)
                torque = brake_torque(p, c, a, cycle, at, s[FIRING], out)
                _gate(p, c, y, s, a, h)
                _mixture(y, s, f, a, s[FIRING], p.fuel_air_ratio, h)
                drive(c, phase, s, torque[0], h)
                inside += h
            time += c.step
            rows[count, 0], rows[count, 1] = time, number
            _write(p, c, phase, y, s, f, a, torque, pedal, at[3], rows[count])
            count += 1
            if _ended(phase, start, s[ENGINE_SPEED]):
                break
    said[0], said[1], said[2] = count, 0.0, time
