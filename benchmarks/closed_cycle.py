"""Closed cycles beside a general-purpose integrator on the same equations.

Run from the top folder: ``python benchmarks/closed_cycle.py``. The peer is ``scipy.integrate.solve_ivp`` with LSODA;
its right-hand side is compiled and uses the same gas, burn, wall and knock functions as our kernel. It carries five
states (temperature, work, wall heat, knock integral, end-gas temperature), is started anew where burning starts, so
that it need not find that corner, and its tolerance is the loosest power of ten at which its work is as good as ours.
The batch is one core for both. Shortest of several runs: the one least disturbed by whatever else the machine does.
"""

from __future__ import annotations

import itertools
import time
from collections.abc import Callable
from types import SimpleNamespace

import numba
import numpy as np
from scipy.integrate import solve_ivp

from boostwright.components.closed_cycle import CycleFuel, CycleGeometry, CycleModel
from boostwright.physics.gas import air, mixture
from boostwright.solve.cycle_batch import cycle_records
from boostwright.solve.cycle_table_build import build_cycle_table
from boostwright.solve.kernel.cycle import _burned, _coefficient, _gas, _heat, _wall_constant, run_cycles
from boostwright.solve.kernel.cycle_layout import CYCLE_OUTPUTS as OUTPUTS
from boostwright.solve.kernel.cycle_layout import CYCLE_STATE
from boostwright.solve.kernel.cycle_table import cycle_outputs

CYCLES = 60
DEGREE = np.pi / 180.0
RPM = np.pi / 30.0


def seconds(run: Callable[[], object], repeats: int = 7) -> float:
    """Shortest of several runs."""
    best = np.inf
    for _ in range(repeats):
        start = time.perf_counter()
        run()
        best = min(best, time.perf_counter() - start)
    return best


def example() -> CycleModel:
    """One cylinder of half a litre on petrol in dry air."""
    gas = SimpleNamespace(
        mole_fractions=air.DRY_AIR,
        humidity_ratio=0.0,
        gas_constant=float(mixture.gas_constant(air.DRY_AIR)),
        coefficients=np.asarray(mixture.mixture_coefficients(air.DRY_AIR)),
    )
    fuel = CycleFuel(1.87, 0.0, 43.0e6, 350e3, 100.0, 98.0)
    frozen = {"dissociation": False}  # the peer has frozen gas; the correction costs nothing
    return CycleModel(CycleGeometry(0.083, 0.092, 0.148, 9.0), fuel, gas, **frozen)  # type: ignore[arg-type]


@numba.njit(error_model="numpy")
def slope(angle, y, c, stroke, rod, motored):
    """Slopes of temperature, work, wall heat, knock integral and end-gas temperature over the crank angle."""
    t, t_end = y[0], y[4]
    r_crank = 0.5 * stroke
    sine = np.sin(angle)
    upright = np.sqrt(rod * rod - (r_crank * sine) ** 2)
    bore_area = 0.25 * np.pi * c.bore * c.bore
    v = c.clearance_volume + bore_area * (r_crank * (1.0 - np.cos(angle)) + rod - upright)
    dv = bore_area * r_crank * sine * (1.0 + r_crank * np.cos(angle) / upright)
    x, pace = _burned(c, angle)
    dx = pace / c.angle_step
    r, cv, free = _gas(c, t, x, dx > 0.0)
    p = c.mass * r * t / v
    p_start = c.mass * c.gas_constant_unburned * c.temperature / motored[0]
    velocity = 2.28 * c.mean_piston_speed
    if x > 0.0:
        excess = max(p - motored[1] * (motored[0] / v) ** 1.32, 0.0)
        velocity += 3.24e-3 * c.displacement * c.temperature / (p_start * motored[0]) * excess
    h = _coefficient(c, 1, _wall_constant(c, 1), np.log(p), np.log(t), np.log(velocity), 0.0)
    area = bore_area * 2.15 + np.pi * c.bore * v / bore_area
    lost = h * area * (t - c.wall_temperature) / c.engine_speed
    dt = (free * dx - lost / c.mass - r * t * dv / v) / cv
    rise = dt / t - dv / v + (c.gas_constant_burned - c.gas_constant_unburned) * dx / r
    cp_end = _heat(c.unburned_low, t_end) if t_end < 1000.0 else _heat(c.unburned_high, t_end)
    delay = 0.01768 * (c.octane_number / 100.0) ** 3.402 * (p / 101325.0) ** -1.7 * np.exp(3800.0 / t_end)
    watched = 1.0 if angle < c.angle_knock_end else 0.0
    end = c.gas_constant_unburned / cp_end * t_end * rise
    return np.array([dt, p * dv, lost, watched / (delay * c.engine_speed), end])


@numba.njit(error_model="numpy")
def read_one_row(row, mass, temperature, residual, angle, out):
    """As the solver reads the table: many states of one operating point, one row that stays in the nearest memory."""
    for i in range(mass.size):
        cycle_outputs(row, mass[i], temperature[i], residual[i], angle[i], out)


