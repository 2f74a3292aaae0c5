"""Brake torque at which the rods carry their allowed force, at the phasing and charge of solved points."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.components.rods import Rods
from boostwright.solve.native import rod_forces
from boostwright.solve.problem import Problem
from boostwright.solve.rods import beyond_table, rod_parameters, work_balance

__all__ = ["allowed_compression", "torque_at_force"]

Array = NDArray[np.float64]

_ROUNDS = 8


def allowed_compression(build: Build, rods: Rods, q: Mapping[str, Array]) -> Array:
    """Compression (n,) [N] that belief and shank allow, the lower with its margin; NaN where neither says."""
    allowed = np.full(q["engine_speed"].shape, np.inf)
    if rods.belief is not None:
        allowed = np.minimum(allowed, q["rod_force_believed"])
    if rods.shank is not None:
        allowed = np.minimum(allowed, rods.shank.compression_allowed)
    return np.where(np.isfinite(allowed), allowed * (1.0 - build["rods"].si("force_margin")), np.nan)


def torque_at_force(
    build: Build, problem: Problem, rods: Rods, q: Mapping[str, Array], allowed: Array
) -> Array:
    """Torque (n,) [N m] at the crank with more or less charge of the same temperature, residual gas and phasing.

    q        quantities along the points (n,), SI
    allowed  (n,) [N] compression of the rod by a strong cycle
    Exhaust manifold pressure is taken to follow the charge, so pumping goes with it. NaN where that charge lies outside
    the table of closed cycles.
    """
    parameters = np.tile(rod_parameters(build, rods, problem.cycle, 0.0), (allowed.size, 1))
    parameters[:, 2] = q["pressure_amb"]
    state = (q["trapped_temperature"], q["residual_fraction"], q["angle_half_burned"])
    first = np.asarray(q["trapped_mass"], dtype=float)
    mass = first
    for _ in range(_ROUNDS):
        force, gas, inertia, _ = rod_forces(problem.rows, mass, *state, problem.speeds, parameters).T
        with np.errstate(invalid="ignore", divide="ignore"):
            wanted = allowed * (gas - inertia) / force + inertia
            mass = mass * np.clip(wanted / gas, 0.5, 2.0)
    before, lost_before = work_balance(build, problem.cycle, problem.rows, (first, *state), problem.speeds)
    after, lost_after = work_balance(build, problem.cycle, problem.rows, (mass, *state), problem.speeds)
    cylinders = build["engine"].si("cylinders")
    more = (after - lost_after) - (before - lost_before)
    pumped = (q["pressure_em"] - q["pressure_im"]) * (mass / first - 1.0) * problem.engine.displacement
    torque = np.asarray(q["torque"] + (cylinders * more - pumped) / (4.0 * np.pi), dtype=float)
    return np.where(beyond_table(problem.cycle, mass), np.nan, torque)
