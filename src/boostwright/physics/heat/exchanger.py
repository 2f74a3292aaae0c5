"""Heat exchangers: effectiveness by definition, and from size by number of transfer units."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "effectiveness",
    "effectiveness_counterflow",
    "effectiveness_crossflow_one_mixed",
    "effectiveness_crossflow_unmixed",
    "number_of_transfer_units",
    "outlet_temperature",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)
_SHARE = Interval(0.0, 1.0)


@relation(source="definition", status="definition")
def effectiveness(temperature_in: Number, temperature_out: Number, coolant_temperature_in: Number) -> Number:
    """Effectiveness of a cooler whose hot side has the smaller heat capacity rate, as charge coolers have.

    temperature_in          (...,)  [K]  hot side
    temperature_out         (...,)  [K]  hot side
    coolant_temperature_in  (...,)  [K]  where the coolant enters, not ambient unless it is
    Returns (...,) [-]; infinite where both enter alike. Raises nothing.
    Source: definition."""
    # np.divide, not /: plain floats would raise where arrays give infinity
    result: Number = np.divide(temperature_in - temperature_out, temperature_in - coolant_temperature_in)
    return result


@relation(source="definition", status="definition", domain={"effectiveness": _SHARE})
def outlet_temperature(
    temperature_in: Number, coolant_temperature_in: Number, effectiveness: Number
) -> Number:
    """Hot-side outlet of a cooler whose hot side has the smaller heat capacity rate.

    temperature_in          (...,)  [K]  hot side
    coolant_temperature_in  (...,)  [K]  where the coolant enters
    effectiveness           (...,)  [-]  0 to 1
    Returns (...,) [K]. Raises OutOfDomain for an effectiveness outside 0 to 1.
    Source: definition."""
    return temperature_in - effectiveness * (temperature_in - coolant_temperature_in)


@relation(
    source="definition",
    status="definition",
    domain={"conductance": _NOT_NEGATIVE, "capacity_rate_smaller": _ABOVE_ZERO},
)
def number_of_transfer_units(conductance: Number, capacity_rate_smaller: Number) -> Number:
    """Conductance over the smaller heat capacity rate.

    conductance            (...,)  [W/K]  of the whole core
    capacity_rate_smaller  (...,)  [W/K]  mass flow times specific heat, the smaller of the two sides
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: definition."""
    return conductance / capacity_rate_smaller


@relation(
    source="kays-london-1984",
    status="from memory",
    domain={"transfer_units": _NOT_NEGATIVE, "capacity_ratio": _SHARE},
)
def effectiveness_counterflow(transfer_units: Number, capacity_ratio: Number) -> Number:
    """Effectiveness of a counterflow exchanger, the best that a size can do.

    transfer_units  (...,)  [-]
    capacity_ratio  (...,)  [-]  smaller over larger heat capacity rate, 0 to 1
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: Kays and London, Compact Heat Exchangers (3rd ed. 1984), chapter 2, from memory; written so
    that equal rates need no case of their own."""
    x = transfer_units * (1.0 - capacity_ratio) + 1e-30  # the tiny number keeps 0/0 away
    grown = -np.expm1(-x) / x
    result: Number = transfer_units * grown / (1.0 + capacity_ratio * transfer_units * grown)
    return result


@relation(
    source="kays-london-1984",
    status="from memory",
    domain={"transfer_units": _NOT_NEGATIVE, "capacity_ratio": Interval(0.0, 1.0, open_low=True)},
    valid={"transfer_units": Interval(0.0, 7.0)},
)
def effectiveness_crossflow_unmixed(transfer_units: Number, capacity_ratio: Number) -> Number:
    """Effectiveness of a crossflow exchanger with both sides in separate channels: the usual air-to-air
    core.

    transfer_units  (...,)  [-]
    capacity_ratio  (...,)  [-]  smaller over larger heat capacity rate, above 0 and up to 1
    Returns (...,) [-], within 0.01 of the exact series. Raises OutOfDomain outside the ranges given.
    Source: approximation printed by Incropera and DeWitt, table 11.4, after Kays and London; from
    memory."""
    power = transfer_units**0.22 / capacity_ratio
    result: Number = 1.0 - np.exp(power * (np.exp(-capacity_ratio * transfer_units**0.78) - 1.0))
    return result


@relation(
    source="kays-london-1984",
    status="from memory",
    domain={"transfer_units": _NOT_NEGATIVE, "capacity_ratio": Interval(0.0, 1.0, open_low=True)},
)
def effectiveness_crossflow_one_mixed(transfer_units: Number, capacity_ratio: Number) -> Number:
    """Effectiveness of a crossflow exchanger, the side of the larger heat capacity rate mixed.

    transfer_units  (...,)  [-]
    capacity_ratio  (...,)  [-]  smaller over larger heat capacity rate, above 0 and up to 1
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: Kays and London, Compact Heat Exchangers (3rd ed. 1984), chapter 2, from memory."""
    result: Number = (1.0 - np.exp(-capacity_ratio * (1.0 - np.exp(-transfer_units)))) / capacity_ratio
    return result
