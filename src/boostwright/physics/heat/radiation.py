"""Radiation between grey surfaces."""

from __future__ import annotations

from typing import Any

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "STEFAN_BOLTZMANN",
    "black_body_emission",
    "exchange_concentric_cylinders",
    "exchange_parallel_plates",
    "exchange_small_body",
    "shield_resistance",
    "shield_temperature",
]

STEFAN_BOLTZMANN = 5.670374419e-8  # W/(m2 K4), CODATA 2018

_NOT_NEGATIVE = Interval(0.0)
_EMISSIVITY = Interval(0.0, 1.0, open_low=True)


def _drawn(
    temperature_hot: Number, heat_flux: Number, emissivity_hot: Number, emissivity_hot_face: Number
) -> Any:
    """Whether a shield, however cold, would draw that heat."""
    resistance = 1.0 / emissivity_hot + 1.0 / emissivity_hot_face - 1.0
    return heat_flux * resistance <= STEFAN_BOLTZMANN * temperature_hot**4


@relation(source="codata-2018", status="definition", domain={"temperature": _NOT_NEGATIVE})
def black_body_emission(temperature: Number) -> Number:
    """Radiation of a black surface.

    temperature  (...,)  [K]
    Returns (...,) [W/m2]. Raises OutOfDomain for a negative temperature.
    Source: Stefan-Boltzmann law, constant of CODATA 2018."""
    return STEFAN_BOLTZMANN * temperature**4


@relation(
    source="incropera-dewitt",
    status="from memory",
    domain={"emissivity": _EMISSIVITY, "temperature": _NOT_NEGATIVE, "temperature_around": _NOT_NEGATIVE},
)
def exchange_small_body(emissivity: Number, temperature: Number, temperature_around: Number) -> Number:
    """Heat leaving a body that is small beside what surrounds it.

    emissivity          (...,)  [-]  of the body
    temperature         (...,)  [K]  of the body
    temperature_around  (...,)  [K]  of the surroundings
    Returns (...,) [W/m2]. Raises OutOfDomain outside the ranges given.
    Source: Incropera and DeWitt, chapter 1, from memory."""
    return emissivity * STEFAN_BOLTZMANN * (temperature**4 - temperature_around**4)


@relation(
    source="incropera-dewitt",
    status="from memory",
    domain={"emissivity_hot_face": _EMISSIVITY, "emissivity_cold_face": _EMISSIVITY},
)
def shield_resistance(emissivity_hot_face: Number, emissivity_cold_face: Number) -> Number:
    """What one thin shield adds to the resistance between parallel plates; several shields add up.

    emissivity_hot_face   (...,)  [-]  facing the hot plate
    emissivity_cold_face  (...,)  [-]  facing the cold plate
    Returns (...,) [-]. Raises OutOfDomain for an emissivity outside 0 to 1.
    Source: Incropera and DeWitt, chapter 13, from memory."""
    return 1.0 / emissivity_hot_face + 1.0 / emissivity_cold_face - 1.0


@relation(
    source="incropera-dewitt",
    status="from memory",
    domain={
        "temperature_hot": _NOT_NEGATIVE,
        "temperature_cold": _NOT_NEGATIVE,
        "emissivity_hot": _EMISSIVITY,
        "emissivity_cold": _EMISSIVITY,
        "shields": _NOT_NEGATIVE,
    },
)
def exchange_parallel_plates(
    temperature_hot: Number,
    temperature_cold: Number,
    emissivity_hot: Number,
    emissivity_cold: Number,
    shields: Number = 0.0,
) -> Number:
    """Heat between parallel plates, wide beside their distance, with any shields between.

    temperature_hot   (...,)  [K]
    temperature_cold  (...,)  [K]
    emissivity_hot    (...,)  [-]
    emissivity_cold   (...,)  [-]
    shields           (...,)  [-]  sum of shield_resistance over the shields, 0 without
    Returns (...,) [W/m2]. Raises OutOfDomain outside the ranges given.
    Source: Incropera and DeWitt, chapter 13, from memory."""
    resistance = 1.0 / emissivity_hot + 1.0 / emissivity_cold - 1.0 + shields
    return STEFAN_BOLTZMANN * (temperature_hot**4 - temperature_cold**4) / resistance


@relation(
    source="incropera-dewitt",
    status="from memory",
    domain={
        "temperature_hot": _NOT_NEGATIVE,
        "heat_flux": _NOT_NEGATIVE,
        "emissivity_hot": _EMISSIVITY,
        "emissivity_hot_face": _EMISSIVITY,
    },
    needs={"no more heat than a cold shield would draw": _drawn},
)
def shield_temperature(
    temperature_hot: Number, heat_flux: Number, emissivity_hot: Number, emissivity_hot_face: Number
) -> Number:
    """Temperature of the shield next to a hot plate.

    temperature_hot      (...,)  [K]     of the plate
    heat_flux            (...,)  [W/m2]  passing, from exchange_parallel_plates
    emissivity_hot       (...,)  [-]     of the plate
    emissivity_hot_face  (...,)  [-]     of the shield's face toward it
    Returns (...,) [K]. Raises OutOfDomain outside the ranges given.
    Source: Incropera and DeWitt, chapter 13, from memory."""
    resistance = 1.0 / emissivity_hot + 1.0 / emissivity_hot_face - 1.0
    return (temperature_hot**4 - heat_flux * resistance / STEFAN_BOLTZMANN) ** 0.25


@relation(
    source="incropera-dewitt",
    status="from memory",
    domain={
        "temperature_inner": _NOT_NEGATIVE,
        "temperature_outer": _NOT_NEGATIVE,
        "emissivity_inner": _EMISSIVITY,
        "emissivity_outer": _EMISSIVITY,
        "area_ratio": Interval(0.0, 1.0),
    },
)
def exchange_concentric_cylinders(
    temperature_inner: Number,
    temperature_outer: Number,
    emissivity_inner: Number,
    emissivity_outer: Number,
    area_ratio: Number,
) -> Number:
    """Heat leaving the inner of two long concentric cylinders, a pipe in its heat shield.

    temperature_inner  (...,)  [K]
    temperature_outer  (...,)  [K]
    emissivity_inner   (...,)  [-]
    emissivity_outer   (...,)  [-]
    area_ratio         (...,)  [-]  inner over outer area, 0 to 1
    Returns (...,) [W/m2] of inner area. Raises OutOfDomain outside the ranges given.
    Source: Incropera and DeWitt, chapter 13, from memory."""
    resistance = 1.0 / emissivity_inner + area_ratio * (1.0 / emissivity_outer - 1.0)
    return STEFAN_BOLTZMANN * (temperature_inner**4 - temperature_outer**4) / resistance
