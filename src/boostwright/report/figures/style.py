"""How every picture looks: inks differ in lightness as well as hue, lines in dash and marker.

A reader without colour vision, or with a grey print, tells the lines apart by dash, marker and lightness. The
inks were mixed for this package; their lightness (CIE L*, worked out in the test of this file) is at least 12
apart.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure

__all__ = [
    "FAINT",
    "HATCHES",
    "INKS",
    "PAPER",
    "Line",
    "drawing_style",
    "head_figure",
    "label_axes",
    "line_of",
    "new_figure",
]

PAPER = "#ffffff"
FAINT = "#c9cdd2"
# dark slate, brick, steel: L* about 17, 39, 58
INKS = ("#1d2b3a", "#9a3b26", "#6f93a6")
HATCHES = ("///", "...", "\\\\\\", "xx", "--", "++", "oo", "||", "**", "OO", "//..", "\\\\--")
_DASHES = ("solid", (0, (6, 2.2)), (0, (1.6, 1.6)))
_MARKERS = ("o", "s", "^")
_TITLE_WIDTH = 92
_SETTINGS: dict[Any, Any] = {
    "font.family": "DejaVu Sans",
    "font.size": 9.0,
    "axes.titlesize": 10.0,
    "axes.labelsize": 9.0,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.edgecolor": INKS[0],
    "axes.labelcolor": INKS[0],
    "axes.grid": True,
    "grid.color": FAINT,
    "grid.linewidth": 0.5,
    "xtick.color": INKS[0],
    "ytick.color": INKS[0],
    "text.color": INKS[0],
    "legend.frameon": False,
    "legend.fontsize": 8.5,
    "hatch.linewidth": 0.6,
    "figure.facecolor": PAPER,
    "svg.hashsalt": "boostwright",
    "svg.fonttype": "path",
}


@dataclass(frozen=True)
class Line:
    """Ink, dash and marker of one curve."""

    color: str
    linestyle: str | tuple[float, tuple[float, ...]]
    marker: str


def line_of(index: int) -> Line:
    """The look of curve number ``index`` (from 0) in a panel; a panel holds at most three."""
    return Line(INKS[index % 3], _DASHES[index % 3], _MARKERS[index % 3])


@contextmanager
def drawing_style() -> Iterator[None]:
    """Settings for the pictures drawn inside; the caller's own settings come back afterwards."""
    with matplotlib.rc_context(_SETTINGS):
        yield


def new_figure(width: float, height: float) -> Figure:
    """An empty figure, sizes in inches, belonging to no window system."""
    return Figure(figsize=(width, height), layout="constrained")


def head_figure(figure: Figure, title: str) -> None:
    """Put the title over the figure, in two lines at the most; a longer one ends in dots."""
    lines = textwrap.wrap(title, _TITLE_WIDTH, max_lines=2, placeholder=" ...")
    figure.suptitle("\n".join(lines), fontsize=10.5, ha="left", x=0.02)


def label_axes(axes: Axes, horizontal: str, vertical: str) -> None:
    """Name both axes; each text carries quantity, unit and, where the quantity has one, its basis."""
    axes.set_xlabel(horizontal)
    axes.set_ylabel(vertical)
