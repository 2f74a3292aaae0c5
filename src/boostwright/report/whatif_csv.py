"""A what-if as CSV: a row of names, a row of units, then one row a case."""

from __future__ import annotations

import csv
import io
import math

from boostwright.report.whatif_text import how_figure, shown_figure, span_text
from boostwright.tasks.whatif_result import FIGURES, WhatIf

__all__ = ["whatif_csv"]


def whatif_csv(found: WhatIf) -> str:
    """The what-if as CSV text: comma, decimal point, line feeds.

    First row: names. Second row: the unit each column is shown in, with its basis. Then a row a case, in the order in
    which the cases were given; ``rank`` is its place in the ranking. An empty cell is a figure without a value.
    """
    place = {number: rank for rank, number in enumerate(found.ranked, 1)}
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    words = ["exceeded", "unsteady", "asked", "reason", "settings"]
    writer.writerow(["number", "rank", "case", "price", *FIGURES, *words])
    currency = next((row.case.currency for row in found.rows if row.case.currency), "")
    writer.writerow(["", "", "", currency, *(how_figure(name).label for name in FIGURES), *[""] * len(words)])
    for row in found.rows:
        figures = [_cell(shown_figure(name, row.figures.get(name, math.nan))) for name in FIGURES]
        writer.writerow(
            [
                row.number,
                place.get(row.number, ""),
                row.case.name,
                "" if row.case.price is None else f"{row.case.price:g}",
                *figures,
                "; ".join(f"{name} {span_text(span)}" for name, span in row.exceeded.items()),
                "; ".join(f"{name} {span_text(span)}" for name, span in row.unsteady.items()),
                "; ".join(" ".join(asked.split()) for asked in row.asked),
                row.reason,
                "; ".join(row.case.settings),
            ]
        )
    return text.getvalue()


def _cell(value: float) -> str:
    """Nine figures; nothing where there is no value."""
    return f"{value:.9g}" if math.isfinite(value) else ""
