"""A plan's table as CSV: a row of names, a row of units, then one row a speed."""

from __future__ import annotations

import csv
import io
import math

import numpy as np
from numpy.typing import NDArray

from boostwright.report.display import in_shown_unit, shown
from boostwright.tasks.plan_result import Plan

__all__ = ["plan_csv"]

Array = NDArray[np.float64]

_QUANTITIES = (
    "torque",
    "power",
    "lambda",
    "egt_reading",
    "temperature_em",
    "pressure_em",
    "drive_pressure_ratio",
    "shaft_speed",
    "surge_margin",
    "choke_margin",
    "peak_pressure",
    "rod_force_compression",
    "angle_half_burned",
    "gate_lift",
    "injector_duty",
    "pump_margin",
)


def _cell(value: float) -> str:
    return f"{value:.9g}" if math.isfinite(value) else ""


def plan_csv(plan: Plan) -> str:
    """The table as CSV text: comma, decimal point, line feeds.

    First row names, second row the unit each column is shown in with its basis. Pressures of the table, its ceiling,
    creep floor and spool are absolute; ``boost_target`` is gauge at the barometer of the plan's own day. An empty cell
    is a number that does not exist there.
    """
    columns: list[tuple[str, str, Array]] = [
        _column("engine_speed", "rad/s", plan.speeds),
        ("pressure_target", "kPa absolute", plan.target / 1e3),
        ("boost_target", "kPa gauge", plan.target_gauge / 1e3),
        ("pressure_ceiling", "kPa absolute", plan.ceiling / 1e3),
        ("pressure_floor", "kPa absolute", plan.floor / 1e3),
        ("pressure_spool", "kPa absolute", plan.spool / 1e3),
        ("margin", "%", 100.0 * plan.margin),
        *((f"base_duty_{kind}", "%", 100.0 * duty) for kind, duty in plan.duty.items()),
    ]
    quantities = plan.prediction.quantities
    for name in _QUANTITIES:
        if name in quantities:
            columns.append(_column(name, quantities[name].unit, quantities[name].values))
            if name in plan.bands:
                unit, band = quantities[name].unit, plan.bands[name]
                columns.append(_column(name, unit, band.low, "_low"))
                columns.append(_column(name, unit, band.high, "_high"))
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([*(name for name, _, _ in columns), "binding", "binding_day"])
    writer.writerow([*(unit for _, unit, _ in columns), "", ""])
    for i, (name, day) in enumerate(zip(plan.binding, plan.binding_day, strict=True)):
        writer.writerow([*(_cell(float(values[i])) for _, _, values in columns), name, day])
    return text.getvalue()


def _column(name: str, unit: str, values: Array, ending: str = "") -> tuple[str, str, Array]:
    how = shown(name, unit)
    return name + ending, how.label, in_shown_unit(values, how)
