"""A what-if as JSON, in SI throughout; described by docs/reference/whatif.schema.json."""

from __future__ import annotations

import json
import math
from typing import Any

from boostwright import __version__
from boostwright.report.prediction_json import prediction_document
from boostwright.tasks.whatif_result import FIGURES, Row, WhatIf

__all__ = ["SCHEMA_VERSION", "whatif_document", "whatif_json"]

SCHEMA_VERSION = 1
"""Goes up by one when a reader of the old form would misread the new one."""


def whatif_json(found: WhatIf) -> str:
    """The text of the file, with a line feed at its end."""
    return json.dumps(whatif_document(found), indent=1, ensure_ascii=False) + "\n"


def whatif_document(found: WhatIf) -> dict[str, Any]:
    """The what-if as plain lists and tables; None where a figure has no value."""
    return {
        "schema_version": SCHEMA_VERSION,
        "program": f"boostwright {__version__}",
        "name": found.name,
        "mode": found.mode,
        "settings": list(found.settings),
        "engine_speed": {"unit": "rad/s", "values": found.speeds.tolist()},
        "between": list(found.between),
        "figures": {
            figure.name: {
                "unit": figure.unit,
                "words": figure.words,
                "basis": figure.basis,
                "better": "more" if figure.more_is_better else "less",
            }
            for figure in FIGURES.values()
        },
        "cases": [_row(row) for row in found.rows],
        "ranked_by": found.ranked_by,
        "ranked": list(found.ranked),
        "levers": [
            {
                "keys": lever.words,
                "low": lever.low,
                "high": lever.high,
                "source": lever.source,
                "low_case": lever.low_row.number,
                "high_case": lever.high_row.number,
            }
            for lever in found.levers
        ],
        "cures": [
            {
                "trouble": cure.trouble,
                "case": None if cure.row is None else cure.row.number,
                "cases_with_it": cure.has_it,
                "cases_counted": cure.counted,
                "unpriced_cases_without_it": [row.number for row in cure.unpriced],
            }
            for cure in found.cures
        ],
        "side_by_side": [
            {"case": name, "prediction": prediction_document(one)} for name, one in found.beside
        ],
        "axes": [{"keys": keys, "values": list(values)} for keys, values in found.axes],
        "threshold_as_it_stands": found.known,
        "warnings": list(found.warnings),
    }


def _row(row: Row) -> dict[str, Any]:
    return {
        "number": row.number,
        "name": row.case.name,
        "settings": list(row.case.settings),
        "price": row.case.price,
        "currency": row.case.currency,
        "figures": {name: _number(value) for name, value in row.figures.items()},
        "threshold_below_lowest_speed": row.figures.get("threshold") == -math.inf,
        "exceeded": {name: list(span) for name, span in row.exceeded.items()},
        "unsteady": {reason: list(span) for reason, span in row.unsteady.items()},
        "asked": list(row.asked),
        "reason": row.reason,
    }


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None
