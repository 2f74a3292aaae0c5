"""What a what-if answers: cases, their figures of merit, and what they say together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.operating_point import Prediction

__all__ = [
    "FIGURES",
    "TORNADO",
    "Case",
    "Cure",
    "Figure",
    "Lever",
    "Row",
    "WhatIf",
]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Figure:
    """A figure of merit: its unit (SI), words, whether more of it is better, and kind of quantity for the screen."""

    name: str
    unit: str
    words: str
    more_is_better: bool
    kind: str
    basis: str = ""


FIGURES: Mapping[str, Figure] = {
    figure.name: figure
    for figure in (
        Figure(
            "threshold",
            "rad/s",
            "engine speed at which the shut-gate balance reaches the spring's rating, a lower bound",
            False,
            "rotational_speed",
        ),
        Figure("peak_power", "W", "highest brake power at the crank", True, "power"),
        Figure("peak_power_speed", "rad/s", "engine speed of the highest power", True, "rotational_speed"),
        Figure("peak_torque", "Nm", "highest brake torque at the crank", True, "torque"),
        Figure(
            "torque_area",
            "W",
            "brake torque summed over engine speed between the stated speeds",
            True,
            "power",
        ),
        Figure("mean_torque", "Nm", "torque area over the width of the stated speeds", True, "torque"),
        Figure(
            "drive_pressure_ratio",
            "1",
            "exhaust over intake manifold pressure at the highest power",
            False,
            "dimensionless",
            "absolute",
        ),
        Figure(
            "drive_pressure_ratio_most",
            "1",
            "highest exhaust over intake manifold pressure at any speed",
            False,
            "dimensionless",
            "absolute",
        ),
        Figure(
            "creep_floor",
            "Pa",
            "highest intake manifold pressure at any speed with the gate fully open: less cannot be held",
            False,
            "pressure",
            "absolute",
        ),
        Figure(
            "surge_margin",
            "1",
            "least flow margin to the surge line, where the map has one",
            True,
            "dimensionless",
        ),
        Figure("choke_margin", "1", "least flow margin to choke", True, "dimensionless"),
        Figure("shaft_speed", "rad/s", "highest shaft speed of the turbocharger", False, "rotational_speed"),
        Figure("egt_reading", "K", "highest exhaust temperature as the probe shows it", False, "temperature"),
        Figure("steady_share", "1", "share of the engine speeds with a steady state", True, "dimensionless"),
        Figure("limits_exceeded", "1", "limits exceeded at one speed at least", False, "dimensionless"),
    )
}
"""Every figure of merit in the order of the table."""

TORNADO = ("threshold", "peak_power", "drive_pressure_ratio_most", "creep_floor")
"""Figures a tornado is drawn of. The drive-pressure ratio is the highest one: that at the peak of power jumps when the
peak moves from one end of a flat curve to the other."""


@dataclass(frozen=True)
class Case:
    """One choice of parts.

    name      what it is called
    settings  ``section.key=value``, what it lays over the build
    price     of its parts, None where one of them has none; currency '' then
    """

    name: str
    settings: tuple[str, ...]
    price: float | None = None
    currency: str = ""


@dataclass(frozen=True)
class Row:
    """A case and its figures.

    number    place in the order the cases were given in; 0 is the build as it stands
    figures   by name, SI, nan where there is none
    exceeded  name of each limit exceeded -> lowest and highest speed [rad/s] at which it is
    unsteady  reason why there is no steady state -> lowest and highest speed [rad/s]
    asked     what is possible but hardly meant, in words
    reason    why the case cannot be; empty where it can
    """

    number: int
    case: Case
    figures: Mapping[str, float]
    exceeded: Mapping[str, tuple[float, float]]
    unsteady: Mapping[str, tuple[float, float]]
    asked: tuple[str, ...] = ()
    reason: str = ""


@dataclass(frozen=True)
class Lever:
    """One key moved by itself: the figures at its low and at its high end.

    words  what was moved; low, high as written; source where the ends come from
    """

    words: str
    low: str
    high: str
    source: str
    low_row: Row
    high_row: Row


@dataclass(frozen=True)
class Cure:
    """The cheapest case without a trouble.

    trouble  in words
    row      the case; None where none is without it
    has_it   number of cases that have the trouble, of ``counted``
    unpriced cases without the trouble that have no price
    """

    trouble: str
    row: Row | None
    has_it: int
    counted: int
    unpriced: tuple[Row, ...] = ()


@dataclass(frozen=True)
class WhatIf:
    """Everything a what-if found.

    rows      in the order of the cases, the build as it stands first
    ranked    numbers of rows that can be, best first by ``ranked_by``, ties by price
    between   [rad/s] speeds of the torque area
    speeds    (n,) [rad/s] engine speeds of every case
    levers    for the tornado, strongest on the first figure first
    beside    predictions of the cases laid side by side, by name
    axes      with two parameters varied: (key, its values as written) of both, else empty
    known     what the build's own threshold is worth, in words
    warnings  for the reader, once
    """

    name: str
    mode: str
    speeds: Array
    between: tuple[float, float]
    rows: tuple[Row, ...]
    ranked_by: str
    ranked: tuple[int, ...]
    levers: tuple[Lever, ...] = ()
    cures: tuple[Cure, ...] = ()
    beside: tuple[tuple[str, Prediction], ...] = ()
    axes: tuple[tuple[str, tuple[str, ...]], ...] = ()
    settings: tuple[str, ...] = ()
    known: str = ""
    warnings: tuple[str, ...] = ()

    @property
    def possible(self) -> Sequence[Row]:
        """Rows of the cases that can be."""
        return [row for row in self.rows if not row.reason]
