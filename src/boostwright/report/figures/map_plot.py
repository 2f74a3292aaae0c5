"""The operating line on the compressor map."""

from __future__ import annotations

from dataclasses import dataclass

import matplotlib.patheffects as patheffects
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from boostwright.report.figures.style import INKS, PAPER, head_figure, label_axes, new_figure

__all__ = ["MapPicture", "MarkedPoint", "draw_map_picture"]

_Array = NDArray[np.float64]
_HALO = [patheffects.withStroke(linewidth=2.6, foreground=PAPER)]
_BELOW_PEAK = (
    0,
    2,
    4,
    7,
    11,
    16,
    25,
)  # efficiency points below the best whole point: islands wide where it is flat
_LIGHTEST, _DARKEST = 0.985, 0.78
_CLEAR_ACROSS, _CLEAR_UP = 0.055, 0.035  # room a label needs, in shares of the plot


@dataclass(frozen=True)
class MarkedPoint:
    """One operating point worth pointing out: its index in the sweep, the marker, and what it is in words."""

    index: int
    marker: str
    label: str


@dataclass(frozen=True)
class MapPicture:
    """Everything on the map plot; flows in the unit that ``horizontal`` names.

    name, title, horizontal, vertical   file name, heading, axis labels with unit and basis
    line_labels                         (k,) corrected speed of each line as text
    line_measured                       (k,) True for a line of the card, False for one extrapolated from them
    flow, pressure_ratio, efficiency    (k, m) the lines, from surge to choke; nan where a line ends
    surge_flow, surge_pressure_ratio    (s,) the surge line
    choke_flow, choke_pressure_ratio    (c,) the ends of the lines on the choke side
    measured_flow, measured_pressure_ratio  (p,) the points the map was read from
    point_flow, point_pressure_ratio    (n,) the operating points, nan where there is none
    point_labels                        (n,) engine speed as text
    marked                              points to point out, such as the least margins
    notes                               lines under the plot: source of the map, reference condition
    """

    name: str
    title: str
    horizontal: str
    vertical: str
    line_labels: tuple[str, ...]
    line_measured: tuple[bool, ...]
    flow: _Array
    pressure_ratio: _Array
    efficiency: _Array
    surge_flow: _Array
    surge_pressure_ratio: _Array
    choke_flow: _Array
    choke_pressure_ratio: _Array
    measured_flow: _Array
    measured_pressure_ratio: _Array
    point_flow: _Array
    point_pressure_ratio: _Array
    point_labels: tuple[str, ...]
    marked: tuple[MarkedPoint, ...]
    notes: tuple[str, ...]


def _draw_islands(axes: Axes, picture: MapPicture) -> None:
    """Efficiency as bands of light grey with named edges; the lines of the map themselves are the grid."""
    finite = np.isfinite(picture.efficiency)
    if picture.efficiency.shape[0] < 2 or not finite.any():
        return
    best = np.ceil(float(np.nanmax(picture.efficiency)) * 100) - 1
    levels = [(best - below) / 100 for below in reversed(_BELOW_PEAK) if best - below > 0]
    if not levels:
        return
    efficiency = np.where(finite, picture.efficiency, 0.0)
    # the better the efficiency, the darker the grey: the order stays readable without colour
    greys = [str(grey) for grey in np.linspace(_LIGHTEST, _DARKEST, len(levels))]
    axes.contourf(
        picture.flow, picture.pressure_ratio, efficiency, levels=[*levels, 1.0], colors=greys, zorder=0.5
    )
    contours = axes.contour(
        picture.flow,
        picture.pressure_ratio,
        efficiency,
        levels=levels,
        colors=INKS[2],
        linewidths=0.6,
        zorder=1,
    )
    axes.clabel(contours, fmt=lambda value: f"{value * 100:.0f} %", fontsize=6.5)


