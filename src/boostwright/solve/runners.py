"""Each cylinder by itself at a solved point: what it traps, its cycle, what leaves its port, what a probe there shows.

The solver balances the mean cylinder. Here the manifolds' states are taken as it found them, and each cylinder gets its
own share of air and fuel: the relations are those of the compiled cylinder and exhaust, over arrays.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.cards.card import Card
from boostwright.components.cylinders import mixed_charge_fields
from boostwright.components.fuel import BurnedMixture, mixture_of_lambda
from boostwright.physics.cylinder import breathing, burn, residual_gas, trapped_charge
from boostwright.physics.gas import mixture
from boostwright.solve.cycle_rows import cycle_rows
from boostwright.solve.kernel.cycle_layout import CYCLE_OUTPUTS
from boostwright.solve.native import cycle_outputs, knock_limited_phasings, rod_forces
from boostwright.solve.probe_quantities import runner_reading
from boostwright.solve.problem import Problem
from boostwright.solve.residual import temperature_on_course
from boostwright.solve.rods import rod_parameters, rods_of_build

__all__ = ["Shares", "cylinders_apart", "points_with_state"]

Array = NDArray[np.float64]

_OVERLAP_SMOOTHING = 1000.0  # Pa, as in the solver's cylinder
_EXPONENT = 0.775  # of the temperature at exhaust opening in that of the residual gas, as the solver takes it
_BATCH = 4000  # cycles at once, some 10 kB each
_TYPICAL = 1250.0  # J/(kg K) of exhaust, for a first guess


@dataclass(frozen=True)
class Shares:
    """What each of k cylinders gets over the mean cylinder, and how much later its spark is, each (k,).

    air, fuel [-]; phasing_offset [rad]
    """

    air: Array
    fuel: Array
    phasing_offset: Array

    @classmethod
    def of(cls, air: Sequence[float], fuel: Sequence[float], phasing_offset: Sequence[float]) -> Shares:
        """From any sequences of numbers."""
        return cls(*(np.array(values, dtype=float) for values in (air, fuel, phasing_offset)))


@dataclass(frozen=True)
class _One:
    """A cylinder's share at each place of a batch (n,), its mixture there and its rows of the table."""

    air: Array
    offset: Array
    burned: BurnedMixture
    rows: Array


def points_with_state(q: dict[str, Array]) -> NDArray[np.intp]:
    """Places of the points that have a steady state."""
    return np.flatnonzero(np.isfinite(q["trapped_mass"]))


