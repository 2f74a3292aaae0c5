"""The cylinders apart as people read them: tables for a terminal, columns for a spreadsheet."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from boostwright.report.display import in_shown_unit, shown, shown_number
from boostwright.report.sweep import shown_values
from boostwright.report.text_table import TextColumn, render_table
from boostwright.solve.operating_point import Prediction

__all__ = ["cylinder_columns", "cylinder_tables", "cylinder_values"]

_TABLES = (
    ("egt_reading", "What a probe in each runner shows"),
    ("lambda", "Lambda of each cylinder"),
    ("knock_integral", "Knock integral of each cylinder, 1 is the limit"),
)


def cylinder_values(prediction: Prediction, name: str, cylinder: int) -> NDArray[np.float64]:
    """One quantity of one cylinder (from 0) along the sweep, in the unit it is shown in. Raises KeyError."""
    if prediction.cylinders is None:
        raise KeyError(name)
    values = prediction.cylinders.quantities[name]
    return in_shown_unit(values.values[cylinder], shown(name, values.unit))


def cylinder_columns(prediction: Prediction) -> Iterator[tuple[str, str, NDArray[np.float64]]]:
    """Heading, unit and values of every quantity and cylinder; none where the build does not tell them apart."""
    if prediction.cylinders is None:
        return
    for name, values in prediction.cylinders.quantities.items():
        label = shown(name, values.unit).label
        for cylinder in range(len(values.values)):
            yield f"{name}_cylinder_{cylinder + 1}", label, cylinder_values(prediction, name, cylinder)


def cylinder_tables(prediction: Prediction, width: int) -> str:
    """A table for each of the quantities one looks at first; empty where the build does not tell them apart."""
    if prediction.cylinders is None:
        return ""
    how = shown("engine_speed", "rad/s")
    speeds = tuple(shown_number(float(speed), how) for speed in shown_values(prediction, "engine_speed"))
    tables = []
    for name, title in _TABLES:
        values = prediction.cylinders.quantities.get(name)
        if values is None or not np.isfinite(values.values).any():
            continue
        shape = shown(name, values.unit)
        columns = [TextColumn(("engine", "speed"), how.label, speeds)]
        for cylinder in range(len(values.values)):
            cells = tuple(shown_number(float(v), shape) for v in cylinder_values(prediction, name, cylinder))
            columns.append(TextColumn(("cylinder", str(cylinder + 1)), shape.label, cells))
        tables.append(f"{title}\n{render_table(columns, width)}")
    return "\n\n".join(tables)
