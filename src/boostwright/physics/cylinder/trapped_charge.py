"""The charge when the intake valve closes: its temperature by mixing, and the work outside the closed part."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["intake_heat_share_at_speed", "temperature_of_mixed_charge", "work_outside_closed_part"]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)


@relation(
    source="own-work",
    status="own estimate",
    domain={"share_at_reference": Interval(0.0, 1.0, open_high=True), "speed_ratio": _ABOVE_ZERO},
)
def intake_heat_share_at_speed(share_at_reference: Number, speed_ratio: Number) -> Number:
    """How far a charge comes towards the wall temperature on its way in, at another engine speed.

    share_at_reference  (...,)  [-]  known at the reference speed
    speed_ratio         (...,)  [-]  engine speed over that of the reference
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: our own estimate: transfer units of a turbulent flow, its coefficient by the power 0.8 of a speed, over the
    time that there is, fall as speed to the power 0.2. A cylinder filled step by step with Woschni's coefficient
    follows it (studies/charge_heating), and so does the warming by Kolchin and Demidov from 1000 to 5600 rpm."""
    slower: Number = speed_ratio**-0.2
    result: Number = -np.expm1(slower * np.log1p(-share_at_reference))
    return result


@relation(
    source="definition",
    status="definition",
    domain={
        "capacity_fresh": _ABOVE_ZERO,
        "temperature_fresh": _ABOVE_ZERO,
        "capacity_residual": _NOT_NEGATIVE,
        "temperature_residual": _ABOVE_ZERO,
        "evaporation_heat": _NOT_NEGATIVE,
    },
)
def temperature_of_mixed_charge(
    capacity_fresh: Number,
    temperature_fresh: Number,
    capacity_residual: Number,
    temperature_residual: Number,
    evaporation_heat: Number,
    heat_from_walls: Number,
) -> Number:
    """Temperature of air, fuel vapour and residual gas after mixing at constant pressure.

    capacity_fresh        (...,)  [J/K]  mass times cp of air and fuel vapour
    temperature_fresh     (...,)  [K]    of air and liquid fuel
    capacity_residual     (...,)  [J/K]  mass times cp of the residual gas
    temperature_residual  (...,)  [K]
    evaporation_heat      (...,)  [J]    latent heat of the fuel that evaporates out of the charge's own heat
    heat_from_walls       (...,)  [J]    taken up on the way in
    Returns (...,) [K]. Raises OutOfDomain outside the ranges given.
    Source: enthalpy balance; specific heats constant over the few hundred kelvin of it."""
    enthalpy = capacity_fresh * temperature_fresh + capacity_residual * temperature_residual
    return (enthalpy + heat_from_walls - evaporation_heat) / (capacity_fresh + capacity_residual)


@relation(
    source="own-work",
    status="own estimate",
    domain={"volume_swept_closing": _NOT_NEGATIVE, "volume_swept_opening": _NOT_NEGATIVE},
)
def work_outside_closed_part(
    pressure_closing: Number,
    volume_swept_closing: Number,
    pressure_opening: Number,
    pressure_em: Number,
    volume_swept_opening: Number,
) -> Number:
    """Work of compression before the intake valve closes and of expansion after the exhaust valve opens.

    pressure_closing      (...,)  [Pa]  in the cylinder when the intake valve closes
    volume_swept_closing  (...,)  [m3]  from bottom dead centre to intake closing
    pressure_opening      (...,)  [Pa]  in the cylinder when the exhaust valve opens
    pressure_em           (...,)  [Pa]  exhaust manifold, reached at bottom dead centre
    volume_swept_opening  (...,)  [m3]  from exhaust opening to bottom dead centre
    Returns (...,) [J], to be added to the work of the closed part. Raises OutOfDomain outside the ranges
    given.
    Source: own estimate: pressure constant before closing (the valve is still open) and falling evenly with
    volume after opening."""
    blow_down = 0.5 * (pressure_opening + pressure_em) * volume_swept_opening
    return blow_down - pressure_closing * volume_swept_closing
