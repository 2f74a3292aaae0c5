"""What the rods carry and allow, as a table for a terminal."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.report.display import in_shown_unit, shown, shown_number
from boostwright.report.sweep import shown_values
from boostwright.report.text_table import TextColumn, render_table
from boostwright.solve.operating_point import Prediction

__all__ = ["ROD_LIMITS", "allowed_force", "rod_table"]

Array = NDArray[np.float64]

_TITLE = "Rods in a strong cycle (mean + 3 sigma of peak pressure)"
_COLUMNS = (
    ("rod_force_gas", ("gas",)),
    ("rod_force_inertia", ("inertia",)),
    ("rod_force_angle", ("at", "crank angle")),
    ("rod_force_compression", ("along", "the rod")),
)
_AFTER = (("torque", ("torque",)), ("torque_rods", ("torque the", "force allows")))
_PULLS = (
    ("rod_force_tension", ("pull at", "overlap")),
    ("rod_bolt_pull", ("pull on", "cap bolts")),
)
ROD_LIMITS = {
    "rod-force": "implied by the believed torque",
    "rod-column": "buckling, by section and material",
}
"""Limits on the rods' compression, and where each is from."""


def allowed_force(prediction: Prediction) -> Array | None:
    """Lowest compression that belief and shank allow (n,) [N], margins taken off; None where rods are not watched."""
    found = [one.limit * (1.0 - one.margin) for one in prediction.limits if one.name in ROD_LIMITS]
    return np.minimum.reduce(found) if found else None


def rod_table(prediction: Prediction, width: int) -> str:
    """Gas, inertia and their sum by speed beside what is allowed; empty where rods are not watched."""
    allowed = allowed_force(prediction)
    if "rod_force_compression" not in prediction.quantities:
        return ""
    columns = [_column(prediction, "engine_speed", ("engine", "speed"))]
    columns += [_column(prediction, name, heading) for name, heading in _COLUMNS]
    if allowed is not None:
        how = shown("rod_force_believed", "N")
        cells = tuple(shown_number(float(value), how) for value in in_shown_unit(allowed, how))
        columns.append(TextColumn(("allowed",), how.label, cells))
    columns += [_column(prediction, name, heading) for name, heading in _AFTER]
    columns += [
        _column(prediction, name, heading) for name, heading in _PULLS if name in prediction.quantities
    ]
    return f"{_TITLE}\n{render_table(columns, width)}"


def _column(prediction: Prediction, name: str, heading: tuple[str, ...]) -> TextColumn:
    values = prediction.quantities.get(name)
    how = shown(name, values.unit if values else "rad/s")
    cells = tuple(shown_number(float(value), how) for value in shown_values(prediction, name))
    return TextColumn(heading, how.label, cells)
