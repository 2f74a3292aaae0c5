"""Driveline: torque and power at the wheels beside those at the crankshaft."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Section
from boostwright.physics import driveline

__all__ = ["USUAL_LOSS", "crank_power", "driveline_losses", "has_driveline", "loss_words", "wheel_power"]

Array = NDArray[np.float64]

USUAL_LOSS = 0.14
"""Share of the power that a car loses between crankshaft and road where a build names no loss: common practice, 0.09 to
0.19. For a run in time, which needs some loss to move the car; figures at the wheels are never made from it.
"""


def has_driveline(section: Section) -> bool:
    """True when the [driveline] section names a loss model."""
    return section.text("loss_model") != "none"


def driveline_losses(section: Section) -> tuple[float, float]:
    """Share of the power [-] and drag [N m] at the crankshaft; what the loss model does not name is zero."""
    model = section.text("loss_model")
    share = section.si("loss_share") if model in ("share", "share-and-drag") else 0.0
    drag = section.si("drag_torque") if model in ("drag", "share-and-drag") else 0.0
    return share, drag


def wheel_power(section: Section, power: Array, engine_speed: Array) -> Array:
    """Power [W] at the wheels of power (n,) [W] at the crankshaft, engine_speed (n,) [rad/s]."""
    return np.asarray(driveline.power_at_wheels(power, engine_speed, *driveline_losses(section)), dtype=float)


def crank_power(section: Section, power_wheel: Array, engine_speed: Array) -> Array:
    """Power [W] at the crankshaft of power_wheel (n,) [W] at the wheels, engine_speed (n,) [rad/s]."""
    return np.asarray(
        driveline.power_at_crankshaft(power_wheel, engine_speed, *driveline_losses(section)), dtype=float
    )


def loss_words(section: Section) -> str:
    """The loss in words, as the section states it."""
    model = section.text("loss_model")
    parts = []
    if model in ("drag", "share-and-drag"):
        parts.append(f"{section.as_written('drag_torque')} of drag at the crankshaft")
    if model in ("share", "share-and-drag"):
        parts.append(f"{100.0 * section.si('loss_share'):.3g} % of the power")
    return ", then ".join(parts)
