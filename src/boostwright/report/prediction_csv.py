"""A prediction as CSV: a row of names, a row of units, then one row a point."""

from __future__ import annotations

import csv
import io
import math

from boostwright.report.cylinders_apart import cylinder_columns
from boostwright.report.display import shown
from boostwright.report.sweep import shown_values
from boostwright.solve.operating_point import NoSteadyState, Prediction

__all__ = ["prediction_csv"]


def _cell(value: float) -> str:
    """Nine figures, enough to come back to the value within a billionth; nothing where there is no value."""
    return f"{value:.9g}" if math.isfinite(value) else ""


def prediction_csv(prediction: Prediction) -> str:
    """The prediction as CSV text: comma, decimal point, line feeds.

    First row: names as in the glossary. Second row: the unit each column is shown in, with its basis. Then a
    row a point; an empty cell is a quantity without a value there. The last columns are words: what binds,
    the codes of the flags, and for a point without steady state the reason and the nearest limit.
    """
    units = {name: values.unit for name, values in prediction.quantities.items()}
    units = {"engine_speed": "rad/s", **units}
    columns = [[_cell(float(value)) for value in shown_values(prediction, name)] for name in units]
    labels = [shown(name, unit).label for name, unit in units.items()]
    names = list(units)
    for heading, label, values in cylinder_columns(prediction):
        names.append(heading)
        labels.append(label)
        columns.append([_cell(float(value)) for value in values])
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([*names, "binding_limit", "flags", "reason", "nearest_limit"])
    writer.writerow([*labels, "", "", "", ""])
    for point, outcome in enumerate(prediction.outcomes):
        flags = "; ".join(flag.code for flag in prediction.flags[point])
        if isinstance(outcome, NoSteadyState):
            words = ["", flags, outcome.reason, outcome.nearest_limit]
        else:
            words = [prediction.binding_limit[point], flags, "", ""]
        writer.writerow([*(column[point] for column in columns), *words])
    return text.getvalue()
