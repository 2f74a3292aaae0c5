"""A prediction with bands as CSV: behind every quantity its low, middle and high."""

from __future__ import annotations

import csv
import io
import math

from boostwright.report.display import in_shown_unit, shown
from boostwright.report.prediction_csv import prediction_csv
from boostwright.tasks.bands_result import BandedPrediction

__all__ = ["bands_csv"]


def _cell(value: float) -> str:
    return f"{value:.9g}" if math.isfinite(value) else ""


def bands_csv(banded: BandedPrediction) -> str:
    """The prediction's CSV with columns added at its end: ``NAME_5``, ``NAME_50`` and ``NAME_95`` of every quantity, in
    the unit of NAME, and ``steady_share`` in per cent of the samples."""
    rows = list(csv.reader(io.StringIO(prediction_csv(banded.prediction))))
    for name, band in banded.bands.items():
        if name == "engine_speed":
            continue
        how = shown(name, band.unit)
        for suffix, values in (("5", band.low), ("50", band.middle), ("95", band.high)):
            rows[0].append(f"{name}_{suffix}")
            rows[1].append(how.label)
            for row, value in zip(rows[2:], in_shown_unit(values, how), strict=True):
                row.append(_cell(float(value)))
    rows[0].append("steady_share")
    rows[1].append("% of samples")
    for row, share in zip(rows[2:], banded.steady_share, strict=True):
        row.append(_cell(100.0 * float(share)))
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue()
