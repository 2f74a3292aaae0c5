"""What the rods carry and allow, as sums in words."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.report.display import in_shown_unit, shown
from boostwright.report.prose import paragraph
from boostwright.report.sweep import shown_values, speed_text
from boostwright.solve.operating_point import Prediction

__all__ = ["ROD_LIMITS", "allowed_force", "rod_sums"]

Array = NDArray[np.float64]

_TITLE = "Rods in a strong cycle (mean + 3 sigma of peak pressure)"
ROD_LIMITS = {
    "rod-force": "implied by the believed torque",
    "rod-column": "buckling, by section and material",
}
"""Limits on the rods' compression, and where each is from."""

_EVERY = 1000.0  # rpm from one sum to the next


def allowed_force(prediction: Prediction) -> Array | None:
    """Lowest compression that belief and shank allow (n,) [N], margins taken off; None where rods are not watched."""
    found = [one.limit * (1.0 - one.margin) for one in prediction.limits if one.name in ROD_LIMITS]
    return np.minimum.reduce(found) if found else None


def rod_sums(prediction: Prediction, width: int) -> str:
    """Gas less inertia, what is allowed and what torque that is, every 1000 rpm; empty where rods are not watched."""
    if "rod_force_compression" not in prediction.quantities:
        return ""
    allowed = allowed_force(prediction)
    shown_allowed = None if allowed is None else in_shown_unit(allowed, shown("rod_force_believed", "N"))
    lines = [_sum(prediction, i, shown_allowed) for i in _places(prediction)]
    return "\n".join([_TITLE, *(paragraph(line, width) for line in lines)]) if lines else ""


def _places(prediction: Prediction) -> list[int]:
    """Steady points nearest to every 1000 rpm, and the last of them."""
    rpm = shown_values(prediction, "engine_speed")
    steady = np.flatnonzero(prediction.solved & np.isfinite(prediction["rod_force_compression"]))
    if not steady.size:
        return []
    first, last = np.floor(rpm[steady[0]] / _EVERY), np.ceil(rpm[steady[-1]] / _EVERY)
    marks = np.arange(first, last + 1.0) * _EVERY
    near = {int(steady[np.argmin(np.abs(rpm[steady] - mark))]) for mark in marks}
    return sorted(near | {int(steady[-1])})


def _sum(prediction: Prediction, i: int, allowed: Array | None) -> str:
    """One point in words."""

    def value(name: str) -> float:
        return float(shown_values(prediction, name)[i])

    gas, inertia = round(value("rod_force_gas"), 1), round(value("rod_force_inertia"), 1)
    line = f"at {speed_text(prediction, i)} rpm: {gas:.1f} kN gas - {inertia:.1f} kN inertia = {gas - inertia:.1f} kN"
    line += f" at {value('rod_force_angle'):.0f} deg, {value('rod_force_compression'):.1f} kN along the rod"
    if allowed is not None:
        line += f"; allowed {allowed[i]:.1f} kN"
        most = value("torque_rods")
        words = f"{most:.0f} Nm" if np.isfinite(most) else "more than can be reckoned"
        line += f". Torque {value('torque'):.0f} Nm, the force allows {words}"
    line += f". Pull at overlap {value('rod_force_tension'):.1f} kN"
    if "rod_bolt_pull" in prediction.quantities:
        line += f", on the cap bolts {value('rod_bolt_pull'):.1f} kN"
    return f"{line}."
