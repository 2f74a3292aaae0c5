"""Makes the table of closed cycles of a build, and measures it against cycles it has not seen."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from boostwright.components.closed_cycle import CycleModel
from boostwright.components.cycle_table import CycleBox, CycleTable, TableError, fit_cycle_table, sample_box
from boostwright.solve.cycle_batch import closed_cycles
from boostwright.solve.kernel.cycle_layout import CYCLE_OUTPUTS
from boostwright.solve.native import cycle_outputs, knock_limited_phasings

__all__ = ["KNOCK_ERRORS", "build_cycle_table", "table_errors", "table_outputs", "table_phasings"]

Array = NDArray[np.float64]
_CHECKS = 500
_DEGREE = math.pi / 180.0
KNOCK_ERRORS = ("knock_integral", "knock_limited_phasing")
"""Errors that have no meaning where knock is not predicted."""
_SHARES = ("work", "peak_pressure", "wall_heat", "pressure_opening", "pressure_closing", "knock_integral")


def build_cycle_table(model: CycleModel, box: CycleBox | None = None, *, checks: int = _CHECKS) -> CycleTable:
    """Table of a model over a box (default: any engine of this program), its errors measured at ``checks`` points.

    With no ``checks`` its errors are left empty, which saves two fifths of the cycles.
    """
    watched = dataclasses.replace(model, fuel=dataclasses.replace(model.fuel, octane_number=100.0))
    frozen = dataclasses.replace(watched, dissociation=False)

    def run(**arguments: Any) -> NDArray[Any]:
        return closed_cycles(frozen, **arguments)

    table = fit_cycle_table(watched, box or CycleBox(), run)
    errors = dict(table_errors(table, checks)) if checks else {}
    if not model.fuel.octane_number > 0.0:
        for name in KNOCK_ERRORS:
            errors.pop(name, None)
    return dataclasses.replace(table, model=model, errors=errors)


def table_outputs(
    table: CycleTable,
    *,
    engine_speed: ArrayLike,
    mass: ArrayLike,
    temperature: ArrayLike,
    lambda_value: ArrayLike,
    residual_fraction: ArrayLike,
    angle_half_burned: ArrayLike,
) -> dict[str, Array]:
    """Outputs (n,) by name at states (broadcast to (n,)); arguments as ``cycle_fields`` has them."""
    given = (engine_speed, lambda_value, mass, temperature, residual_fraction, angle_half_burned)
    arrays = np.broadcast_arrays(*(np.atleast_1d(np.asarray(value, dtype=float)) for value in given))
    speed, lam, charge, hot, left, angle = (np.ascontiguousarray(array) for array in arrays)
    out = cycle_outputs(table.rows(speed, lam), charge, hot, left, angle)
    return dict(zip(CYCLE_OUTPUTS, out.T, strict=True))


def table_phasings(
    table: CycleTable,
    *,
    engine_speed: ArrayLike,
    mass: ArrayLike,
    temperature: ArrayLike,
    lambda_value: ArrayLike,
    residual_fraction: ArrayLike,
    limit: float = 1.0,
) -> Array:
    """Knock-limited angles of half burned (n,) [rad] at a limit of the knock integral; nan = not predicted."""
    given = (engine_speed, lambda_value, mass, temperature, residual_fraction)
    arrays = np.broadcast_arrays(*(np.atleast_1d(np.asarray(value, dtype=float)) for value in given))
    speed, lam, charge, hot, left = (np.ascontiguousarray(array) for array in arrays)
    return knock_limited_phasings(table.rows(speed, lam), charge, hot, left, np.full(speed.size, limit))


def table_errors(table: CycleTable, checks: int = _CHECKS, *, seed: int = 7) -> Mapping[str, TableError]:
    """Errors of the table by output, at random states of its box, against direct calls of the cycle."""
    x = np.random.default_rng(seed).uniform(-1.0, 1.0, (checks, 6))
    arguments: dict[str, Any] = sample_box(table.model, table.box, x)
    direct = closed_cycles(table.model, **arguments)
    read = table_outputs(table, **arguments)
    errors = {name: _error("1", read[name] / direct[name] - 1.0) for name in _SHARES if np.all(direct[name])}
    hotter = read["temperature_opening"] - direct["temperature_opening"]
    errors["temperature_opening"] = _error("K", hotter)
    # Only where burning makes the peak: without it the peak stands at top dead centre whatever the table says.
    made = direct["peak_pressure"] > 1.03 * direct["compression_pressure"]
    errors["peak_angle"] = _error("deg", (read["peak_angle"] - direct["peak_angle"])[made] / _DEGREE)
    if table.model.fuel.octane_number > 0.0:
        errors["knock_limited_phasing"] = _error("deg", _phasing_error(table, arguments, read, direct))
    return errors


def _phasing_error(
    table: CycleTable, arguments: Mapping[str, Any], read: Mapping[str, Array], direct: NDArray[Any]
) -> Array:
    """How far the phasing is off at which the integral has the value it has here [deg]."""
    step = 0.25 * _DEGREE
    later: dict[str, Any] = {**arguments, "angle_half_burned": arguments["angle_half_burned"] + step}
    earlier: dict[str, Any] = {**arguments, "angle_half_burned": arguments["angle_half_burned"] - step}
    rise: Array = closed_cycles(table.model, **later)["knock_integral"]
    rise = np.log(rise / closed_cycles(table.model, **earlier)["knock_integral"]) / 0.5
    return np.asarray(np.log(read["knock_integral"] / direct["knock_integral"]) / rise, dtype=float)


def _error(unit: str, difference: Array) -> TableError:
    size = np.abs(difference)
    return TableError(
        unit=unit,
        root_mean_square=float(np.sqrt(np.mean(size**2))),
        ninety_nine=float(np.quantile(size, 0.99)),
        worst=float(np.max(size)),
    )
