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
_WORD, _DIGITS = 0.05, 0.02  # of the time drawn, between two pulls: room for "pull 12", for "12"
_FEWEST = 4  # values in the pulls that set an axis
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
    """One strip: its axis with unit and basis, and up to three lines.

    framed_by_pulls  the axis reaches as far as the values in the pulls: what else is drawn may run out of it
    """

    vertical: str
    lines: tuple[StripLine, ...]
    framed_by_pulls: bool = False


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
        _draw(axes, strip, picture.pulls)
        for begin, end in picture.pulls:
            axes.axvspan(begin, end, color=FAINT, alpha=0.45, linewidth=0.0, zorder=0)
    _number(grid[0], picture.pulls)
    grid[-1].set_xlabel("time, s on the log's clock")
    head_figure(figure, picture.title)
    return figure


def _number(axes: Axes, pulls: tuple[tuple[float, float], ...]) -> None:
    """Which pull is which, above the first strip; without the word, and in two rows, where they lie close together."""
    if not pulls:
        return
    middles = np.array([0.5 * (begin + end) for begin, end in pulls])
    left, right = axes.get_xlim()
    apart = float(np.min(np.diff(np.sort(middles)), initial=np.inf)) / (right - left)
    for number, middle in enumerate(middles, 1):
        word = f"pull {number}" if apart > _WORD or len(pulls) == 1 else str(number)
        raised = 9.0 if apart < _DIGITS and number % 2 == 0 else 0.0
        axes.annotate(
            word,
            xy=(float(middle), 1.0),
            xycoords=("data", "axes fraction"),
            xytext=(0.0, 2.0 + raised),
            textcoords="offset points",
            ha="center",
            fontsize=7.0,
        )


def _framing(strip: Strip, pulls: tuple[tuple[float, float], ...]) -> list[Array]:
    """Values that the axis is to show."""
    if strip.framed_by_pulls:
        inside = [
            line.value[(line.time >= begin) & (line.time <= end)]
            for line in strip.lines
            for begin, end in pulls
        ]
        if sum(int(np.isfinite(one).sum()) for one in inside) >= _FEWEST:
            return inside
    return [line.value for line in strip.lines]


def _draw(axes: Axes, strip: Strip, pulls: tuple[tuple[float, float], ...]) -> None:
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
    frame_by_values(axes, _framing(strip, pulls))
    label_axes(axes, "", strip.vertical)
    axes.yaxis.label.set_fontsize(7.5)
    if len(strip.lines) > 1:
        axes.legend(loc="lower right", bbox_to_anchor=(1.0, 1.0), borderaxespad=0.1, fontsize=7.0, ncols=3)
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
