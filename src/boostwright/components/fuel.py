"""Fuel and exhaust gas: mixture strength along the speeds, the heat released, the gas that leaves."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Section
from boostwright.cards.card import Card
from boostwright.components.air import AmbientAir
from boostwright.physics.gas import exhaust, fuel, mixture

__all__ = ["BurnedMixture", "burned_mixture", "mixture_of_lambda"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class BurnedMixture:
    """What a fuel does with the air at each speed (n,).

    lambda_value     [-]
    fuel_air_ratio   kg fuel per kg of (humid) air
    released_heat    [J] per kg fuel, what leaves as carbon monoxide and hydrogen taken off
    unburned_energy  [J] per kg exhaust that leaves so
    mole_fractions   (n, 7) of the exhaust; coefficients (n, 2, 7)
    """

    lambda_value: Array
    stoichiometric_ratio: float
    lower_heating_value: float
    fuel_air_ratio: Array
    released_heat: Array
    unburned_energy: Array
    mole_fractions: Array
    gas_constant: Array
    coefficients: Array


def burned_mixture(section: Section, card: Card, ambient: AmbientAir, speeds: Array) -> BurnedMixture:
    """Mixture and exhaust of the [fuel] section at the engine speeds (n,) [rad/s].

    The card's composition sets the stoichiometric ratio and the exhaust; its heating value is of the liquid, so no
    latent heat is taken off again.
    """
    return mixture_of_lambda(section.curve("lambda_target").along(speeds), card, ambient)


def mixture_of_lambda(lam: Array, card: Card, ambient: AmbientAir) -> BurnedMixture:
    """Mixture and exhaust of a fuel card at lambda (n,) [-] in the day's air."""
    hydrogen, oxygen = card.si("hydrogen_per_carbon"), card.si("oxygen_per_carbon")
    ratio = float(fuel.stoichiometric_air_fuel_ratio(hydrogen, oxygen))
    heating = card.si("lower_heating_value")
    air = np.broadcast_to(ambient.mole_fractions, (*lam.shape, 7))
    fractions = np.asarray(exhaust.exhaust_mole_fractions(lam, hydrogen, oxygen, air), dtype=float)
    unburned = np.asarray(exhaust.chemical_energy(fractions), dtype=float)
    per_fuel = np.asarray(exhaust.exhaust_per_fuel_mass(lam, ratio, ambient.humidity_ratio), dtype=float)
    return BurnedMixture(
        lambda_value=lam,
        stoichiometric_ratio=ratio,
        lower_heating_value=heating,
        fuel_air_ratio=1.0 / (per_fuel - 1.0),
        released_heat=np.asarray(
            exhaust.released_heat_per_fuel_mass(heating, per_fuel, unburned), dtype=float
        ),
        unburned_energy=unburned,
        mole_fractions=fractions,
        gas_constant=np.asarray(mixture.gas_constant(fractions), dtype=float),
        coefficients=np.asarray(mixture.mixture_coefficients(fractions), dtype=float),
    )
