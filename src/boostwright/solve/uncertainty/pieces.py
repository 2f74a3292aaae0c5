"""Points taken out of a problem of many samples, whose air and engine are arrays by point too."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.solve.problem import Problem
from boostwright.solve.rods import rod_quantities, rod_quantities_of_samples
from boostwright.solve.uncertainty.assembling import Assembler
from boostwright.solve.uncertainty.doubts import Doubt

__all__ = ["at_targets", "points_of", "rods_of_samples"]

Array = NDArray[np.float64]
_OF_RODS = {"engine": ("bore", "stroke", "connecting_rod_length", "compression_ratio"),
            "cylinder": ("peak_pressure_scatter",), "rods": (), "driveline": ()}  # fmt: skip


def points_of(problem: Problem, chosen: NDArray[np.intp]) -> Problem:
    """Points (m,) of a problem of many samples, with every part that goes by point."""
    n = problem.points.size
    taken = problem.take(chosen)
    air: Any = problem.ambient
    if isinstance(air.pressure, np.ndarray):
        air = replace(air, **{field.name: getattr(air, field.name)[chosen] for field in fields(air)})
    geometry: Any = problem.engine.cycle.geometry
    opening = geometry.exhaust_opening
    if isinstance(opening, np.ndarray) and opening.size == n:
        geometry = replace(geometry, exhaust_opening=opening[chosen])
    cycle = replace(taken.engine.cycle, geometry=geometry)
    return replace(taken, ambient=air, engine=replace(taken.engine, cycle=cycle))


def at_targets(problem: Problem, targets: Array, samples: int) -> Problem:
    """Every sample at every level (levels, n) [Pa absolute], all in target mode: (samples, levels, speeds) in a row."""
    levels, n = targets.shape
    at = np.arange(samples * n).reshape(samples, 1, n)
    many = points_of(problem, np.broadcast_to(at, (samples, levels, n)).ravel()).at_mode("target")
    many.points["target_pressure"] = np.tile(targets.ravel(), samples)
    return many


def rods_of_samples(maker: Assembler, problem: Problem, shifts: Array, q: dict[str, Array]) -> None:
    """Add what ``rod_quantities`` gives to the quantities (k,) of many samples.

    Where rods, engine or driveline are in doubt each sample has rods of its own. Else they are the nominal ones, and so
    is the force that a believed torque implies: it is no part of the sample that a belief was held on.
    """
    if not any(_reaches_rods(doubt) for doubt in maker.doubts):
        rod_quantities(maker.build, problem, q)
        return
    if not any(_reaches_rods(doubt) and doubt.name.startswith("engine.") for doubt in maker.doubts):
        rod_quantities_of_samples([maker.sample_build(row) for row in shifts], problem, q)
        return
    each = problem.points.size // len(shifts)
    found: list[dict[str, Array]] = []
    for i, row in enumerate(shifts):
        build = maker.sample_build(row)
        chosen = np.arange(i * each, (i + 1) * each)
        own = {name: values[chosen] for name, values in q.items()}
        rod_quantities(build, _with_own_engine(points_of(problem, chosen), build, maker), own)
        found.append(own)
    for name in found[0].keys() - q.keys():
        q[name] = np.concatenate([own[name] for own in found])


def _with_own_engine(problem: Problem, build: Build, maker: Assembler) -> Problem:
    geometry, engine = maker.nominal.cycle.model.geometry, build["engine"]
    stroke = engine.si("stroke")
    rod = engine.si("connecting_rod_length") if engine.has("connecting_rod_length") else geometry.rod_length
    own = replace(
        geometry,
        bore=engine.si("bore"),
        stroke=stroke,
        rod_length=rod if engine.has("connecting_rod_length") else rod * stroke / geometry.stroke,
        compression_ratio=engine.si("compression_ratio"),
    )
    model = replace(problem.cycle.model, geometry=own)
    return replace(problem, cycle=replace(problem.cycle, model=model))


def _reaches_rods(doubt: Doubt) -> bool:
    if doubt.key is None or doubt.key[0] not in _OF_RODS:
        return False
    section, key = doubt.key
    return not _OF_RODS[section] or key in _OF_RODS[section]
