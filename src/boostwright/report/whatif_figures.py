"""The pictures of a what-if: tornado, cases side by side, and a map over two keys; as PNG and SVG.

Importing this module imports the plotting library; it is imported only when pictures were asked for.
"""

from __future__ import annotations

import io
import math
from pathlib import Path

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from boostwright.report.display import in_shown_unit, shown
from boostwright.report.figures.contour_plot import ContourPanel, draw_contours
from boostwright.report.figures.speed_plot import Curve, Panel, SpeedPicture, draw_speed_picture
from boostwright.report.figures.style import drawing_style
from boostwright.report.figures.tornado_plot import TornadoPanel, draw_tornado
from boostwright.report.files import make_output_folder, write_whole
from boostwright.report.sweep import shown_values
from boostwright.report.whatif_text import how_figure, shown_figure
from boostwright.tasks.whatif_result import TORNADO, WhatIf

__all__ = ["whatif_figures", "write_whatif_figures"]

Array = NDArray[np.float64]
_DOTS_AN_INCH = 150
_BESIDE = (
    ("pressure_im", "intake manifold pressure, kPa absolute"),
    ("torque", "torque at the crankshaft, Nm"),
    ("drive_pressure_ratio", "drive-pressure ratio, absolute"),
    ("shaft_speed", "shaft speed, rpm"),
)
_MOST_CURVES = 3  # a panel tells no more apart


def whatif_figures(found: WhatIf) -> dict[str, Figure]:
    """Every picture by the name of its file."""
    drawn: dict[str, Figure] = {}
    if found.levers:
        drawn["tornado"] = _tornado(found)
    if len(found.beside) > 1:
        drawn |= {picture.name: draw_speed_picture(picture) for picture in _side_by_side(found)}
    if found.axes:
        drawn["map"] = _map(found)
    return drawn


def write_whatif_figures(found: WhatIf, folder: Path, option: str) -> list[Path]:
    """Draw every picture into the folder; returns the files. Raises OutputError."""
    make_output_folder(folder, option)
    written = []
    with drawing_style():
        for name, figure in whatif_figures(found).items():
            for ending in ("png", "svg"):
                buffer = io.BytesIO()
                metadata = {"Software": None} if ending == "png" else {"Date": None}
                figure.savefig(buffer, format=ending, dpi=_DOTS_AN_INCH, metadata=metadata)
                path = folder / f"whatif-{name}.{ending}"
                write_whole(path, buffer.getvalue(), option)
                written.append(path)
    return written


def _label(name: str) -> str:
    how = how_figure(name)
    return ", ".join(
        part for part in (name.replace("_", " "), " ".join(filter(None, (how.unit, how.basis)))) if part
    )


def _tornado(found: WhatIf) -> Figure:
    names = tuple(f"{lever.words}\n{lever.low} .. {lever.high}" for lever in found.levers)
    panels = []
    for name in TORNADO:
        ends = [
            np.array([shown_figure(name, row.figures.get(name, math.nan)) for row in rows])
            for rows in (
                [lever.low_row for lever in found.levers],
                [lever.high_row for lever in found.levers],
            )
        ]
        now = shown_figure(name, found.rows[0].figures.get(name, math.nan))
        finite = [np.where(np.isfinite(values), values, np.nan) for values in ends]
        panels.append(TornadoPanel(_label(name), now, *finite))
    title = f"{found.name}: one key at a time, mode {found.mode}; the line is the build as it stands"
    return draw_tornado(title, names, tuple(panels))


def _side_by_side(found: WhatIf) -> list[SpeedPicture]:
    """The cases against engine speed; more than three stand in several pictures, each with the first one."""
    cases = list(found.beside)
    groups = [cases[:_MOST_CURVES]]
    rest = cases[_MOST_CURVES:]
    while rest:
        groups.append([cases[0], *rest[: _MOST_CURVES - 1]])
        rest = rest[_MOST_CURVES - 1 :]
    speeds = in_shown_unit(found.speeds, shown("engine_speed", "rad/s"))
    pictures = []
    for number, group in enumerate(groups, 1):
        panels = tuple(
            Panel(label, tuple(Curve(case, shown_values(one, name)) for case, one in group))
            for name, label in _BESIDE
        )
        name = "side-by-side" if len(groups) == 1 else f"side-by-side-{number}"
        title = f"{found.name}: cases side by side, mode {found.mode}"
        pictures.append(SpeedPicture(name, title, "engine speed, rpm", speeds, panels, ()))
    return pictures


def _map(found: WhatIf) -> Figure:
    """Figures over the two keys that were varied, in the units they were written in."""
    (_, slow_values), (_, fast_values) = found.axes
    y, x = (np.array([float(value.split()[0]) for value in values]) for values in (slow_values, fast_values))
    down, across = np.argsort(y), np.argsort(x)
    rows = found.rows[1:]
    panels = []
    for name in (found.ranked_by, *(figure for figure in TORNADO if figure != found.ranked_by)):
        values = np.array([shown_figure(name, row.figures.get(name, math.nan)) for row in rows])
        values = np.where(np.isfinite(values), values, np.nan).reshape(y.size, x.size)
        panels.append(ContourPanel(_label(name), values[down][:, across]))
    axes = [
        f"{keys}, {values[0].partition(' ')[2]}".rstrip(", ")
        for keys, values in (found.axes[1], found.axes[0])
    ]
    title = f"{found.name}: {len(rows)} cases, mode {found.mode}; a cross is a case without the figure"
    return draw_contours(title, axes[0], axes[1], x[across], y[down], tuple(panels))
