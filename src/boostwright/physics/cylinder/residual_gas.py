"""Burned gas that stays behind in the cylinder: how hot it is and how much of it there is."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["residual_mass_in_clearance", "temperature_after_blowdown", "temperature_after_exhaust_stroke"]

_ABOVE_ZERO = Interval(0.0, open_low=True)


@relation(
    source="definition",
    status="definition",
    domain={
        "temperature_opening": _ABOVE_ZERO,
        "pressure_opening": _ABOVE_ZERO,
        "pressure_em": _ABOVE_ZERO,
        "expansion_exponent": Interval(0.0, 1.0, open_low=True, open_high=True),
    },
)
def temperature_after_blowdown(
    temperature_opening: Number, pressure_opening: Number, pressure_em: Number, expansion_exponent: Number
) -> Number:
    """Temperature of the gas that stays in the cylinder when the rest has blown down to the manifold.

    temperature_opening  (...,)  [K]   when the exhaust valve opens
    pressure_opening     (...,)  [Pa]  when the exhaust valve opens, absolute
    pressure_em          (...,)  [Pa]  exhaust manifold, absolute
    expansion_exponent   (...,)  [-]   R/cp of the burned gas
    Returns (...,) [K]. Raises OutOfDomain outside the ranges given.
    Source: isentropic expansion of what remains, as the ideal cycle has it."""
    return temperature_opening * (pressure_em / pressure_opening) ** expansion_exponent


@relation(
    source="definition",
    status="definition",
    domain={
        "temperature_blowdown": _ABOVE_ZERO,
        "wall_temperature": _ABOVE_ZERO,
        "transfer_units": Interval(0.0),
    },
)
def temperature_after_exhaust_stroke(
    temperature_blowdown: Number, wall_temperature: Number, transfer_units: Number
) -> Number:
    """Temperature of the gas that stays in the cylinder when it has given heat to the walls for the exhaust stroke.

    temperature_blowdown  (...,)  [K]  of ``temperature_after_blowdown``
    wall_temperature      (...,)  [K]
    transfer_units        (...,)  [-]  integral of h A/(V rho cp) over the time from opening to top dead centre
    Returns (...,) [K]. Raises OutOfDomain outside the ranges given.
    Source: energy balance at constant pressure of well mixed gas: what leaves takes its own heat along, so what
    stays cools as if it were alone. Steps through the stroke end 0 to 2 % lower (studies/residual_gas)."""
    rest: Number = np.exp(-transfer_units)
    return wall_temperature + (temperature_blowdown - wall_temperature) * rest


@relation(
    source="definition",
    status="definition",
    domain={
        "pressure_em": _ABOVE_ZERO,
        "clearance_volume": _ABOVE_ZERO,
        "gas_constant": _ABOVE_ZERO,
        "temperature_residual": _ABOVE_ZERO,
    },
)
def residual_mass_in_clearance(
    pressure_em: Number, clearance_volume: Number, gas_constant: Number, temperature_residual: Number
) -> Number:
    """Burned gas left in one cylinder at the end of the exhaust stroke, with both manifolds at one pressure.

    pressure_em           (...,)  [Pa]        exhaust manifold, absolute
    clearance_volume      (...,)  [m3]        at top dead centre, and what the piston sweeps of it back in overlap
    gas_constant          (...,)  [J/(kg K)]  of the burned gas
    temperature_residual  (...,)  [K]
    Returns (...,) [kg]. Raises OutOfDomain outside the ranges given.
    Source: ideal gas law; the cylinder stands at the manifold's mean pressure."""
    return pressure_em * clearance_volume / (gas_constant * temperature_residual)
