"""Knock: ignition delay of the end gas and the integral that says when it has passed.

The correlation knows octane number, pressure and temperature, nothing else: no fuel chemistry, no chamber,
no hot spots. Its number means something beside another of the same engine only.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["OCTANE_RANGE", "ignition_delay_douaud_eyzat", "integral_step_livengood_wu"]

_ABOVE_ZERO = Interval(0.0, open_low=True)

OCTANE_RANGE = Interval(80.0, 100.0)
"""Octane numbers of the correlation's fuels, from memory; outside it knock is not predicted."""


@relation(
    source="douaud-eyzat-1978",
    status="read second-hand",
    domain={"pressure": _ABOVE_ZERO, "temperature": _ABOVE_ZERO, "octane_number": _ABOVE_ZERO},
    valid={"octane_number": OCTANE_RANGE},
)
def ignition_delay_douaud_eyzat(pressure: Number, temperature: Number, octane_number: Number) -> Number:
    """Time after which unburned charge held at a pressure and temperature ignites by itself.

    pressure       (...,)  [Pa]  absolute
    temperature    (...,)  [K]   of the end gas
    octane_number  (...,)  [-]   research method is usual
    Returns (...,) [s]. Raises OutOfDomain outside the ranges given.
    Source: Douaud and Eyzat, SAE 780080: 17.68 ms (ON/100)^3.402 p^-1.7 exp(3800/T), p in atm; constants read
    second-hand in three texts that agree."""
    octane = (octane_number / 100.0) ** 3.402
    result: Number = 0.01768 * octane * (pressure / 101325.0) ** -1.7 * np.exp(3800.0 / temperature)
    return result


@relation(
    source="livengood-wu-1955",
    status="read second-hand",
    domain={"ignition_delay_start": _ABOVE_ZERO, "ignition_delay_end": _ABOVE_ZERO},
)
def integral_step_livengood_wu(
    time_step: Number, ignition_delay_start: Number, ignition_delay_end: Number
) -> Number:
    """Share of the ignition delay that passes in a step of time; the charge knocks when the sum reaches 1.

    time_step             (...,)  [s]
    ignition_delay_start  (...,)  [s]  at the state that begins the step
    ignition_delay_end    (...,)  [s]  at the state that ends it
    Returns (...,) [-]. Raises OutOfDomain for a delay not above 0.
    Source: Livengood and Wu, 5th Symposium on Combustion (1955): integral of dt over delay; trapezoidal
    rule."""
    return 0.5 * time_step * (1.0 / ignition_delay_start + 1.0 / ignition_delay_end)
