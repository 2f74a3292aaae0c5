"""A prediction with bands as JSON, in SI: the prediction's document with the key ``bands``."""

from __future__ import annotations

import math
from typing import Any

from boostwright.report.prediction_json import document_json, prediction_document
from boostwright.tasks.bands_result import LEVELS, BandedPrediction, BandValues, Doubt, Headline

__all__ = ["bands_document", "bands_json"]


def _number(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def _band(band: BandValues) -> dict[str, Any]:
    rows = {"low": band.low, "middle": band.middle, "high": band.high}
    return {"unit": band.unit or "1", **{name: [_number(v) for v in values] for name, values in rows.items()}}


def _doubt(doubt: Doubt) -> dict[str, Any]:
    spread = doubt.distribution
    return {
        "name": doubt.name,
        "words": doubt.words,
        "status": doubt.status,
        "nominal": doubt.nominal,
        "band": doubt.band,
        "shape": spread.shape,
        "source": doubt.source,
        "measure": doubt.measure,
    }


def _headline(headline: Headline) -> dict[str, Any]:
    numbers = (
        "nominal",
        "low",
        "middle",
        "high",
        "standard_deviation",
        "propagated",
        "unexplained",
        "answered",
    )
    return {
        "code": headline.code,
        "words": headline.words,
        "quantity": headline.quantity,
        "unit": headline.unit or "1",
        **{name: _number(getattr(headline, name)) for name in numbers},
        "contributors": [
            {"doubt": one.doubt.name, "share": _number(one.share), "sensitivity": _number(one.sensitivity)}
            for one in headline.contributors
        ],
    }


def bands_document(banded: BandedPrediction) -> dict[str, Any]:
    """The prediction's document with its bands, as plain dicts, lists, texts, numbers and None."""
    return {
        **prediction_document(banded.prediction),
        "bands": {
            "samples": banded.samples,
            "seed": banded.seed,
            "levels": list(LEVELS),
            "quantities": {name: _band(band) for name, band in banded.bands.items()},
            "steady_share": [float(share) for share in banded.steady_share],
            "headlines": [_headline(headline) for headline in banded.headlines],
            "doubts": [_doubt(doubt) for doubt in banded.doubts],
            "taken_as_exact": list(banded.exact),
            "notes": list(banded.notes),
        },
    }


def bands_json(banded: BandedPrediction) -> str:
    """The document as text that ends with a newline; never a NaN, a missing value is null."""
    return document_json(bands_document(banded))
