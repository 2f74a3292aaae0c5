"""Logged points on the compressor's map, coloured by engine speed on a scale that grey keeps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure
from numpy.typing import NDArray

from boostwright.report.figures.map_plot import MapPicture, draw_map_picture
from boostwright.report.figures.style import INKS, PAPER

__all__ = ["SPEED_SCALE", "LoggedPoints", "draw_points_on_map"]

Array = NDArray[np.float64]

SPEED_SCALE = LinearSegmentedColormap.from_list(
    "speed", ["#16202c", "#3b3f78", "#9a3b26", "#d98c3a", "#f6e3a1"], N=256
)
"""From dark to light, mixed for this package: lightness rises all the way (its test works it out)."""
_MARKS = ("o", "s", "^", "D", "v", "P", "X", "<", ">", "*")
_BARS = 8


@dataclass(frozen=True, eq=False)
class LoggedPoints:
    """Points of one pull: label, corrected flow and pressure ratio (n,), their half bands, engine speed in rpm."""

    label: str
    flow: Array
    ratio: Array
    flow_band: Array
    ratio_band: Array
    speed: Array


def draw_points_on_map(picture: MapPicture, points: tuple[LoggedPoints, ...], scale: str) -> Figure:
    """Draw the map, the predicted line and the logged points. Returns a figure that can be saved.

    picture  the map; its operating points are the prediction's, all NaN where there is none
    scale    label of the colour scale with its unit
    """
    figure = draw_map_picture(picture)
    axes = figure.axes[0]
    for legend in list(figure.legends):
        legend.remove()
    speeds = np.concatenate([one.speed[np.isfinite(one.speed)] for one in points]) if points else np.empty(0)
    if not speeds.size:
        figure.legend(loc="outside lower left", ncols=2)
        return figure
    low, high = float(speeds.min()), float(speeds.max())
    for number, one in enumerate(points):
        drawn = _draw(axes, one, _MARKS[number % len(_MARKS)], low, high)
    bar = figure.colorbar(drawn, ax=axes, fraction=0.04, pad=0.02)
    bar.set_label(scale)
    _widen(axes, points)
    figure.legend(*axes.get_legend_handles_labels(), loc="outside lower left", ncols=3, fontsize=7.5)
    return figure


def _draw(axes: Axes, one: LoggedPoints, mark: str, low: float, high: float):  # type: ignore[no-untyped-def]
    good = np.isfinite(one.flow) & np.isfinite(one.ratio)
    chosen = np.flatnonzero(good)[:: max(1, int(good.sum()) // _BARS)]
    axes.errorbar(
        one.flow[chosen],
        one.ratio[chosen],
        xerr=one.flow_band[chosen],
        yerr=one.ratio_band[chosen],
        fmt="none",
        ecolor=INKS[0],
        elinewidth=0.7,
        capsize=1.8,
        zorder=7,
    )
    return axes.scatter(
        one.flow[good],
        one.ratio[good],
        c=one.speed[good],
        cmap=SPEED_SCALE,
        vmin=low,
        vmax=high,
        marker=mark,
        s=22,
        edgecolors=PAPER,
        linewidths=0.4,
        label=one.label,
        zorder=8,
    )


def _widen(axes: Axes, points: tuple[LoggedPoints, ...]) -> None:
    """Room for points that lie off the map."""
    flow = np.concatenate([one.flow[np.isfinite(one.flow)] for one in points])
    ratio = np.concatenate([one.ratio[np.isfinite(one.ratio)] for one in points])
    if flow.size:
        axes.set_xlim(axes.get_xlim()[0], max(axes.get_xlim()[1], 1.05 * float(flow.max())))
    if ratio.size:
        bottom, top = axes.get_ylim()
        axes.set_ylim(min(bottom, float(ratio.min()) - 0.03), max(top, float(ratio.max()) + 0.05))
