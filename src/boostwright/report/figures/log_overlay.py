"""Pulls over engine speed on top of each other, and the prediction with its band beside them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from boostwright.report.figures.log_frame import frame_by_values
from boostwright.report.figures.style import INKS, PAPER, head_figure, label_axes, new_figure

__all__ = ["Overlay", "OverlayPanel", "OverlayPicture", "draw_overlay"]

Array = NDArray[np.float64]

_MARKS = ("o", "s", "^", "D", "v", "P", "X", "<", ">", "*")
_DASHES = ("solid", (0, (6, 2.2)), (0, (1.6, 1.6)), (0, (8, 2, 1.5, 2)))
_MARKED = 9  # markers along a curve


@dataclass(frozen=True, eq=False)
class Overlay:
    """One curve over engine speed: label, speed and value (n,), the ends of its band, whether it is predicted."""

    label: str
    speed: Array
    value: Array
    low: Array
    high: Array
    predicted: bool = False


@dataclass(frozen=True)
class OverlayPanel:
    """One panel: its axis with unit and basis, and its curves."""

    vertical: str
    curves: tuple[Overlay, ...]


@dataclass(frozen=True)
class OverlayPicture:
    """All panels. name, title, horizontal: file name, heading, axis of speed; notes: lines below the heading."""

    name: str
    title: str
    horizontal: str
    panels: tuple[OverlayPanel, ...]
    notes: tuple[str, ...] = ()


def draw_overlay(picture: OverlayPicture) -> Figure:
    """Draw the panels, two beside each other. Returns a figure that can be saved."""
    count = len(picture.panels)
    across = 1 if count == 1 else 2
    down = -(-count // across)
    figure = new_figure(5.4 * across, 1.3 + 2.7 * down)
    grid = figure.subplots(down, across, sharex=True, squeeze=False)
    for axes, panel in zip(grid.ravel(), picture.panels, strict=False):
        _draw(axes, panel)
    for axes in grid.ravel()[count:]:
        axes.set_visible(False)
    for axes in (*grid[-1], *grid.ravel()[max(count - across, 0) : count]):
        axes.set_xlabel(picture.horizontal)
        axes.tick_params(labelbottom=True)
    handles, labels = grid[0, 0].get_legend_handles_labels()
    figure.legend(handles, labels, loc="outside lower left", ncols=4)
    head_figure(figure, picture.title)
    if picture.notes:
        grid[0, 0].set_title("\n".join(picture.notes), loc="left", fontsize=7.0)
    return figure


def _draw(axes: Axes, panel: OverlayPanel) -> None:
    number = 0
    for curve in panel.curves:
        if curve.predicted:
            axes.fill_between(curve.speed, curve.low, curve.high, color=INKS[0], alpha=0.12, linewidth=0.0)
            axes.plot(curve.speed, curve.value, color=INKS[0], linewidth=2.0, label=curve.label, zorder=2)
            continue
        ink = INKS[1] if number % 2 == 0 else INKS[2]
        axes.fill_between(curve.speed, curve.low, curve.high, color=ink, alpha=0.16, linewidth=0.0)
        axes.plot(
            curve.speed,
            curve.value,
            color=ink,
            linewidth=1.1,
            linestyle=_DASHES[number % len(_DASHES)],
            marker=_MARKS[number % len(_MARKS)],
            markevery=max(1, curve.speed.size // _MARKED),
            markersize=4.0,
            markerfacecolor=PAPER,
            markeredgecolor=ink,
            label=curve.label,
            zorder=3,
        )
        number += 1
    frame_by_values(
        axes, [curve.value for curve in panel.curves], [curve.high - curve.low for curve in panel.curves]
    )
    label_axes(axes, "", panel.vertical)
    axes.yaxis.label.set_fontsize(8.0)
