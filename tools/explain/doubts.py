"""Picture of the page on uncertainty: the three spreads, and the torque of the example with its band."""

from __future__ import annotations

from importlib.metadata import version
from pathlib import Path

import numpy as np
from scipy import stats

from boostwright.solve.uncertainty.distribution import Distribution
from boostwright.tasks.uncertainty import predict_bands
from tools.explain.sheet import Sheet

__all__ = ["uncertainty"]

EXAMPLE = Path(__file__).parents[2] / "examples" / "hill_climb_estate"
RPM = np.pi / 30.0
SPREADS = {
    "normal": stats.norm(scale=0.5),
    "uniform": stats.uniform(-1.0, 2.0),
    "triangular": stats.triang(0.5, -1.0, 2.0),
}


def uncertainty() -> Sheet:
    """Quantiles of the spreads beside a reference library, and a band."""
    sheet = Sheet(2, height=3.6)
    share, marked = np.linspace(0.005, 0.995, 199), np.linspace(0.05, 0.95, 7)
    library = f"scipy {version('scipy')}"
    for index, (shape, reference) in enumerate(SPREADS.items()):
        ends = () if shape == "normal" else (-1.0, 1.0)
        sheet.line(0, index, 100.0 * share, Distribution(shape, *ends).quantile(share), shape)
        sheet.library_points(0, 100.0 * marked, reference.ppf(marked), library, index)
    sheet.finish(0, "share of the draws below, %", "shift, widths of the band", ylim=(-1.4, 1.4))
    found = predict_bands(EXAMPLE, samples=400, seed=1)
    rpm, band = found.prediction.speeds / RPM, found.bands["torque"]
    sheet.line(1, 0, rpm, found.prediction["torque"], "nominal")
    sheet.line(1, 1, rpm, band.low, "5 % of the samples lie below")
    sheet.line(1, 2, rpm, band.high, "5 % lie above")
    sheet.finish(1, "engine speed, 1/min", "torque, Nm", ylim=(0.0, 450.0))
    return sheet
