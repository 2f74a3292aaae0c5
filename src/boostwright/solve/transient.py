"""Run a plant through phases: from a settled start, segment by segment where the engine stands still in between."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.errors import BoostwrightError
from boostwright.physics.gas import mixture
from boostwright.solve.kernel.transient_layout import (
    ANSWERS,
    BRAKE,
    CLUTCH_OPEN,
    DYNAMIC,
    NEUTRAL,
    PHASE_COLUMNS,
    ROAD,
    ROLLER,
    SLOW_COUNT,
    STATE_COUNT,
    TOTALS,
)
from boostwright.solve.transient_native import run_rows
from boostwright.solve.transient_plant import Plant

__all__ = ["COLUMNS", "LOADS", "RunFailed", "Start", "columns_of", "phase_rows", "run_plant", "settled_start"]

Array = NDArray[np.float64]

LOADS = {
    "idle": NEUTRAL,
    "hold": BRAKE,
    "brake": BRAKE,
    "road": ROAD,
    "roller": ROLLER,
    "gear-change": CLUTCH_OPEN,
}
"""Kinds of phase by what the engine drives."""

COLUMNS = (*ANSWERS, *(f"state_{name}" for name in DYNAMIC), *TOTALS)
_SETTLE = 8.0  # s
_QUICK = 0.01  # of their heat capacity that walls have while a start settles
_GENTLE = 0.15  # pedal from which a settled start is approached
_FIRST_SHAFT = 800.0  # rad/s
_WARM = 450.0  # K, first guess of gas in the exhaust
_SMALL = (
    50.0,
    1e-3,
    1e-5,
    1.0,
    1e-5,
    1.0,
    1e-6,
    1.0,
    1e-6,
    1.0,
    1e-3,
    1e3,
    1e3,
    0.05,
    10.0,
    10.0,
    10.0,
    10.0,
)


class RunFailed(BoostwrightError):
    """No step of the integrator held, however small: which says that the model left every sane state."""


@dataclass
class Start:
    """Where a run stands: states (38,) and what the kernel keeps besides (12,); carried on by a run."""

    states: Array
    slow: Array

    def copy(self) -> Start:
        """The same, to run on from twice."""
        return Start(self.states.copy(), self.slow.copy())


def _scale() -> Array:
    found = np.ones(STATE_COUNT)
    found[: len(_SMALL)] = _SMALL
    return found


def _inner(gas: Array, constant: float, temperature: float) -> float:
    return float(np.asarray(mixture.sensible_enthalpy(gas, temperature))) - constant * temperature


def _rest(plant: Plant, speed: float) -> Start:
    """Air at rest in every volume, the engine turning at a speed [rad/s]."""
    problem, c = plant.problem, plant.record[0]
    ambient, burned = problem.ambient, problem.mixture
    p, t = ambient.pressure, ambient.temperature
    y, s = np.zeros(STATE_COUNT), np.zeros(SLOW_COUNT)
    names = {name: i for i, name in enumerate(DYNAMIC)}
    y[names["shaft_speed"]] = _FIRST_SHAFT
    y[names["mass_flow_compressor"]] = 5e-3
    for place in ("bp", "im"):
        mass = p * c[f"volume_{place}"] / (ambient.gas_constant * t)
        y[names[f"mass_{place}"]] = mass
        y[names[f"energy_{place}"]] = mass * _inner(ambient.coefficients, ambient.gas_constant, t)
    constant = float(np.asarray(burned.gas_constant)[0])
    gas = burned.coefficients[0]
    for place in ("em", "4"):
        mass = p * c[f"volume_{place}"] / (constant * _WARM)
        y[names[f"mass_{place}"]] = mass
        y[names[f"energy_{place}"]] = mass * _inner(gas, constant, _WARM)
    y[names["chamber_lower"]] = y[names["chamber_upper"]] = p
    for name in ("temperature_wall", "temperature_wall_2", "temperature_core"):
        y[names[name]] = t
    y[names["temperature_housing"]] = _WARM
    s[0], s[3], s[7], s[9] = speed, 1.0, float(np.asarray(problem.mixture.fuel_air_ratio)[0]), 1.0
    s[8] = 0.05
    return Start(y, s)


def settled_start(
    plant: Plant, load: str, speed: float, pedal: float, gear: int, seconds: float = _SETTLE
) -> Start:
    """A start in which everything has settled, walls too: idling, or held at a speed [rad/s] with the pedal at a place.

    Walls are given a hundredth of their heat capacity meanwhile.
    """
    record = plant.record.copy()
    for name in ("wall_capacity_1", "wall_capacity_2", "housing_capacity", "core_capacity"):
        record[name] *= _QUICK
    quick = replace(plant, record=record)
    start = _rest(plant, speed)
    if load == "idle":
        rows = [("idle", seconds, pedal, pedal, 0, 0.0, 0.0, 0.0, 1.0)]
    else:
        near = min(pedal, _GENTLE)
        rows = [
            ("hold", share * seconds, first, last, gear, 0.0, 0.0, 0.0, 1.0)
            for share, first, last in ((0.2, near, near), (0.4, near, pedal), (0.4, pedal, pedal))
        ]
    start.slow[2] = rows[0][2]
    run_plant(quick, phase_rows(rows), start)
    start.states[len(DYNAMIC) :] = 0.0
    return start


def phase_rows(phases: Sequence[tuple[str, float, float, float, int, float, float, float, float]]) -> Array:
    """Phases (k, 9) as the kernel takes them, the load by its name."""
    rows = np.zeros((len(phases), len(PHASE_COLUMNS)))
    for row, (load, *numbers) in zip(rows, phases, strict=True):
        row[0], row[1:] = LOADS[load], numbers
    return rows


def run_plant(plant: Plant, phases: Array, start: Start) -> Array:
    """Rows (n, COLUMNS) of a run through phases (k, 9) from a start, which is carried on. Raises RunFailed."""
    step = float(plant.record["step"][0])
    most = int(np.ceil(phases[:, 1] / step).sum()) + len(phases) + 1
    rows, held, time = run_rows(
        plant.record,
        plant.grid,
        plant.part,
        plant.maps,
        plant.turbines,
        plant.cycles,
        plant.cycles_part,
        plant.curves,
        np.ascontiguousarray(phases),
        start.states,
        start.slow,
        _scale(),
        most,
    )
    if not held or not np.isfinite(rows).all():
        raise RunFailed(
            f"the run left every sane state after {time:.3f} s: look at volumes, inertias and hose bores in [transient]"
        )
    return rows


def columns_of(rows: Array) -> dict[str, Array]:
    """The columns of rows by name."""
    return {name: rows[:, i] for i, name in enumerate(COLUMNS)}
