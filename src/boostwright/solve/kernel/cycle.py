"""One closed cycle, step by step from intake closing to exhaust opening: single zone, Wiebe burn, wall heat, end gas.

The state is the logarithm of temperature: an adiabatic step without burning is then exact but for the change of the
specific heat. Steps are those of Adams: predicted from two slopes, corrected with three, third order, which makes half
a degree fine enough. Work is summed as p dV on its own, so that the energy residual is a true check. Same relations as
``physics.cylinder``; a test holds the two together.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.solve.kernel.cycle_layout import BESIDE, HOHENBERG, WOSCHNI

__all__ = ["run_cycle", "run_cycles"]

_MIDDLE = 1000.0  # K, where the two ranges of the polynomials meet
_LOG_KILO = float(np.log(1e3))
_LOG_BAR = float(np.log(1e5))
_DELAY = 3800.0  # K, Douaud and Eyzat
# A tuple read by a variable place could fail, and a kernel may not: the even spacing serves.
_BESIDES = len(BESIDE)
_FIRST_BESIDE = BESIDE[0]
_BESIDE_STEP = (BESIDE[-1] - BESIDE[0]) / (len(BESIDE) - 1)
_BURNED_OUT = 1.0 - 1e-13


@compiled
def _growth(d: float) -> float:
    """exp(d) for a small step: off by less than 1e-9 up to 0.05."""
    return 1.0 + d * (1.0 + d * (0.5 + d * (1.0 / 6.0 + d * (1.0 / 24.0))))


@compiled
def _heat(c: Any, t: float) -> float:
    return c[0] + t * (c[1] + t * (c[2] + t * (c[3] + t * c[4])))


@compiled
def _enthalpy(c: Any, t: float) -> float:
    return c[5] + t * (
        c[0] + t * (0.5 * c[1] + t * ((1.0 / 3.0) * c[2] + t * (0.25 * c[3] + t * 0.2 * c[4])))
    )


@compiled
def _gas(c: Any, t: float, x: float, burning: bool) -> tuple[float, float, float]:
    """Gas constant, cv [J/(kg K)], and the energy set free per burned kilogram at this temperature [J/kg]."""
    low = t < _MIDDLE
    cp = _heat(c.unburned_low, t) if low else _heat(c.unburned_high, t)
    gas_constant = c.gas_constant_unburned
    free = 0.0
    if x > 0.0:
        less = c.gas_constant_unburned - c.gas_constant_burned
        gas_constant -= x * less
        cp -= x * (_heat(c.difference_low, t) if low else _heat(c.difference_high, t))
        if burning:
            free = c.heat - less * t
            free += _enthalpy(c.difference_low, t) if low else _enthalpy(c.difference_high, t)
    return gas_constant, cp - gas_constant, free


@compiled
def _burned(c: Any, angle: float) -> tuple[float, float]:
    """Wiebe function, and how much burns in a step at the rate of this instant."""
    if angle <= c.burn_start:
        return 0.0, 0.0
    per_duration = 1.0 / c.burn_duration
    y = (angle - c.burn_start) * per_duration
    power = y * y if c.wiebe_exponent == 2.0 else y**c.wiebe_exponent
    rest = np.exp(-c.wiebe_factor * power * y)
    pace = c.wiebe_factor * (c.wiebe_exponent + 1.0) * power * per_duration * c.angle_step
    return 1.0 - rest, pace * rest


@compiled
def _three(old: float, now: float, new: float) -> float:
    """Integral over the step from ``now`` to ``new`` of what had these three values (Adams and Moulton)."""
    return (5.0 * new + 8.0 * now - old) * (1.0 / 12.0)


@compiled
def _coefficient(
    c: Any, form: int, constant: float, log_p: float, log_t: float, log_velocity: float, factor: float
) -> float:
    """Heat transfer coefficient [W/(m2 K)] of the author chosen."""
    if form == WOSCHNI:
        return constant * np.exp(0.8 * (log_p - _LOG_KILO + log_velocity) - 0.55 * log_t)
    return constant * factor * np.exp(0.8 * (log_p - _LOG_BAR) - 0.4 * log_t)


@compiled
def _wall_constant(c: Any, form: int) -> float:
    if form == WOSCHNI:
        return c.wall_factor * 3.26 * c.bore**-0.2
    if form == HOHENBERG:
        return c.wall_factor * (c.mean_piston_speed + 1.4) ** 0.8
    return 0.0


@compiled
def _vertex(before: float, at: float, after: float) -> tuple[float, float]:
    """Top of the parabola through three even points: offset in steps from the middle one, and value."""
    bend = before - 2.0 * at + after
    offset = 0.5 * (before - after) / bend if bend < 0.0 else 0.0
    return offset, at - 0.25 * (before - after) * offset


@compiled
def _between(before: float, at: float, after: float, back: float) -> float:
    """Value of that parabola ``back`` steps before its last point."""
    slope = after - at
    bend = before - 2.0 * at + after
    return after - back * (slope + 0.5 * bend * (1.0 - back))


@compiled
def _end_gas(c: Any, t: float, rise: float, slope: float) -> tuple[float, float]:
    """End gas after a rise of the logarithm of pressure: its temperature, and R/cp at the middle of the step."""
    middle = t * (1.0 + 0.5 * slope * rise)
    cp = _heat(c.unburned_low, middle) if middle < _MIDDLE else _heat(c.unburned_high, middle)
    slope = c.gas_constant_unburned / cp
    return t * _growth(slope * rise), slope


@compiled
def _internal_energy(c: Any, t: float, x: float) -> float:
    """Internal energy of the charge [J/kg], what is yet to be set free included."""
    low = t < _MIDDLE
    unburned = _enthalpy(c.unburned_low, t) if low else _enthalpy(c.unburned_high, t)
    unburned += c.heat - c.gas_constant_unburned * t
    free = _enthalpy(c.difference_low, t) if low else _enthalpy(c.difference_high, t)
    return unburned - x * (free + c.heat - (c.gas_constant_unburned - c.gas_constant_burned) * t)


@compiled
def run_cycle(c: Any, path: Any, s: Any) -> None:
    """One cycle: record ``c`` (CYCLE) along ``path`` (n + 1, 6) into record ``s`` (CYCLE_STATE)."""
    steps = path.shape[0] - 1
    form = int(c.wall_form)
    constant = _wall_constant(c, form)
    time_step = c.angle_step / c.engine_speed
    # start
    t, x, dx, log_t = c.temperature, 0.0, 0.0, np.log(c.temperature)
    r, cv, free = _gas(c, t, x, False)
    log_mass_r = np.log(c.mass * c.gas_constant_unburned)
    log_p = log_mass_r + log_t - path[0, 0]
    p = np.exp(log_p)
    p_closing = p
    speed_part = 2.28 * c.mean_piston_speed
    log_velocity = np.log(speed_part)
    burn_part = 3.24e-3 * c.displacement * c.temperature / (p * path[0, 1])
    motored = h = 0.0
    if form > 0:
        h = _coefficient(c, form, constant, log_p, log_t, log_velocity, path[0, 4])
    h_old = h_older = h
    flux = flux_old = h * path[0, 2] * (t - c.wall_temperature) * time_step
    power = power_old = p * path[0, 1] * path[0, 5]
    per_mass = 1.0 / c.mass
    rate = -(flux * per_mass + r * t * path[0, 5]) / (cv * t)
    # No slope is known before the first: the step backwards from it costs one part in a million of the work.
    rate_old = rate
    work = wall = knock = 0.0
    t_end, slope, t_end_top, t_top = t, r / (cv + r), t, t
    exponent = -1.7 * np.log(101325.0)
    passing = np.exp(1.7 * log_p - _DELAY / t_end + exponent)
    watch = c.octane_number > 0.0
    ratio = c.gas_constant_burned / c.gas_constant_unburned - 1.0
    peak = peak_angle = compression = p_before = 0.0
    place_beside = 0
    beside = c.angle_half_burned + _FIRST_BESIDE * c.burn_duration
    for k in range(1, steps + 1):
        angle = c.angle_start + k * c.angle_step
        if x < _BURNED_OUT:
            x_new, dx = _burned(c, angle)
        else:
            x_new, dx = x, 0.0
        if x_new > 0.0 and x == 0.0:
            motored = p / path[k - 1, 3]
            compression = peak
            if peak == 0.0:
                compression = p * np.exp((1.0 + r / cv) * (path[k - 1, 0] - np.log(c.clearance_volume)))
        x = x_new
        burning = dx > 0.0
        # predict, evaluate, correct
        guess = t * _growth(1.5 * rate - 0.5 * rate_old)
        r, cv, free = _gas(c, guess, x, burning)
        # The coefficient is carried on from the last three steps; this step's own, which takes longest to compute, is
        # then not waited for.
        h_area = (3.0 * (h - h_old) + h_older) * path[k, 2] * time_step
        flux_guess = h_area * (guess - c.wall_temperature)
        rate_new = (free * dx - flux_guess * per_mass - r * guess * path[k, 5]) / (cv * guess)
        change = _three(rate_old, rate, rate_new)
        t *= _growth(change)
        log_t += change
        # pressure
        gain = x * ratio
        log_gain = gain * (1.0 - gain * (0.5 - gain * (1.0 / 3.0 - gain * 0.25)))
        log_p_new = log_mass_r + log_gain + log_t - path[k, 0]
        product = c.mass * r * t
        p_new = product / path[k, 1]
        power_new = product * path[k, 5]
        work += _three(power_old, power, power_new)
        power_old, power = power, power_new
        # walls
        if form > 0:
            if x > 0.0:
                log_velocity = np.log(speed_part + burn_part * max(p_new - motored * path[k, 3], 0.0))
            h_older, h_old = h_old, h
            h = _coefficient(c, form, constant, log_p_new, log_t, log_velocity, path[k, 4])
            flux_new = h_area * (t - c.wall_temperature)
            wall += _three(flux_old, flux, flux_new)
            flux_old, flux = flux, flux_new
        # The guess is within a few hundred-thousandths of the answer: its specific heat serves.
        rate_old = rate
        rate = (free * dx - flux * per_mass - r * t * path[k, 5]) / (cv * t)
        # end gas
        if watch:
            t_end, slope = _end_gas(c, t_end, log_p_new - log_p, slope)
            t_end_top = max(t_end_top, t_end)
            passing_new = np.exp(1.7 * log_p_new - _DELAY / t_end + exponent)
            if angle > c.angle_knock_end:
                share = 1.0 - (angle - c.angle_knock_end) / c.angle_step
                knock += time_step * share * (passing + 0.5 * share * (passing_new - passing))
                watch = False
            else:
                knock += 0.5 * time_step * (passing + passing_new)
            passing = passing_new
        # peaks
        if k > 1 and p >= p_before and p > p_new:
            offset, top = _vertex(p_before, p, p_new)
            place = angle + (offset - 1.0) * c.angle_step
            if top > peak:
                peak, peak_angle = top, place
        while place_beside < _BESIDES and angle >= beside:
            s.pressure_beside[place_beside] = _between(p_before, p, p_new, (angle - beside) / c.angle_step)
            place_beside += 1
            beside += _BESIDE_STEP * c.burn_duration
        t_top = max(t_top, t)
        p_before, p, log_p = p, p_new, log_p_new
    # result
    s.compression_pressure = compression if compression > 0.0 else peak
    # Work that the break-up of hot gas costs stays in the gas as heat: it joins again while it expands.
    hotter = (1.0 - c.work_kept) * work / (c.mass * cv)
    s.work = work * c.work_kept
    s.peak_pressure = max(peak * c.work_kept, s.compression_pressure)
    for k in range(_BESIDES):
        s.pressure_beside[k] *= c.work_kept
    s.peak_angle = peak_angle
    s.wall_heat = wall
    s.released_heat = x * c.heat * c.mass
    s.pressure_opening = p * (t + hotter) / t
    s.temperature_opening = t + hotter
    octane = 0.01768 * (c.octane_number / 100.0) ** 3.402
    s.knock_integral = knock / octane
    s.end_gas_temperature = t_end_top
    s.highest_temperature = t_top
    s.burn_duration = c.burn_duration
    s.pressure_closing = p_closing
    start = _internal_energy(c, c.temperature, 0.0)
    lost = c.mass * (start - _internal_energy(c, t, x)) - work - wall
    scale = c.heat if c.heat > 0.0 else _internal_energy(c, c.temperature, 0.0) + 3e5
    s.energy_residual = lost / (c.mass * scale)


@compiled
def run_cycles(cycles: Any, path: Any, states: Any) -> None:
    """A batch: records ``cycles`` (n,) of CYCLE along one ``path`` into ``states`` (n,) of CYCLE_STATE."""
    for i in range(cycles.size):
        run_cycle(cycles[i], path, states[i])
