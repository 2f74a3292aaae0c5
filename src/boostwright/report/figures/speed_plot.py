"""A plot against engine speed: panels above each other, and under them the strip that names what binds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import cycle

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from boostwright.report.figures.limit_strip import Span, draw_limit_strip
from boostwright.report.figures.style import INKS, head_figure, label_axes, line_of, new_figure

__all__ = ["Curve", "Level", "Panel", "SpeedPicture", "draw_speed_picture"]


_LEVEL_DASHES = ((0, (8, 3, 1, 3)), (0, (1, 2.5)))


@dataclass(frozen=True)
class Curve:
    """One curve: what it is, and a value a speed in the unit of its panel (nan where there is none).

    low, high  the edges of its band, None without one
    quantity   which quantity it shows
    """

    label: str
    values: NDArray[np.float64]
    low: NDArray[np.float64] | None = None
    high: NDArray[np.float64] | None = None
    quantity: str = ""


@dataclass(frozen=True)
class Level:
    """A horizontal line to compare with: a limit, or the outside air."""

    label: str
    value: float


@dataclass(frozen=True)
class Panel:
    """One pair of axes; ``vertical`` names quantity, unit and basis; the axis reaches down to ``floor``."""

    vertical: str
    curves: tuple[Curve, ...]
    levels: tuple[Level, ...] = ()
    floor: float | None = None


@dataclass(frozen=True)
class SpeedPicture:
    """Everything on one plot against speed.

    name        file name without its ending
    title       what is shown, of which build, in which mode
    horizontal  label of the speed axis with its unit
    speeds      (n,) in that unit, rising
    panels      from top to bottom
    spans       what binds, see limit_strip; the strip is left out where there are none
    """

    name: str
    title: str
    horizontal: str
    speeds: NDArray[np.float64]
    panels: tuple[Panel, ...]
    spans: tuple[Span, ...]


def _draw_panel(axes: Axes, panel: Panel, speeds: NDArray[np.float64]) -> None:
    for index, curve in enumerate(panel.curves):
        look = line_of(index)
        axes.plot(
            speeds,
            curve.values,
            color=look.color,
            linestyle=look.linestyle,
            marker=look.marker,
            markersize=3.6,
            markerfacecolor="white",
            markeredgecolor=look.color,
            linewidth=1.5,
            label=curve.label,
        )
        if curve.low is not None and curve.high is not None:
            axes.fill_between(speeds, curve.low, curve.high, color=look.color, alpha=0.18, linewidth=0.0)
    for level, dash in zip(panel.levels, cycle(_LEVEL_DASHES)):
        axes.axhline(level.value, color=INKS[0], linewidth=0.9, linestyle=dash, label=level.label)
    if not any(np.isfinite(curve.values).any() for curve in panel.curves):
        axes.text(0.5, 0.5, "no point to show", ha="center", va="center", transform=axes.transAxes)
    if panel.floor is not None:
        bottom, top = axes.get_ylim()
        axes.set_ylim(min(bottom, panel.floor), top)
    label_axes(axes, "", panel.vertical)
    axes.tick_params(labelbottom=False)
    if len(panel.curves) > 1 or panel.levels:
        axes.legend(loc="best")


def draw_speed_picture(picture: SpeedPicture) -> Figure:
    """Draw the plot. Returns a figure that can be saved; nothing is shown on a screen."""
    count = len(picture.panels)
    figure = new_figure(7.6, max(4.8, 1.7 + 2.4 * count))
    strip = 1 if picture.spans else 0
    heights: Sequence[float] = [*([6.0] * count), *([0.8] * strip)]
    grid = figure.subplots(
        count + strip, 1, sharex=True, squeeze=False, gridspec_kw={"height_ratios": heights}
    )
    all_axes = grid[:, 0]
    for axes, panel in zip(all_axes, picture.panels, strict=False):
        _draw_panel(axes, panel, picture.speeds)
    if strip:
        draw_limit_strip(all_axes[-1], picture.spans, picture.horizontal)
    else:
        all_axes[-1].tick_params(labelbottom=True)
        all_axes[-1].set_xlabel(picture.horizontal)
    head_figure(figure, picture.title)
    return figure
