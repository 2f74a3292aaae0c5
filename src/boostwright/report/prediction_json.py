"""A prediction as JSON, in SI throughout; described by docs/reference/prediction.schema.json."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from typing import Any

from boostwright import __version__
from boostwright.solve.operating_point import (
    CompressorMapPicture,
    Cylinders,
    NoSteadyState,
    Outcome,
    Prediction,
    Values,
)

__all__ = ["SCHEMA_VERSION", "document_json", "prediction_document", "prediction_json"]

SCHEMA_VERSION = 1
"""Goes up by one when a reader of the old form would misread the new one."""


def _number(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def _numbers(values: Iterable[float]) -> list[float | None]:
    return [_number(value) for value in values]


def _unit(unit: str) -> str:
    """The unit as the file writes it: a plain number has the unit 1."""
    return "1" if unit in ("", "-") else unit


def _quantity(values: Values) -> dict[str, Any]:
    entry: dict[str, Any] = {"name": values.name, "unit": _unit(values.unit)}
    if values.words:
        entry["words"] = values.words
    if values.basis:
        entry["basis"] = values.basis
    return {**entry, "values": _numbers(values.values)}


def _quantities(quantities: Mapping[str, Values]) -> dict[str, Any]:
    return {name: _quantity(values) for name, values in quantities.items()}


def _outcome(outcome: Outcome) -> dict[str, Any]:
    """The same keys for every point, so that a reader needs no case for the missing ones."""
    if isinstance(outcome, NoSteadyState):
        return {
            "solved": False,
            "residual": None,
            "reason": outcome.reason,
            "nearest_limit": outcome.nearest_limit,
            "message": outcome.message,
        }
    residual = _number(outcome.residual)
    return {"solved": True, "residual": residual, "reason": None, "nearest_limit": None, "message": None}


def _along_the_sweep(prediction: Prediction) -> dict[str, Any]:
    """What there is one of at every point, beside the quantities."""
    return {
        "outcomes": [_outcome(outcome) for outcome in prediction.outcomes],
        "binding_limit": [
            code if solved else None
            for code, solved in zip(prediction.binding_limit, prediction.solved, strict=True)
        ],
        "flags": [
            [{"code": flag.code, "severity": flag.severity, "message": flag.message} for flag in flags]
            for flags in prediction.flags
        ],
        "limits": [
            {
                "name": limit.name,
                "quantity": limit.quantity,
                "words": limit.words,
                "unit": _unit(limit.unit),
                "source": limit.source,
                "limit": _numbers(limit.limit),
                "utilisation": _numbers(limit.utilisation),
                "margin": limit.margin,
                "margin_is": limit.margin_is,
                "status": limit.status,
            }
            for limit in prediction.limits
        ],
        "gases": {
            stream: {species: _numbers(share) for species, share in shares.items()}
            for stream, shares in prediction.gases.items()
        },
    }


def _about_the_sweep(prediction: Prediction) -> dict[str, Any]:
    """What there is one of for the whole sweep."""
    return {
        "remarks": [
            {
                "code": remark.code,
                "message": remark.message,
                "value": None if remark.value is None else _number(remark.value),
                "unit": remark.unit,
                "status": remark.status,
            }
            for remark in prediction.remarks
        ],
        "constants": _quantities(prediction.constants),
        "choices": [
            {
                "what": choice.what,
                "name": choice.name,
                "place": choice.place,
                "status": choice.status,
                "source": choice.source,
            }
            for choice in prediction.choices
        ],
        "defaults_used": [
            {"key": key, "value": value, "status": status} for key, value, status in prediction.defaults_used
        ],
        "warnings": list(prediction.warnings),
        "cautions": list(prediction.cautions),
    }


def _cylinders(cylinders: Cylinders) -> dict[str, Any]:
    """The cylinders apart: shares, then every quantity with a list of values for each cylinder."""
    return {
        "count": len(cylinders.air_share),
        "air_share": _numbers(cylinders.air_share),
        "fuel_share": _numbers(cylinders.fuel_share),
        "phasing_offset": _numbers(cylinders.phasing_offset),
        "quantities": {
            name: {
                "name": name,
                "unit": _unit(values.unit),
                "words": values.words,
                **({"basis": values.basis} if values.basis else {}),
                "values": [_numbers(row) for row in values.values],
            }
            for name, values in cylinders.quantities.items()
        },
    }


def _map(card: CompressorMapPicture) -> dict[str, Any]:
    """The compressor's map: one row a speed line, from surge to choke; the surge line; the card's own points."""
    rows = {"flow": card.flow, "pressure_ratio": card.pressure_ratio, "efficiency": card.efficiency}
    lists = {
        "speeds_corrected": card.speeds_corrected,
        "surge_flow": card.surge_flow,
        "surge_pressure_ratio": card.surge_pressure_ratio,
        "measured_flow": card.measured_flow,
        "measured_pressure_ratio": card.measured_pressure_ratio,
        "measured_efficiency": card.measured_efficiency,
        "measured_speed": card.measured_speed,
    }
    return {
        "name": card.name,
        "reference": card.reference,
        **{name: [_numbers(row) for row in grid] for name, grid in rows.items()},
        **{name: _numbers(values) for name, values in lists.items()},
    }


def prediction_document(prediction: Prediction) -> dict[str, Any]:
    """The prediction as plain dicts, lists, texts, numbers and None; sweeps are lists of one length."""
    return {
        "program": "boostwright",
        "version": __version__,
        "schema_version": SCHEMA_VERSION,
        "build": prediction.name,
        "mode": prediction.mode,
        "settings": list(prediction.settings),
        "quantities": _quantities(prediction.quantities),
        **_along_the_sweep(prediction),
        **({"cylinders": _cylinders(prediction.cylinders)} if prediction.cylinders else {}),
        **({"compressor_map": _map(prediction.compressor_map)} if prediction.compressor_map else {}),
        **_about_the_sweep(prediction),
    }


def _written(value: Any, indent: str) -> str:
    """JSON with one key a line and lists of plain values on one line, so that a sweep reads like a table."""
    deeper = indent + "  "
    if isinstance(value, dict) and value:
        inner = ",\n".join(
            f"{deeper}{json.dumps(key)}: {_written(item, deeper)}" for key, item in value.items()
        )
        return f"{{\n{inner}\n{indent}}}"
    if isinstance(value, list) and any(isinstance(item, dict | list) for item in value):
        inner = ",\n".join(f"{deeper}{json.dumps(item, allow_nan=False)}" for item in value)
        return f"[\n{inner}\n{indent}]"
    return json.dumps(value, allow_nan=False)


def document_json(document: dict[str, Any]) -> str:
    """A document of plain dicts, lists, texts, numbers and None as text that ends with a newline."""
    return _written(document, "") + "\n"


def prediction_json(prediction: Prediction) -> str:
    """The document as text that ends with a newline; never a NaN, a missing value is null."""
    return document_json(prediction_document(prediction))
