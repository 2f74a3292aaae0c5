"""What the break-up of hot burned gas costs a cycle that reckons with frozen gas."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["dissociation_work_factor"]


@relation(
    source="own-work",
    status="own estimate",
    domain={"lambda_value": Interval(0.0, open_low=True)},
    valid={"lambda_value": Interval(0.70, 1.15)},
)
def dissociation_work_factor(lambda_value: Number) -> Number:
    """Work of a closed cycle with burned gas in equilibrium over that with frozen burned gas.

    lambda_value  (...,)  [-]
    Returns (...,) [-], lowest at lambda 1, where carbon dioxide and water break up most freely. Raises OutOfDomain
    for a lambda not above 0.
    Source: own estimate, fitted to cycles with equilibrium gas of a general-purpose thermochemistry library
    (studies/dissociation): within 0.001 at 1500 to 6000 rpm, half to full boost, half burned at 10 and 25 deg, on
    petrol. Speed, load and phasing change it by less than that."""
    rich = np.maximum(1.0 - lambda_value, 0.0)
    lean = np.maximum(lambda_value - 1.0, 0.0)
    result: Number = 1.0 - (0.0045 + 0.0129 / (1.0 + 20.0 * lean)) / (1.0 + 40.0 * rich)
    return result
