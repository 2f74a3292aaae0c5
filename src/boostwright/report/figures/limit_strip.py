"""The strip under a plot against engine speed: which limit binds where, by hatch and by name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Patch, Rectangle
from numpy.typing import NDArray

from boostwright.report.figures.style import HATCHES, INKS, PAPER

__all__ = ["Span", "draw_limit_strip", "spans_of"]

_CHARACTERS_ACROSS = 95  # of the strip's own small print, over the full width of a plot


@dataclass(frozen=True)
class Span:
    """A stretch of engine speed over which one thing binds.

    start, end  engine speed in the unit of the plot
    label       what binds, in words
    """

    start: float
    end: float
    label: str


def spans_of(speeds: NDArray[np.float64], labels: Sequence[str]) -> list[Span]:
    """Join neighbouring points with the same label.

    speeds  (n,) rising, in the unit of the plot
    labels  (n,) what binds at each
    Returns spans that meet half-way between the points; the first and last reach half a step outward, so that
    a single point has a width too.
    """
    if len(speeds) == 0:
        return []
    middles = (speeds[1:] + speeds[:-1]) / 2
    first_step = speeds[1] - speeds[0] if len(speeds) > 1 else 100.0
    last_step = speeds[-1] - speeds[-2] if len(speeds) > 1 else 100.0
    edges = np.concatenate(([speeds[0] - first_step / 2], middles, [speeds[-1] + last_step / 2]))
    spans: list[Span] = []
    for index, label in enumerate(labels):
        if spans and spans[-1].label == label:
            spans[-1] = Span(spans[-1].start, float(edges[index + 1]), label)
        else:
            spans.append(Span(float(edges[index]), float(edges[index + 1]), label))
    return spans


def draw_limit_strip(axes: Axes, spans: Sequence[Span], horizontal: str) -> None:
    """Fill ``axes`` with the spans; a span carries its label, or its number in the key where that is too long.

    axes        a flat pair of axes that shares the speed axis with the plot above
    spans       from ``spans_of``
    horizontal  label of the speed axis
    """
    labels = list(dict.fromkeys(span.label for span in spans))
    hatch = {label: HATCHES[index % len(HATCHES)] for index, label in enumerate(labels)}
    number = {label: str(index) for index, label in enumerate(labels, start=1)}
    across = (spans[-1].end - spans[0].start) if spans else 1.0
    for span in spans:
        axes.add_patch(
            Rectangle(
                (span.start, 0.0),
                span.end - span.start,
                1.0,
                facecolor=PAPER,
                edgecolor=INKS[2],
                hatch=hatch[span.label],
                linewidth=0.8,
            )
        )
        room = _CHARACTERS_ACROSS * (span.end - span.start) / across
        if room > 2:
            axes.text(
                (span.start + span.end) / 2,
                0.5,
                span.label if len(span.label) < room else number[span.label],
                ha="center",
                va="center",
                fontsize=7.5,
                bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1.5},
            )
    if spans:
        axes.set_xlim(spans[0].start, spans[-1].end)
    axes.set_ylim(0, 1)
    axes.set_yticks([])
    axes.set_ylabel("binds", rotation=0, ha="right", va="center")
    axes.grid(False)
    axes.set_xlabel(horizontal)
    axes.legend(
        handles=[
            Patch(facecolor=PAPER, edgecolor=INKS[2], hatch=hatch[label], label=f"{number[label]}  {label}")
            for label in labels
        ],
        loc="upper center",
        bbox_to_anchor=(0.5, -1.15),
        ncols=min(4, max(1, len(labels))),
        handlelength=2.6,
        handleheight=1.3,
    )
