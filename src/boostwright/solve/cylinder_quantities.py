"""What the crank-angle cycle says at solved points: work and heat, peak pressure, knock with its band, the charge."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, Section
from boostwright.components.friction import friction_pressure
from boostwright.physics.cylinder import definitions
from boostwright.solve.kernel.cycle_layout import CYCLE_OUTPUTS
from boostwright.solve.native import cycle_outputs, knock_limited_phasings
from boostwright.solve.problem import Problem
from boostwright.solve.residual import left_by

__all__ = [
    "KNOCK_TEMPERATURE_BAND",
    "cylinder_quantities",
    "cylinder_quantities_beside",
    "knock_multiplier_band",
    "knock_phasings",
]

Array = NDArray[np.float64]

KNOCK_TEMPERATURE_BAND = 20.0
"""Kelvin by which the end gas may be hotter or colder than the trapped charge says; own estimate."""

_PRIOR = (0.6, 1.6)  # on a knock multiplier that nobody has fitted; own estimate
_FITTED = (0.9, 1.1)  # on one that stands in the build


def knock_multiplier_band(section: Section) -> tuple[float, float]:
    """Lowest and highest knock multiplier [-]: wide until one is given."""
    low, high = _FITTED if section.written("knock_multiplier") else _PRIOR
    value = section.si("knock_multiplier")
    return low * value, high * value


def _read(problem: Problem, q: dict[str, Array]) -> dict[str, Array]:
    out = cycle_outputs(
        problem.rows,
        q["trapped_mass"],
        q["trapped_temperature"],
        q["residual_fraction"],
        q["angle_half_burned"],
    )
    return dict(zip(CYCLE_OUTPUTS, out.T, strict=True))


def knock_phasings(section: Section, problem: Problem, q: dict[str, Array], *, early: bool = True) -> None:
    """Knock-limited phasing (n,) [rad] as it is and at the ends of its band, the early one where that is asked for; nan
    where knock is not predicted."""
    state = (q["trapped_mass"], q["trapped_temperature"], q["residual_fraction"])
    low, high = knock_multiplier_band(section)
    cases = [
        ("knock_limited_phasing", section.si("knock_multiplier"), 0.0),
        ("knock_limited_phasing_early", low, -KNOCK_TEMPERATURE_BAND),
        ("knock_limited_phasing_late", high, KNOCK_TEMPERATURE_BAND),
    ]
    for name, multiplier, hotter in cases if early else (cases[0], cases[2]):
        limit = np.full(problem.speeds.shape, 1.0 / multiplier)
        q[name] = knock_limited_phasings(problem.rows, state[0], state[1] + hotter, state[2], limit)


def cylinder_quantities(build: Build, problem: Problem, q: dict[str, Array]) -> None:
    """Add what the cylinders give and what limits it, (n,) in SI, to the quantities copied from the states."""
    points, motor, speed = problem.points, problem.engine, problem.speeds
    cycles = motor.displacement * speed / (4.0 * np.pi)
    read = _read(problem, q)
    q["peak_pressure"] = read["peak_pressure"]
    q["peak_pressure_angle"] = read["peak_angle"]
    q["burn_duration"] = read["burn_duration"]
    q["knock_integral"] = build["spark"].si("knock_multiplier") * read["knock_integral"]
    q["gross_indicated_power"] = q["gross_work"] * (points["cylinders"] * speed / (4.0 * np.pi))
    q["pumping_power"] = (
        q["pressure_em"] - q["pressure_im"] + points["valve_loss"] * q["pressure_im"]
    ) * cycles
    friction = friction_pressure(build, q["peak_pressure"], q["pressure_im"], motor.mean_piston_speed, speed)
    q["fmep"] = friction
    q["friction_power"] = friction * cycles
    q["power"] = q["gross_indicated_power"] - q["pumping_power"] - q["friction_power"]
    q["torque"] = q["power"] / speed


def cylinder_quantities_beside(build: Build, problem: Problem, q: dict[str, Array]) -> None:
    """Add what else the cylinders say, (n,) in SI, to that."""
    points, motor, speed = problem.points, problem.engine, problem.speeds
    cycles = motor.displacement * speed / (4.0 * np.pi)
    knock_phasings(build["spark"], problem, q)
    q["best_phasing"] = problem.spark.best
    q["temperature_residual"] = left_by(
        points, problem.mixture, q["temperature_opening"], q["pressure_opening"], q["pressure_em"]
    )
    q["trapped_pressure_ratio"] = q["trapped_pressure"] / q["pressure_im"]
    q["released_heat_flow"] = q["mass_flow_fuel"] * points["released_heat"]
    efficiency = build["cylinder"].si("combustion_efficiency")
    q["unburned_fuel_heat_flow"] = (1.0 / efficiency - 1.0) * q["released_heat_flow"]
    q["wall_heat_flow"] = q["cylinder_wall_heat"] * (points["cylinders"] * speed / (4.0 * np.pi))
    q["pmep"] = q["pumping_power"] / cycles
    q["bmep"] = np.asarray(
        definitions.brake_mean_effective_pressure(q["torque"], motor.displacement), dtype=float
    )
    q["bsfc"] = np.where(q["power"] > 0.0, q["mass_flow_fuel"] / np.maximum(q["power"], 1e-9), np.nan)
    with np.errstate(divide="ignore", invalid="ignore"):
        net = q["gross_indicated_power"] - q["pumping_power"]
        q["mechanical_efficiency"] = np.where(net > 0.0, q["power"] / net, np.nan)
