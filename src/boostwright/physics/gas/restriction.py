"""A restriction known by one point: filter, cooler core, exhaust system. Loss = K m^2 T / p (upstream).

The form is that of a fixed loss coefficient on the velocity head of an ideal gas. It knows nothing of
choking: where the loss is more than a fifth of the pressure, say so and use a geometry.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "pressure_loss_eriksson",
    "restriction_coefficient_eriksson",
    "upstream_pressure_eriksson",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)


@relation(
    source="eriksson-2007",
    status="from memory",
    domain={
        "pressure_loss": _NOT_NEGATIVE,
        "mass_flow": _ABOVE_ZERO,
        "temperature": _ABOVE_ZERO,
        "pressure_upstream": _ABOVE_ZERO,
    },
)
def restriction_coefficient_eriksson(
    pressure_loss: Number, mass_flow: Number, temperature: Number, pressure_upstream: Number
) -> Number:
    """Coefficient of a restriction from one known point.

    pressure_loss      (...,)  [Pa]
    mass_flow          (...,)  [kg/s]
    temperature        (...,)  [K]   upstream
    pressure_upstream  (...,)  [Pa]  absolute
    Returns (...,) [Pa2 s2/(kg2 K)]. Raises OutOfDomain outside the ranges given.
    Source: Eriksson, Oil Gas Sci. Technol. 62 (2007) 523, form from memory."""
    return pressure_loss * pressure_upstream / (mass_flow**2 * temperature)


@relation(
    source="eriksson-2007",
    status="from memory",
    domain={
        "coefficient": _NOT_NEGATIVE,
        "mass_flow": _NOT_NEGATIVE,
        "temperature": _ABOVE_ZERO,
        "pressure_upstream": _ABOVE_ZERO,
    },
)
def pressure_loss_eriksson(
    coefficient: Number, mass_flow: Number, temperature: Number, pressure_upstream: Number
) -> Number:
    """Pressure loss of a restriction from its upstream pressure.

    coefficient        (...,)  [Pa2 s2/(kg2 K)]  from restriction_coefficient_eriksson
    mass_flow          (...,)  [kg/s]
    temperature        (...,)  [K]   upstream
    pressure_upstream  (...,)  [Pa]  absolute
    Returns (...,) [Pa]; can exceed the pressure, which says that the flow is impossible. Raises
    OutOfDomain outside the ranges given.
    Source: Eriksson, Oil Gas Sci. Technol. 62 (2007) 523, form from memory."""
    return coefficient * temperature * mass_flow**2 / pressure_upstream


@relation(
    source="eriksson-2007",
    status="from memory",
    domain={
        "coefficient": _NOT_NEGATIVE,
        "mass_flow": _NOT_NEGATIVE,
        "temperature": _ABOVE_ZERO,
        "pressure_downstream": _ABOVE_ZERO,
    },
)
def upstream_pressure_eriksson(
    coefficient: Number, mass_flow: Number, temperature: Number, pressure_downstream: Number
) -> Number:
    """Upstream pressure of a restriction from its downstream pressure.

    coefficient          (...,)  [Pa2 s2/(kg2 K)]  from restriction_coefficient_eriksson
    mass_flow            (...,)  [kg/s]
    temperature          (...,)  [K]   upstream
    pressure_downstream  (...,)  [Pa]  absolute
    Returns (...,) [Pa]. Raises OutOfDomain outside the ranges given.
    Source: Eriksson, Oil Gas Sci. Technol. 62 (2007) 523, form from memory; the quadratic in the upstream
    pressure solved."""
    half = 0.5 * pressure_downstream
    result: Number = half + np.sqrt(half * half + coefficient * temperature * mass_flow**2)
    return result
