"""The picture of a plan: the table between floor and ceiling, the torque under its caps, what binds on which day.

Importing this module imports the plotting library; it is imported only when pictures were asked for.
"""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from boostwright.report.figures.limit_strip import draw_limit_strip, spans_of
from boostwright.report.figures.style import (
    FAINT,
    INKS,
    drawing_style,
    head_figure,
    label_axes,
    line_of,
    new_figure,
)
from boostwright.report.files import make_output_folder, write_whole
from boostwright.tasks.plan_result import Plan

__all__ = ["plan_figure", "write_plan_figures"]

Array = NDArray[np.float64]

_RPM = 30.0 / np.pi
_DOTS_AN_INCH = 150
_CAPS = {"torque-cap": "torque cap", "rod-torque": "torque the rods are believed to hold"}


def _boost(axes: Axes, plan: Plan, rpm: Array) -> None:
    """Table, ceiling, floor and spool, with the band of what is held."""
    for index, (values, words) in enumerate(
        ((plan.target, "table proposed"), (plan.ceiling, "ceiling on every day"), (plan.spool, "gate shut"))
    ):
        if not np.isfinite(values).any():
            continue
        look = line_of(index)
        axes.plot(rpm, values / 1e3, color=look.color, linestyle=look.linestyle, marker=look.marker, markersize=3.4,
                  markerfacecolor="white", linewidth=1.5, label=words)  # fmt: skip
    axes.fill_between(rpm, 0.0, plan.floor / 1e3, color=FAINT, label="below the creep floor: cannot be held")
    if "pressure_im" in plan.bands:
        band = plan.bands["pressure_im"]
        axes.fill_between(rpm, band.low / 1e3, band.high / 1e3, color=INKS[2], alpha=0.35,
                          label="reached on 9 of 10 days drawn")  # fmt: skip
    axes.axhline(
        plan.pressure_amb / 1e3, color=INKS[0], linewidth=0.9, linestyle=(0, (1, 2.5)), label="air outside"
    )
    known = np.concatenate([plan.target, plan.ceiling, plan.floor]) / 1e3
    known = np.append(known[np.isfinite(known)], plan.pressure_amb / 1e3)
    axes.set_ylim(0.9 * known.min(), 1.15 * known.max())
    label_axes(axes, "", "intake manifold,\nkPa absolute")
    axes.legend(loc="best", ncols=2)


def _torque(axes: Axes, plan: Plan, rpm: Array) -> None:
    """Torque of the plan, its band, and what caps it."""
    look = line_of(0)
    axes.plot(rpm, plan["torque"], color=look.color, marker=look.marker, markersize=3.4, markerfacecolor="white",
              linewidth=1.5, label="torque of the plan")  # fmt: skip
    if "torque" in plan.bands:
        band = plan.bands["torque"]
        axes.fill_between(rpm, band.low, band.high, color=INKS[2], alpha=0.35, label="on 9 of 10 days drawn")
    index = 1
    if "torque_rods" in plan.prediction.quantities and np.isfinite(plan["torque_rods"]).any():
        look = line_of(1)
        axes.plot(rpm, plan["torque_rods"], color=look.color, linestyle=look.linestyle, linewidth=1.3,
                  label="torque at the force the rods may carry, at this spark")  # fmt: skip
        index = 2
    for limit in plan.prediction.limits:
        if limit.name in _CAPS and index < 3:
            look = line_of(index)
            axes.plot(rpm, limit.limit, color=look.color, linestyle=(0, (8, 3, 1, 3)), linewidth=1.1,
                      label=_CAPS[limit.name])  # fmt: skip
            index += 1
    bottom, top = axes.get_ylim()
    axes.set_ylim(min(bottom, 0.0), top)
    label_axes(axes, "", "torque at the crankshaft, Nm")
    axes.legend(loc="best")


def plan_figure(plan: Plan) -> Figure:
    """Draw the plan. Returns a figure that can be saved."""
    rpm = plan.speeds * _RPM
    figure = new_figure(7.8, 8.2)
    heights = [6.0, 5.0, 0.8, 0.8]
    axes = figure.subplots(4, 1, sharex=True, gridspec_kw={"height_ratios": heights})
    _boost(axes[0], plan, rpm)
    _torque(axes[1], plan, rpm)
    for one in axes[:2]:
        one.tick_params(labelbottom=False)
    draw_limit_strip(axes[2], spans_of(rpm, [name.replace("-", " ") for name in plan.binding]), "")
    draw_limit_strip(axes[3], spans_of(rpm, plan.binding_day), "engine speed, rpm")
    axes[2].tick_params(labelbottom=False)
    axes[3].set_ylabel("on day", rotation=0, ha="right", va="center")
    head_figure(figure, f"Boost plan: {plan.name}; below, what holds the ceiling, and on which day")
    return figure


def write_plan_figures(plan: Plan, folder: Path, option: str) -> list[Path]:
    """Write the picture as PNG and SVG into ``folder``, which is made where it is missing.

    Returns the files in the order written. Raises OutputError naming ``option`` where the system refuses.
    """
    make_output_folder(folder, option)
    written = []
    with drawing_style():
        figure = plan_figure(plan)
        for ending, metadata in (("png", {"Software": None}), ("svg", {"Date": None})):
            content = io.BytesIO()
            figure.savefig(content, format=ending, dpi=_DOTS_AN_INCH, metadata=metadata)
            path = folder / f"boost-plan.{ending}"
            write_whole(path, content.getvalue(), option)
            written.append(path)
    return written