def by_library(c, volume, stroke: float, rod: float, last: float, tolerance: float) -> np.ndarray:
    """One cycle by the general-purpose integrator, started anew where burning starts and the watch ends."""
    state = np.array([c.temperature, 0.0, 0.0, 0.0, c.temperature])
    motored = np.array([volume(c.angle_start), 0.0])
    stops = [c.angle_start, c.burn_start, c.angle_knock_end, last]
    for number, (first, until) in enumerate(itertools.pairwise(stops)):
        if number == 1:
            p = c.mass * c.gas_constant_unburned * state[0] / volume(c.burn_start)
            motored[1] = p / (motored[0] / volume(c.burn_start)) ** 1.32
        span, extra = (first, until), (c, stroke, rod, motored)
        grid = np.arange(first, until, c.angle_step) if number else None
        scale = tolerance * np.array([1.0, 1.0, 1.0, 1e-3, 1.0])
        found = solve_ivp(
            slope, span, state, "LSODA", t_eval=grid, args=extra, rtol=tolerance, atol=1e2 * scale
        )
        state = found.y[:, -1] if grid is None else _at_end(found, until, extra, tolerance, scale)
    return state


def _at_end(found, until: float, extra: tuple, tolerance: float, scale: np.ndarray) -> np.ndarray:
    """The evenly spaced answer stops short of the end: the last bit."""
    rest = (found.t[-1], until)
    return solve_ivp(slope, rest, found.y[:, -1], "LSODA", args=extra, rtol=tolerance, atol=1e2 * scale).y[
        :, -1
    ]


def main() -> None:
    """Print microseconds a cycle, errors and ratios."""
    model = example()
    geometry = model.geometry
    rng = np.random.default_rng(1)
    states = {
        "engine_speed": rng.uniform(1500.0, 6500.0, CYCLES) * RPM,
        "mass": rng.uniform(0.4e-3, 1.3e-3, CYCLES),
        "temperature": rng.uniform(330.0, 390.0, CYCLES),
        "lambda_value": rng.uniform(0.8, 1.0, CYCLES),
        "residual_fraction": rng.uniform(0.03, 0.12, CYCLES),
        "angle_half_burned": rng.uniform(6.0, 30.0, CYCLES) * DEGREE,
    }
    records, way = cycle_records(model, **states)
    fine_records, fine_way = cycle_records(model, **states, step=0.01 * DEGREE)
    ours, fine = np.zeros(CYCLES, CYCLE_STATE), np.zeros(CYCLES, CYCLE_STATE)
    run_cycles(records, way, ours)
    run_cycles(fine_records, fine_way, fine)
    error = np.abs(ours["work"] / fine["work"] - 1.0).max()

    def volume(angle: float) -> float:
        return float(geometry.volume(angle))

    rows = [records.view(np.recarray)[i] for i in range(CYCLES)]
    parts = (volume, geometry.stroke, geometry.rod_length, geometry.exhaust_opening)
    for tolerance in (1e-3, 1e-4, 1e-5, 1e-6, 1e-7):
        peer = np.array([by_library(c, *parts, tolerance) for c in rows])
        peer_error = np.abs(peer[:, 1] / fine["work"] - 1.0).max()
        if peer_error <= max(error, 2e-5):
            break
    knock = np.abs(peer[:, 3] / fine["knock_integral"] - 1.0).max()
    theirs = seconds(lambda: [by_library(c, *parts, tolerance) for c in rows], 3) / CYCLES
    many = np.repeat(records, 20)
    many_out = np.zeros(many.size, CYCLE_STATE)
    batch = seconds(lambda: run_cycles(many, way, many_out)) / many.size
    one = [(records[i : i + 1], ours[i : i + 1]) for i in range(CYCLES)]
    lone = seconds(lambda: [run_cycles(c, way, s) for c, s in one]) / CYCLES

    print(f"work against 0.01 deg: ours {error:.1e}, peer {peer_error:.1e} at rtol {tolerance:.0e}")
    print(f"knock integral of the peer against ours at 0.01 deg: {knock:.1e}")
    print(f"{'':30}{'us a cycle':>12}{'ratio':>10}")
    print(f"{'peer, LSODA':30}{1e6 * theirs:12.0f}{1.0:10.1f}")
    print(f"{'ours, alone from Python':30}{1e6 * lone:12.1f}{theirs / lone:10.1f}")
    print(f"{'ours, batch, one core':30}{1e6 * batch:12.1f}{theirs / batch:10.1f}")

    table = build_cycle_table(model)
    built = seconds(lambda: build_cycle_table(model), 3)
    row = table.rows(states["engine_speed"][0], states["lambda_value"][0])[0]
    columns = ("mass", "temperature", "residual_fraction", "angle_half_burned")
    inner = [np.repeat(states[name], 50) for name in columns]
    out = np.zeros(len(OUTPUTS))
    read_one_row(row, *inner, out)
    look = seconds(lambda: read_one_row(row, *inner, out), 15) / inner[0].size
    print(f"table: {built:.2f} s to build, {1e9 * look:.0f} ns a look-up of all outputs")
    for name, e in table.errors.items():
        print(
            f"  {name:24}{e.root_mean_square:10.5f} rms {e.ninety_nine:10.5f} of 99 {e.worst:10.5f} worst  {e.unit}"
        )


if __name__ == "__main__":
    main()
