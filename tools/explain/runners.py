"""Picture of the page on cylinders apart: what a probe in a runner shows over mixture, and how near knock it is."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from boostwright.tasks.predict import predict
from tools.explain.sheet import Sheet

__all__ = ["runners_picture"]

ROOT = Path(__file__).resolve().parents[2]
RPM = np.pi / 30.0
STRENGTHS = np.linspace(0.78, 1.14, 25)
MEAN = 0.95


def runners_picture() -> Sheet:
    """The first cylinder of the hill-climb example with more and less fuel than the mean one, which has lambda 0.95."""
    sheet = Sheet(2)
    for index, speed in enumerate((3000.0, 5000.0)):
        found = np.array([_cylinder(float(strength), speed) for strength in STRENGTHS])
        sheet.line(0, index, found[:, 0], found[:, 1] - 273.15, f"{speed:.0f} 1/min")
        sheet.line(1, index, found[:, 0], found[:, 2], f"{speed:.0f} 1/min")
    sheet.finish(0, "lambda of the cylinder", "reading in its runner, degC")
    sheet.finish(1, "lambda of the cylinder", "knock integral, one spark for all")
    return sheet


def _cylinder(strength: float, speed: float) -> tuple[float, float, float]:
    """Lambda, reading [K] and knock integral; the other four share what is left, so that the mean stays."""
    share = MEAN / strength
    shares = [share, *([(5.0 - share) / 4.0] * 4)]
    settings = (f"fuel.lambda_target={MEAN}", "probe.place=runner", f"runners.fuel_share={shares}")
    found = predict(
        ROOT / "examples" / "hill_climb_estate", settings=settings, speeds=(speed * RPM,)
    ).cylinders
    if found is None:
        raise RuntimeError("no cylinders apart in this prediction")
    names = ("lambda", "egt_reading", "knock_integral")
    lam, reading, knock = (float(found.quantities[name].values[0, 0]) for name in names)
    return lam, reading, knock
