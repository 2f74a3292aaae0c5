"""A tornado: how far each key moves a figure at its low and at its high end, a panel a figure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Patch
from numpy.typing import NDArray

from boostwright.report.figures.style import FAINT, HATCHES, INKS, PAPER, head_figure, label_axes, new_figure

__all__ = ["TornadoPanel", "draw_tornado"]

_BARS = 0.36


@dataclass(frozen=True)
class TornadoPanel:
    """One figure: its axis with unit and basis, its value now, and (k,) its values at the low and high ends.

    nan where there is none.
    """

    horizontal: str
    now: float
    low: NDArray[np.float64]
    high: NDArray[np.float64]


def _draw(axes: Axes, panel: TornadoPanel, names: tuple[str, ...]) -> None:
    rows = np.arange(len(names))
    now = panel.now if np.isfinite(panel.now) else float(np.nanmean([*panel.low, *panel.high, 0.0]))
    for values, shift, color, hatch in (
        (panel.low, -0.5 * _BARS, PAPER, HATCHES[0]),
        (panel.high, 0.5 * _BARS, INKS[2], ""),
    ):
        width = np.nan_to_num(values - now)
        axes.barh(
            rows + shift, width, _BARS, left=now, color=color, edgecolor=INKS[0], hatch=hatch, linewidth=0.8
        )
        for row in np.flatnonzero(~np.isfinite(values)):
            axes.text(now, row + shift, " no value", va="center", fontsize=7.5)
    axes.axvline(now, color=INKS[0], linewidth=0.9)
    axes.set_yticks(rows, names)
    axes.grid(axis="y", visible=False)
    axes.grid(axis="x", color=FAINT)
    label_axes(axes, panel.horizontal, "")


def draw_tornado(title: str, names: tuple[str, ...], panels: tuple[TornadoPanel, ...]) -> Figure:
    """Draw the tornado; ``names`` (k,) label the bars from the top."""
    figure = new_figure(11.0, max(4.2, 2.0 + 0.55 * len(names) * ((len(panels) + 1) // 2)))
    grid = figure.subplots((len(panels) + 1) // 2, 2, sharey=True, squeeze=False)
    for axes, panel in zip(grid.flat, panels, strict=False):
        _draw(axes, panel, names)
    grid[0, 0].invert_yaxis()  # shared: the strongest stands on top in all of them
    for axes in list(grid.flat)[len(panels) :]:
        axes.set_visible(False)
    handles = [
        Patch(facecolor=PAPER, edgecolor=INKS[0], hatch=HATCHES[0], label="low end"),
        Patch(facecolor=INKS[2], edgecolor=INKS[0], label="high end"),
    ]
    figure.legend(handles=handles, loc="outside lower right", ncols=2)
    head_figure(figure, title)
    return figure
