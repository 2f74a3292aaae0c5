"""The charge cooler: how much of the heat it takes out, and what pressure it costs."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.rows import Missing, Need, Quantity, Rows
from boostwright.logs.derived.uncertain import Uncertain, through

__all__ = ["QUANTITIES"]

Array = NDArray[np.float64]
_LEAST_HEAT = 8.0  # K between what goes in and what cools, below which an effectiveness is mostly error


def _effectiveness(rows: Rows) -> Uncertain:
    cooler = rows.facts.cooler
    warmer = rows.number("cooling air over the air outside", cooler.coolant_rise if cooler else 0.0, 3.0)

    def formula(t2: Array, out: Array, amb: Array, rise: Array) -> Array:
        span = t2 - amb - rise
        return np.where(span > _LEAST_HEAT, (t2 - out) / span, np.nan)

    found = through(
        formula,
        rows.channel("temperature_2"),
        rows.get("temperature_bp"),
        rows.get("temperature_amb"),
        warmer,
    )
    words = "a pull heats the core itself: what a short pull shows is above what the cooler holds"
    return found.with_flag("cooler", words)


def _pressures(rows: Rows) -> tuple[Uncertain, Uncertain]:
    """Ahead of and behind the cooler, both by taps: what stands in for one holds the loss already."""
    if not rows.has("pressure_2_static"):
        raise Missing(Need("channel pressure_2_static"))
    if not rows.has("pressure_bp_static"):
        raise Missing(Need("channel pressure_bp_static"))
    return rows.get("pressure_2"), rows.get("pressure_bp")


def _loss(rows: Rows) -> Uncertain:
    return through(np.subtract, *_pressures(rows))


def _coefficient(rows: Rows) -> Uncertain:
    ahead, behind = _pressures(rows)

    def formula(p2: Array, pbp: Array, m: Array, t2: Array) -> Array:
        return np.where(m > 1e-3, (p2 - pbp) * p2 / (m * m * t2), np.nan)

    return through(formula, ahead, behind, rows.get("mass_flow_air"), rows.channel("temperature_2"))


QUANTITIES = (
    Quantity(
        "cooler_effectiveness",
        "1",
        "effectiveness of the charge cooler",
        "on the temperature of its cooling air",
        "(T_2 - T_bp)/(T_2 - T_cool), T_cool of the air outside and what the build adds",
        _effectiveness,
    ),
    Quantity(
        "cooler_pressure_loss",
        "Pa",
        "pressure lost in the charge cooler and its pipes",
        "",
        "p_2 - p_bp",
        _loss,
    ),
    Quantity(
        "cooler_loss_coefficient",
        "Pa2 s2/(kg2 K)",
        "loss coefficient of the charge cooler and its pipes",
        "loss = K m^2 T/p of what goes in",
        "(p_2 - p_bp) p_2/(m^2 T_2)",
        _coefficient,
    ),
)
"""The charge cooler."""
