"""Panels of the picture of the rods: torque believed and allowed, force as gas less inertia, pull at overlap."""

from __future__ import annotations

import numpy as np

from boostwright.report.display import in_shown_unit, shown
from boostwright.report.figures.speed_plot import Curve, Level, Panel
from boostwright.report.rods_text import ROD_LIMITS
from boostwright.report.sweep import shown_values
from boostwright.solve.operating_point import Prediction

__all__ = ["rod_panels"]

_PULL_LABELS = (("rod_force_tension", "on the rod"), ("rod_bolt_pull", "on the cap bolts of one rod"))


def rod_panels(prediction: Prediction) -> tuple[Panel, ...]:
    """Torque predicted, believed and allowed by the force; the force as gas less inertia; empty without rods."""
    if "rod_force_compression" not in prediction.quantities:
        return ()

    def curve(name: str, label: str) -> Curve:
        return Curve(label, shown_values(prediction, name))

    torque = [curve("torque", "predicted")]
    if np.isfinite(shown_values(prediction, "torque_rods")).any():
        torque.append(curve("torque_rods", "at the allowed force, each speed's own CA50"))
    believed = [one for one in prediction.limits if one.name == "rod-torque"]
    levels = tuple(Level("believed", float(one.limit[0])) for one in believed)
    how = shown("rod_force_compression", "N")
    forces = tuple(
        Level(
            f"allowed: {ROD_LIMITS[one.name]}",
            float(in_shown_unit(one.limit[:1] * (1.0 - one.margin), how)[0]),
        )
        for one in prediction.limits
        if one.name in ROD_LIMITS
    )
    pulls = [(name, label) for name, label in _PULL_LABELS if name in prediction.quantities]
    return (
        Panel("torque at the crankshaft, Nm", tuple(torque), levels, 0.0),
        Panel(
            "force of a strong cycle where\nthe rod is pressed most, kN",
            (
                curve("rod_force_gas", "gas"),
                curve("rod_force_inertia", "inertia"),
                curve("rod_force_compression", "along the rod: gas less inertia"),
            ),
            forces,
            0.0,
        ),
        Panel(
            "pull at overlap top dead centre, kN", tuple(curve(name, label) for name, label in pulls), (), 0.0
        ),
    )
