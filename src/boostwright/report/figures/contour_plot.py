"""A map of one figure over two keys: labelled contours on shaded ground, with a mark where the cases lie."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LinearSegmentedColormap
from matplotlib.figure import Figure
from numpy.typing import NDArray

from boostwright.report.figures.style import INKS, PAPER, head_figure, label_axes, new_figure

__all__ = ["ContourPanel", "draw_contours"]

_LEVELS = 9


@dataclass(frozen=True)
class ContourPanel:
    """One figure: words with unit and basis, and (rows, columns) its values over both axes, nan where there is none."""

    words: str
    values: NDArray[np.float64]


def _draw(axes: Axes, panel: ContourPanel, x: NDArray[np.float64], y: NDArray[np.float64]) -> None:
    values = np.ma.masked_invalid(panel.values)
    shades = LinearSegmentedColormap.from_list("paper to steel", [PAPER, INKS[2]])
    axes.set_title(panel.words, loc="left")
    across, up = np.meshgrid(x, y)
    if values.count() and float(np.ptp(values.compressed())) > 0.0:
        axes.contourf(x, y, values, levels=_LEVELS, cmap=shades)
        lines = axes.contour(x, y, values, levels=_LEVELS, colors=INKS[0], linewidths=0.8)
        axes.clabel(lines, fontsize=7.5, fmt="%g")
    else:
        axes.text(0.5, 0.5, "the same everywhere, or no value", ha="center", transform=axes.transAxes)
    there = ~np.ma.getmaskarray(values)
    axes.plot(across[there], up[there], ".", color=INKS[0], markersize=3.0)
    axes.plot(across[~there], up[~there], "x", color=INKS[1], markersize=5.0)


def draw_contours(
    title: str,
    horizontal: str,
    vertical: str,
    x: NDArray[np.float64],
    y: NDArray[np.float64],
    panels: tuple[ContourPanel, ...],
) -> Figure:
    """Draw maps over the same two keys: x (columns,), y (rows,), both rising."""
    rows = (len(panels) + 1) // 2
    figure = new_figure(10.0, 1.0 + 3.6 * rows)
    grid = figure.subplots(rows, 2, squeeze=False, sharex=True, sharey=True)
    for index, axes in enumerate(grid.flat):
        if index >= len(panels):
            axes.set_visible(False)
            continue
        _draw(axes, panels[index], x, y)
        label_axes(axes, horizontal if index >= len(panels) - 2 else "", vertical if index % 2 == 0 else "")
    head_figure(figure, title)
    return figure
