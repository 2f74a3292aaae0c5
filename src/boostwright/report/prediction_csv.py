"""A prediction as CSV: a row of names, a row of units, then one row a point."""

from __future__ import annotations

import csv
import io
import math

from boostwright.report.display import shown
from boostwright.report.sweep import limit_labels, shown_values
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
    names = ["engine_speed", *(name for name in prediction.quantities if name != "engine_speed")]
    columns = [[_cell(float(value)) for value in shown_values(prediction, name)] for name in names]
    labels = [shown(name, prediction.quantities[name].unit).label for name in names]
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([*names, "binding_limit", "flags", "reason", "nearest_limit"])
    writer.writerow([*labels, "", "", "", ""])
    binding = limit_labels(prediction)
    for point, outcome in enumerate(prediction.outcomes):
        flags = "; ".join(flag.code for flag in prediction.flags[point])
        why = [outcome.reason, outcome.nearest_limit] if isinstance(outcome, NoSteadyState) else ["", ""]
        writer.writerow([*(column[point] for column in columns), binding[point], flags, *why])
    return text.getvalue()
