"""Strips over time: a channel or quantity a strip, its band shaded, pulls marked across all of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from boostwright.report.figures.log_frame import frame_by_values
from boostwright.report.figures.style import FAINT, INKS, head_figure, label_axes, line_of, new_figure

__all__ = ["Strip", "StripLine", "StripPicture", "draw_strips"]

Array = NDArray[np.float64]

_COLUMNS = 1600  # more rows than that are drawn as the least and the most of each column
_FEW = 60  # samples up to which each is marked


@dataclass(frozen=True, eq=False)
class StripLine:
    """One line: what it is, time [s] and value (n,) in the strip's unit, and the ends of its band."""

    label: str
    time: Array
    value: Array
    low: Array
    high: Array


@dataclass(frozen=True)
class Strip:
    """One strip: its axis with unit and basis, and up to three lines."""

    vertical: str
    lines: tuple[StripLine, ...]


@dataclass(frozen=True)
class StripPicture:
    """All strips. name: file name; title; pulls: (begin, end) [s] to mark, numbered from 1."""

    name: str
    title: str
    strips: tuple[Strip, ...]
    pulls: tuple[tuple[float, float], ...]


def draw_strips(picture: StripPicture) -> Figure:
    """Draw the strips. Returns a figure that can be saved."""
    count = len(picture.strips)
    figure = new_figure(9.6, 1.2 + 1.45 * count)
    grid = figure.subplots(count, 1, sharex=True, squeeze=False)[:, 0]
    for axes, strip in zip(grid, picture.strips, strict=True):
        _draw(axes, strip)
        for begin, end in picture.pulls:
            axes.axvspan(begin, end, color=FAINT, alpha=0.45, linewidth=0.0, zorder=0)
    for number, (begin, end) in enumerate(picture.pulls, 1):
        grid[0].annotate(
            f"pull {number}",
            xy=(0.5 * (begin + end), 1.0),
            xycoords=("data", "axes fraction"),
            xytext=(0, 2),
            textcoords="offset points",
            ha="center",
            fontsize=7.0,
        )
    grid[-1].set_xlabel("time, s on the log's clock")
    head_figure(figure, picture.title)
    return figure


def _draw(axes: Axes, strip: Strip) -> None:
    for index, line in enumerate(strip.lines):
        look = line_of(index)
        time, value, low, high = _thinned(line)
        few = np.isfinite(value).sum() <= _FEW
        axes.fill_between(time, low, high, color=look.color, alpha=0.18, linewidth=0.0)
        axes.plot(
            time,
            value,
            color=look.color,
            linestyle=look.linestyle,
            linewidth=1.0,
            marker=look.marker if few else "",
            markersize=2.6,
            label=line.label,
        )
    frame_by_values(axes, [line.value for line in strip.lines])
    label_axes(axes, "", strip.vertical)
    axes.yaxis.label.set_fontsize(7.5)
    if len(strip.lines) > 1:
        axes.legend(loc="upper left", fontsize=7.0, ncols=3)
    if not any(np.isfinite(line.value).any() for line in strip.lines):
        axes.text(0.5, 0.5, "no value", ha="center", va="center", transform=axes.transAxes, color=INKS[0])


def _thinned(line: StripLine) -> tuple[Array, Array, Array, Array]:
    """Least and most of each column of the picture, where there are more rows than can be told apart."""
    n = line.time.size
    if n <= 2 * _COLUMNS:
        return line.time, line.value, line.low, line.high
    width = int(np.ceil(n / _COLUMNS))
    starts = np.arange(0, n, width)
    filled = np.where(np.isfinite(line.value), line.value, np.nan)
    rows = _ends(filled, starts)
    return line.time[rows], line.value[rows], line.low[rows], line.high[rows]


def _ends(value: Array, starts: Sequence[int] | NDArray[np.intp]) -> NDArray[np.intp]:
    """Rows of the least and the most between starts, in their order."""
    edges = [*starts, value.size]
    found = []
    for begin, end in pairwise(edges):
        piece = value[begin:end]
        if np.isfinite(piece).any():
            found += sorted({begin + int(np.nanargmin(piece)), begin + int(np.nanargmax(piece))})
        else:
            found.append(int(begin))
    return np.array(found, dtype=np.intp)