def _draw_lines(axes: Axes, picture: MapPicture) -> None:
    unmeasured = (
        "speed line, extrapolated" if any(picture.line_measured) else "speed line, nobody measured it"
    )
    for index, label in enumerate(picture.line_labels):
        measured = picture.line_measured[index]
        first_of_them = not measured and index == picture.line_measured.index(False)
        axes.plot(
            picture.flow[index],
            picture.pressure_ratio[index],
            color=INKS[0],
            linewidth=0.9 if measured else 0.6,
            linestyle="solid" if measured else (0, (4, 3)),
            label=unmeasured if first_of_them else "",
            zorder=2,
        )
        last = np.flatnonzero(np.isfinite(picture.pressure_ratio[index]))
        if len(last):
            axes.annotate(
                label,
                xy=(picture.flow[index][last[-1]], picture.pressure_ratio[index][last[-1]]),
                xytext=(3, -2),
                textcoords="offset points",
                fontsize=6.5,
                va="top",
                path_effects=_HALO,
                zorder=5,
            )
    axes.plot(
        picture.measured_flow,
        picture.measured_pressure_ratio,
        linestyle="none",
        marker="+",
        markersize=4,
        color=INKS[2],
        label="points of the card" if picture.measured_flow.size else "",
        zorder=2.5,
    )
    axes.plot(
        picture.surge_flow,
        picture.surge_pressure_ratio,
        color=INKS[0],
        linewidth=2.2,
        label="surge line",
        zorder=3,
    )
    if len(picture.choke_flow):
        axes.plot(
            picture.choke_flow,
            picture.choke_pressure_ratio,
            color=INKS[0],
            linewidth=1.6,
            linestyle=(0, (1, 1.2)),
            label="choke",
            zorder=3,
        )


def _labelled(axes: Axes, flow: _Array, ratio: _Array) -> list[int]:
    """The operating points that get their engine speed written beside them: each stands clear of the last."""
    width = axes.get_xlim()[1] - axes.get_xlim()[0]
    height = axes.get_ylim()[1] - axes.get_ylim()[0]
    chosen: list[int] = []
    for index in np.flatnonzero(np.isfinite(flow) & np.isfinite(ratio)):
        last = chosen[-1] if chosen else None
        if last is None or (
            abs(flow[index] - flow[last]) > _CLEAR_ACROSS * width
            or abs(ratio[index] - ratio[last]) > _CLEAR_UP * height
        ):
            chosen.append(int(index))
    return chosen


def _draw_operating_line(axes: Axes, picture: MapPicture) -> None:
    axes.plot(
        picture.point_flow,
        picture.point_pressure_ratio,
        color=INKS[1],
        linewidth=1.8,
        marker="o",
        markersize=4.5,
        markerfacecolor=PAPER,
        markeredgecolor=INKS[1],
        label="operating line, labelled with engine speed",
        zorder=6,
    )
    for index in _labelled(axes, picture.point_flow, picture.point_pressure_ratio):
        axes.annotate(
            picture.point_labels[index],
            xy=(picture.point_flow[index], picture.point_pressure_ratio[index]),
            xytext=(-5, 5),
            textcoords="offset points",
            fontsize=7.5,
            color=INKS[1],
            ha="right",
            path_effects=_HALO,
            zorder=7,
        )
    for point in picture.marked:
        axes.plot(
            picture.point_flow[point.index],
            picture.point_pressure_ratio[point.index],
            linestyle="none",
            marker=point.marker,
            markersize=8,
            color=INKS[1],
            label=point.label,
            zorder=6.5,
        )


def _frame(axes: Axes, picture: MapPicture) -> None:
    """Room for every line and point and for the speed at the end of each line; below 1 only where needed."""
    finite = np.isfinite(picture.pressure_ratio) & np.isfinite(picture.flow)
    flows = np.concatenate((picture.flow[finite], picture.point_flow[np.isfinite(picture.point_flow)]))
    ratios = picture.point_pressure_ratio[np.isfinite(picture.point_pressure_ratio)]
    bottom = min(1.0, float(ratios.min())) if len(ratios) else 1.0
    top = max(float(picture.pressure_ratio[finite].max()), float(ratios.max()) if len(ratios) else 1.0)
    axes.set_xlim(0, float(flows.max()) * 1.1)
    axes.set_ylim(bottom - 0.03 * (top - bottom), top + 0.06 * (top - bottom))


def draw_map_picture(picture: MapPicture) -> Figure:
    """Draw the map and the operating line. Returns a figure that can be saved."""
    figure = new_figure(7.6, 7.0)
    axes = figure.subplots()
    axes.grid(False)
    _draw_islands(axes, picture)
    _draw_lines(axes, picture)
    _frame(axes, picture)
    _draw_operating_line(axes, picture)
    label_axes(axes, picture.horizontal, picture.vertical)
    figure.legend(loc="outside lower left", ncols=2)
    head_figure(figure, picture.title)
    if picture.notes:
        axes.set_title("\n".join(picture.notes), loc="left", fontsize=7.5)
    return figure