def cylinders_apart(
    build: Build, card: Card, problem: Problem, q: dict[str, Array], shares: Shares
) -> dict[str, Array]:
    """Quantities of k cylinders along n points, each (k, n) in SI; nan where the point has no steady state.

    card  of the fuel, or the blend's
    q     quantities of the mean cylinder, as a prediction carries them

    One spark serves all: each burns from the same crank angle, its own offset later, as fast as its own charge does.
    Pressures and temperature in both manifolds are the same for all.
    """
    here = points_with_state(q)
    n, k = problem.speeds.size, shares.air.size
    found: dict[str, Array] = {}
    if not here.size:
        return found
    # all in one batch, unless their rows of the table would fill the memory
    at_once = max(_BATCH // here.size, 1)
    for first in range(0, k, at_once):
        some = np.arange(first, min(first + at_once, k))
        places = np.tile(here, some.size)
        at = _at(problem, places)
        state = {name: values[places] for name, values in q.items() if np.shape(values) == (n,)}
        air, fuel, offset = (
            np.repeat(values[some], here.size) for values in (shares.air, shares.fuel, shares.phasing_offset)
        )
        one = _one(build, card, at, air, fuel, offset)
        for name, values in _cylinder(build, at, state, one).items():
            whole = found.setdefault(name, np.full((k, n), np.nan))
            whole[some[:, None], here] = values.reshape(some.size, here.size)
    return found


def _at(problem: Problem, here: NDArray[np.intp]) -> Problem:
    """The problem at some of its points, any of them more than once; what belongs to the whole batch stays."""
    burned = problem.mixture
    per_point = ("lambda_value", "fuel_air_ratio", "released_heat", "gas_constant", "coefficients")
    return replace(
        problem,
        points=problem.points[here],
        speeds=problem.speeds[here],
        rows=problem.rows[here],
        mixture=replace(burned, **{name: getattr(burned, name)[here] for name in per_point}),
    )


def _one(build: Build, card: Card, problem: Problem, air: Array, fuel: Array, offset: Array) -> _One:
    burned = mixture_of_lambda(problem.mixture.lambda_value * air / fuel, card, problem.ambient)
    efficiency = build["cylinder"].si("combustion_efficiency")
    burned = replace(burned, released_heat=efficiency * burned.released_heat)
    return _One(air, offset, burned, cycle_rows(problem.cycle, problem.speeds, burned))


def _read(rows: Array, mass: Array, temperature: Array, residual: Array, angle: Array) -> dict[str, Array]:
    out = cycle_outputs(rows, mass, temperature, residual, angle)
    return dict(zip(CYCLE_OUTPUTS, out.T, strict=True))


def _cylinder(build: Build, problem: Problem, q: dict[str, Array], one: _One) -> dict[str, Array]:
    """Quantities (n,) of one cylinder at each place."""
    mean_state = (q["trapped_mass"], q["trapped_temperature"], q["residual_fraction"])
    mean = _read(problem.rows, *mean_state, q["angle_half_burned"])
    like_mean = _read(one.rows, *mean_state, q["angle_half_burned"])
    leaner = (like_mean["temperature_opening"] / mean["temperature_opening"]) ** _EXPONENT
    charge = _charge(build, problem, q, one, _left(problem, q) * leaner)
    state = (charge["mass"], charge["temperature"], charge["residual"])
    law = problem.engine.cycle.burn
    half = float(burn.burn_progress_wiebe(0.5, law.wiebe_factor, law.wiebe_exponent))
    duration = _read(one.rows, *state, q["angle_half_burned"])["burn_duration"]
    angle = q["angle_half_burned"] + one.offset + half * (duration - mean["burn_duration"])
    read = _read(one.rows, *state, angle)
    multiplier = build["spark"].si("knock_multiplier")
    limit = np.full(angle.shape, 1.0 / multiplier)
    leaving = _leaving(problem, q, one, charge, read)
    total = leaving.pop("mass_flow_exhaust")
    shown = runner_reading(
        build,
        problem,
        leaving["temperature_port"],
        leaving["temperature_runner_end"],
        q["pressure_em"],
        total,
        one.burned.gas_constant,
    )
    return {
        "lambda": one.burned.lambda_value,
        "mass_flow_air": charge["flow"],
        "mass_flow_fuel": charge["flow"] * one.burned.fuel_air_ratio,
        "trapped_mass": charge["mass"],
        "trapped_temperature": charge["temperature"],
        "residual_fraction": charge["residual"],
        "angle_half_burned": angle,
        "knock_limited_phasing": knock_limited_phasings(one.rows, *state, limit),
        "knock_integral": multiplier * read["knock_integral"],
        "peak_pressure": read["peak_pressure"],
        **leaving,
        "egt_reading": shown.reading,
        **_rod(build, problem, q, one, (*state, angle)),
    }


def _left(problem: Problem, q: dict[str, Array]) -> Array:
    """Temperature (n,) [K] of the residual gas in the mean of the cylinders, as the solver took it."""
    return temperature_on_course(problem.points, q["mass_flow_air"], q["temperature_im"], q["pressure_em"])


def _rod(
    build: Build, problem: Problem, q: dict[str, Array], one: _One, state: tuple[Array, ...]
) -> dict[str, Array]:
    """Largest compression (n,) [N] of one cylinder's rod by a strong cycle; nothing where rods are not watched."""
    rods = rods_of_build(build)
    if rods is None:
        return {}
    mass, temperature, residual, angle = state
    parameters = np.tile(rod_parameters(build, rods, problem.cycle, 0.0), (angle.size, 1))
    parameters[:, 2] = q["pressure_amb"]
    found = rod_forces(one.rows, mass, temperature, residual, angle, problem.speeds, parameters)
    return {"rod_force_compression": found[:, 0].copy()}


def _charge(
    build: Build, problem: Problem, q: dict[str, Array], one: _One, left_at: Array
) -> dict[str, Array]:
    """What one cylinder traps: fresh air [kg] and its flow [kg/s], mass [kg], temperature [K], residual fraction [-],
    gas constant of it all, and the heat taken up on the way in [J].

    left_at  temperature (n,) [K] of the residual gas
    """
    p, burned = problem.points, one.burned
    fields = mixed_charge_fields(
        build["cylinder"], problem.engine.cycle, problem.ambient, burned, problem.speeds
    )
    flow = one.air * q["mass_flow_air"] / p["cylinders"]
    air = flow * 4.0 * np.pi / problem.speeds
    left = residual_gas.residual_mass_in_clearance(
        q["pressure_em"], p["residual_volume"], burned.gas_constant, left_at
    )
    if np.any(p["overlap_opening"] > 0.0):
        share = breathing.overlap_backflow_volume(
            q["pressure_em"],
            q["pressure_im"],
            left_at,
            q["temperature_im"],
            burned.gas_constant,
            p["gas_constant_air"],
            p["overlap_opening"],
            1.0,
            p["overlap_piston"] * left,
            _OVERLAP_SMOOTHING,
        )
        left = breathing.residual_mass_with_overlap(left, 1.0, share)
    left = np.asarray(left, dtype=float)
    fresh = air * (1.0 + burned.fuel_air_ratio)
    capacity, capacity_left = air * fields["fresh_heat"], left * fields["residual_heat"]
    temperature = trapped_charge.temperature_of_mixed_charge(
        capacity, q["temperature_im"], capacity_left, left_at, air * fields["evaporation_heat"], 0.0
    )
    warmer = fields["intake_heat_share"] * (fields["wall_temperature"] - temperature)
    mass = fresh + left
    constant = (fresh * fields["gas_constant_fresh"] + left * burned.gas_constant) / mass
    return {
        "flow": flow,
        "air": air,
        "mass": mass,
        "temperature": np.asarray(temperature + warmer + p["trapped_temperature_shift"], dtype=float),
        "residual": left / mass,
        "gas_constant": np.asarray(constant, dtype=float),
        "taken_up": np.asarray(warmer * (capacity + capacity_left), dtype=float),
    }


def _leaving(
    problem: Problem, q: dict[str, Array], one: _One, charge: dict[str, Array], read: dict[str, Array]
) -> dict[str, Array]:
    """The cycle's energy balance: work and heats [J], and temperatures [K] of what leaves the port and the runner.

    A runner loses its share of the manifold's heat, by number, not by flow.
    """
    p, burned = problem.points, one.burned
    air, mass = charge["air"], charge["mass"]
    bottom = p["displacement"] / p["cylinders"] + p["clearance_volume"]
    opening = mass * burned.gas_constant * read["temperature_opening"] / p["volume_opening"]
    closing = mass * charge["gas_constant"] * charge["temperature"] / p["volume_closing"]
    work = read["work"] + trapped_charge.work_outside_closed_part(
        closing, bottom - p["volume_closing"], opening, q["pressure_em"], bottom - p["volume_opening"]
    )
    swept = p["displacement"] / p["cylinders"]
    pumping = (q["pressure_em"] - q["pressure_im"] + p["valve_loss"] * q["pressure_im"]) * swept
    burned_heat = air * burned.fuel_air_ratio * burned.released_heat
    left = burned_heat - work - read["wall_heat"] + charge["taken_up"] + pumping
    breathed = np.asarray(mixture.sensible_enthalpy(problem.ambient.coefficients, q["temperature_im"]))
    enthalpy = (left / air + breathed) / (1.0 + burned.fuel_air_ratio)
    total = charge["flow"] * (1.0 + burned.fuel_air_ratio)
    port = p["port_conductance"] * mass**-0.2
    slope = p["heat_conductance"] / p["cylinders"] / total
    sum_ = enthalpy + slope * p["temperature_amb"] + port * p["wall_temperature"]
    end = _temperature(burned, sum_, slope + port)
    return {
        "gross_work": np.asarray(work, dtype=float),
        "wall_heat": read["wall_heat"] - charge["taken_up"],
        "port_heat": port * (end - p["wall_temperature"]) * total * 4.0 * np.pi / problem.speeds,
        "temperature_port": _temperature(burned, enthalpy - port * (end - p["wall_temperature"]), 0.0 * end),
        "temperature_runner_end": end,
        "mass_flow_exhaust": total,
    }


def _temperature(burned: BurnedMixture, enthalpy: Array, slope: Array) -> Array:
    """Temperature (n,) [K] at which h(T) + slope T is the enthalpy above 298.15 K [J/kg]; Newton, as good as exact."""
    coefficients = burned.coefficients
    found = 298.15 + (enthalpy - slope * 298.15) / (_TYPICAL + slope)
    found = np.clip(found, 300.0, 3500.0)
    for _ in range(12):
        excess = np.asarray(mixture.sensible_enthalpy(coefficients, found)) + slope * found - enthalpy
        found = np.clip(
            found - excess / (np.asarray(mixture.specific_heat(coefficients, found)) + slope), 250.0, 3500.0
        )
    return np.asarray(found, dtype=float)
