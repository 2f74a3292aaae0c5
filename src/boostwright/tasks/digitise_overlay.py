"""What is drawn over the picture of a reading: the lines as they run through the points, the fitted surface, misses."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.digitise.axes import AxesFit
from boostwright.cards.digitise.compressor import CompressorReading
from boostwright.cards.digitise.lines import smooth_curve, without_repeats
from boostwright.cards.digitise.session import Session, axes_of
from boostwright.tasks.digitise import Digitised

__all__ = ["Overlay", "SurfaceOverlay", "axes_grid", "overlay_of", "overlay_of_result"]

Array = NDArray[np.float64]

_EVERY = 2


@dataclass(frozen=True)
class SurfaceOverlay:
    """The fitted efficiency over the picture.

    pixels      (a, b, 2) places of a net: a along the speed lines, b from line to line
    efficiency  (a, b) fitted there
    levels      (n,) of the islands that were marked
    """

    pixels: Array
    efficiency: Array
    levels: Array


@dataclass(frozen=True)
class Overlay:
    """What is drawn.

    curves   number of the stroke, counted from 1 -> (n, 2) [pixels] smooth curve through its points
    surface  the fitted efficiency; None where there is none
    grid     (2, m, k, 2) [pixels] lines of equal value of both axes over the marks, to see whether the axes fit
    """

    curves: dict[int, Array]
    surface: SurfaceOverlay | None
    grid: list[Array]


def overlay_of(session: Session, axes: AxesFit, reading: CompressorReading | None = None) -> Overlay:
    """What is drawn over the picture of a reading.

    axes     as found
    reading  of a compressor; None for a curve
    """
    curves = {}
    for i, stroke in enumerate(session.strokes, start=1):
        points = without_repeats(stroke.points, stroke.closed)
        if len(points) > 1:
            curves[i] = smooth_curve(points, stroke.closed, 8)[0]
    surface = None
    if reading is not None:
        net = reading.efficiency.net
        inside = np.flatnonzero((net.share >= -1e-9) & (net.share <= 1.0 + 1e-9))[::_EVERY]
        across = np.flatnonzero((net.level >= -1e-9) & (net.level <= 1.0 + 1e-9))[::_EVERY]
        share, level = np.meshgrid(net.share[inside], net.level[across], indexing="ij")
        fitted = reading.efficiency.at(np.column_stack([share.ravel(), level.ravel()]))
        levels = np.unique([island.value for island in reading.islands])
        surface = SurfaceOverlay(net.pixels[np.ix_(inside, across)], fitted.reshape(share.shape), levels)
    return Overlay(curves, surface, axes_grid(session, axes))


def overlay_of_result(result: Digitised) -> Overlay:
    """What is drawn over the picture of a reading that was worked out."""
    found = result.compressor or result.turbine or result.curves
    axes = found.axes if found is not None else axes_of(result.session)
    return overlay_of(result.session, axes, result.compressor)


def axes_grid(session: Session, axes: AxesFit) -> list[Array]:
    """Lines (k, 2) [pixels] of equal value of x and of y over the stretch of the marks, ten meshes each way."""
    known = [
        np.array([v for v in values if v is not None])
        for values in zip(*((m.x, m.y) for m in session.marks), strict=True)
    ]
    ends = [(float(v.min()), float(v.max())) for v in known]
    steps = []
    for (low, high), log in zip(ends, axes.log, strict=True):
        steps.append(np.geomspace(low, high, 11) if log else np.linspace(low, high, 11))
    lines = []
    for x in steps[0]:
        lines.append(axes.pixels(np.column_stack([np.full(11, x), steps[1]])))
    for y in steps[1]:
        lines.append(axes.pixels(np.column_stack([steps[0], np.full(11, y)])))
    return lines
