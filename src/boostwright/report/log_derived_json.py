"""Derived quantities of a log as JSON: formula, band, sources, inputs, what is missing; SI throughout."""

from __future__ import annotations

import json
import math
from typing import Any

from boostwright import __version__
from boostwright.tasks.derive import Derived, DeriveResult

__all__ = ["SCHEMA_VERSION", "derived_document", "derived_json"]

SCHEMA_VERSION = 1
"""Goes up by one when a reader of the old form would misread the new one."""


def derived_json(result: DeriveResult) -> str:
    """The text of the file, with a line feed at its end."""
    return json.dumps(derived_document(result), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def derived_document(result: DeriveResult) -> dict[str, Any]:
    """The result as plain lists and tables."""
    build = result.place.build
    return {
        "schema_version": SCHEMA_VERSION,
        "program": f"boostwright {__version__}",
        "log": result.place.name,
        "part": result.place.part,
        "build": None if build is None else build.name,
        "band": 0.9,
        "pulls": [{"start": pull.start, "end": pull.end, "gear": pull.gear} for pull in result.pulls],
        "quantities": [_quantity(result, derived) for derived in result.worked.made.values()],
        "missing": [
            {
                "name": one.quantity.name,
                "unit": one.quantity.unit,
                "words": one.quantity.words,
                "formula": one.quantity.formula,
                "needs": [{"what": need.what, "remedy": need.remedy} for need in one.needs],
            }
            for one in result.worked.missing
        ],
        "air_route": result.worked.air_route,
        "agreements": [
            {
                "name": one.name,
                "difference": one.difference,
                "band": one.band,
                "rows": one.rows,
                "beyond": one.beyond,
                "words": one.words,
                "sources": [{"source": name, "share": share} for name, share in one.sources],
            }
            for one in result.agreements
        ],
        "notes": list(result.notes),
    }


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _quantity(result: DeriveResult, derived: Derived) -> dict[str, Any]:
    quantity, figure = derived.quantity, result.figures.get(derived.quantity.name)
    return {
        "name": quantity.name,
        "unit": quantity.unit,
        "words": quantity.words,
        "basis": quantity.basis,
        "formula": quantity.formula,
        "inputs": list(derived.inputs),
        "pace": derived.pace,
        "period": _number(derived.period),
        "rows": int(derived.time.size),
        "over_the_pulls": None
        if figure is None
        else {
            "median": figure.middle,
            "least": figure.least,
            "most": figure.most,
            "band": figure.band,
            "rows": figure.rows,
            "sources": [{"source": name, "share": share} for name, share in figure.sources],
        },
        "flags": [{"code": code, "words": words} for code, words in derived.result.flags.items()],
    }
