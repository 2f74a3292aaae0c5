"""Convection inside pipes and ports."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["conductance_of_passage", "nusselt_dittus_boelter"]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)


@relation(
    source="incropera-dewitt",
    status="from memory",
    domain={
        "reynolds_number": _NOT_NEGATIVE,
        "prandtl_number": _ABOVE_ZERO,
        "prandtl_exponent": Interval(0.3, 0.4),
    },
    valid={"reynolds_number": Interval(1e4), "prandtl_number": Interval(0.6, 160.0)},
)
def nusselt_dittus_boelter(
    reynolds_number: Number, prandtl_number: Number, prandtl_exponent: Number = 0.4
) -> Number:
    """Nusselt number of steady turbulent flow in a long smooth pipe.

    reynolds_number   (...,)  [-]  on the bore
    prandtl_number    (...,)  [-]
    prandtl_exponent  (...,)  [-]  0.4 where the pipe heats the fluid, 0.3 where it cools it: 4 % for a gas
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: Dittus and Boelter as in Incropera, eq. 8.60, 0.023 Re^0.8 Pr^n, from memory."""
    result: Number = 0.023 * reynolds_number**0.8 * prandtl_number**prandtl_exponent
    return result


@relation(
    source="definition",
    status="definition",
    domain={"nusselt_number": _NOT_NEGATIVE, "conductivity": _ABOVE_ZERO, "length": _NOT_NEGATIVE},
)
def conductance_of_passage(nusselt_number: Number, conductivity: Number, length: Number) -> Number:
    """Heat a round passage exchanges with its wall, per kelvin: coefficient times wall area.

    nusselt_number  (...,)  [-]         on the bore
    conductivity    (...,)  [W/(m K)]   of the gas
    length          (...,)  [m]
    Returns (...,) [W/K]; the bore cancels. Raises OutOfDomain outside the ranges given.
    Source: definition of the Nusselt number."""
    return np.pi * nusselt_number * conductivity * length
