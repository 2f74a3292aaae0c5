"""Scatter of the cycles: no two burn alike, and the strongest of them loads the engine."""

from __future__ import annotations

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["peak_pressure_of_strong_cycle"]


@relation(
    source="definition",
    status="definition",
    domain={
        "peak_pressure": Interval(0.0),
        "coefficient_of_variation": Interval(0.0, 1.0),
        "sigmas": Interval(0.0),
    },
)
def peak_pressure_of_strong_cycle(
    peak_pressure: Number, coefficient_of_variation: Number, sigmas: Number = 3.0
) -> Number:
    """Peak pressure of a cycle so many standard deviations above the mean.

    peak_pressure             (...,)  [Pa]  mean of the cycles
    coefficient_of_variation  (...,)  [-]   standard deviation over the mean
    sigmas                    (...,)  [-]   3: about one cycle of 740 is stronger, if they scatter normally
    Returns (...,) [Pa]. Raises OutOfDomain outside the ranges given.
    Source: definition of the coefficient of variation; no figure of it is in the formula."""
    return peak_pressure * (1.0 + sigmas * coefficient_of_variation)
