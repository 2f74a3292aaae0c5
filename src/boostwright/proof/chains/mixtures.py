"""Air, exhaust and fuels: chains of the proof."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.physics.gas import air, exhaust, fuel, mixture
from boostwright.physics.gas.species import SPECIES
from boostwright.proof.chain import chain

__all__ = [
    "blend_of_volume",
    "dry_air_compression_temperature",
    "dry_air_compression_work",
    "dry_air_heat_capacity_ratio",
    "dry_air_specific_heat",
    "enthalpy_of_mixture",
    "entropy_rise_of_mixture",
    "exhaust_dry_monoxide",
    "exhaust_gas_constant",
    "exhaust_heat_capacity_ratio",
    "exhaust_mean_specific_heat",
    "exhaust_molar_mass",
    "exhaust_share",
    "exhaust_specific_heat",
    "temperature_of_enthalpy",
]


def _exhaust(lambda_value: float, hydrogen_per_carbon: float) -> Any:
    return exhaust.exhaust_mole_fractions(lambda_value, hydrogen_per_carbon, 0.0, air.DRY_AIR)


@chain("gas.exhaust.exhaust_mole_fractions", "gas.mixture.molar_mass")
def exhaust_molar_mass(lambda_value: float, hydrogen_per_carbon: float) -> Any:
    """Molar mass of petrol exhaust."""
    return mixture.molar_mass(_exhaust(lambda_value, hydrogen_per_carbon))


@chain("gas.exhaust.exhaust_mole_fractions", "gas.mixture.gas_constant")
def exhaust_gas_constant(lambda_value: float, hydrogen_per_carbon: float) -> Any:
    """Gas constant of petrol exhaust."""
    return mixture.gas_constant(_exhaust(lambda_value, hydrogen_per_carbon))


@chain("gas.exhaust.exhaust_mole_fractions")
def exhaust_share(lambda_value: float, hydrogen_per_carbon: float, species: float) -> Any:
    """Wet mole fraction of the species with that place in the list (0 is nitrogen)."""
    return _exhaust(lambda_value, hydrogen_per_carbon)[..., int(species)]


@chain("gas.exhaust.exhaust_mole_fractions")
def exhaust_dry_monoxide(lambda_value: float, hydrogen_per_carbon: float) -> Any:
    """Mole fraction of carbon monoxide after the water is taken out."""
    shares = _exhaust(lambda_value, hydrogen_per_carbon)
    return shares[..., SPECIES.index("CO")] / (1.0 - shares[..., SPECIES.index("H2O")])


@chain("gas.mixture.mixture_coefficients", "gas.mixture.specific_heat")
def exhaust_specific_heat(lambda_value: float, hydrogen_per_carbon: float, temperature: float) -> Any:
    """Specific heat of petrol exhaust, frozen."""
    coefficients = mixture.mixture_coefficients(_exhaust(lambda_value, hydrogen_per_carbon))
    return mixture.specific_heat(coefficients, temperature)


@chain("gas.mixture.heat_capacity_ratio", "gas.mixture.specific_heat")
def exhaust_heat_capacity_ratio(lambda_value: float, hydrogen_per_carbon: float, temperature: float) -> Any:
    """Ratio of specific heats of petrol exhaust, frozen."""
    heat = exhaust_specific_heat(lambda_value, hydrogen_per_carbon, temperature)
    return mixture.heat_capacity_ratio(heat, exhaust_gas_constant(lambda_value, hydrogen_per_carbon))


@chain("gas.mixture.specific_enthalpy", "gas.mixture.sensible_enthalpy")
def exhaust_mean_specific_heat(
    lambda_value: float, hydrogen_per_carbon: float, cold: float, hot: float
) -> Any:
    """Mean specific heat of petrol exhaust between two temperatures, from the enthalpies."""
    coefficients = mixture.mixture_coefficients(_exhaust(lambda_value, hydrogen_per_carbon))
    rise = mixture.specific_enthalpy(coefficients, hot) - mixture.sensible_enthalpy(coefficients, cold)
    return (rise - mixture.specific_enthalpy(coefficients, 298.15)) / (hot - cold)


@chain("gas.mixture.specific_heat")
def dry_air_specific_heat(temperature: float) -> Any:
    """Specific heat of dry air."""
    return mixture.specific_heat(mixture.mixture_coefficients(air.DRY_AIR), temperature)


@chain("gas.mixture.heat_capacity_ratio")
def dry_air_heat_capacity_ratio(temperature: float) -> Any:
    """Ratio of specific heats of dry air."""
    return mixture.heat_capacity_ratio(dry_air_specific_heat(temperature), mixture.gas_constant(air.DRY_AIR))


@chain("gas.mixture.mixture_coefficients", "gas.mixture.specific_enthalpy")
def enthalpy_of_mixture(mole_fractions: Any, temperature: float) -> Any:
    """Specific enthalpy of a mixture, heat of formation included."""
    return mixture.specific_enthalpy(mixture.mixture_coefficients(mole_fractions), temperature)


@chain("gas.mixture.temperature_from_enthalpy")
def temperature_of_enthalpy(mole_fractions: Any, specific_enthalpy: float) -> Any:
    """Temperature of a mixture from its specific enthalpy."""
    coefficients = mixture.mixture_coefficients(mole_fractions)
    return mixture.temperature_from_enthalpy(coefficients, specific_enthalpy)


@chain("gas.mixture.entropy_function")
def entropy_rise_of_mixture(mole_fractions: Any, cold: float, hot: float) -> Any:
    """Rise of the entropy function of a mixture between two temperatures."""
    coefficients = mixture.mixture_coefficients(mole_fractions)
    return mixture.entropy_function(coefficients, hot) - mixture.entropy_function(coefficients, cold)


@chain("gas.mixture.entropy_function", "gas.mixture.temperature_from_entropy")
def dry_air_compression_temperature(temperature_in: float, pressure_ratio: float, efficiency: float) -> Any:
    """Outlet temperature of a compressor breathing dry air of variable specific heat."""
    coefficients = mixture.mixture_coefficients(air.DRY_AIR)
    work = dry_air_compression_work(temperature_in, pressure_ratio, efficiency)
    return mixture.temperature_from_enthalpy(
        coefficients, mixture.specific_enthalpy(coefficients, temperature_in) + work
    )


@chain("gas.mixture.entropy_function", "gas.mixture.temperature_from_entropy")
def dry_air_compression_work(temperature_in: float, pressure_ratio: float, efficiency: float) -> Any:
    """Specific work of a compressor breathing dry air of variable specific heat."""
    coefficients = mixture.mixture_coefficients(air.DRY_AIR)
    entropy = mixture.entropy_function(coefficients, temperature_in)
    entropy = entropy + mixture.gas_constant(air.DRY_AIR) * np.log(pressure_ratio)
    ideal = mixture.temperature_from_entropy(coefficients, entropy)
    rise = mixture.specific_enthalpy(coefficients, ideal)
    return (rise - mixture.specific_enthalpy(coefficients, temperature_in)) / efficiency


@chain("gas.fuel.blend_mass_fraction", "gas.fuel.blend_by_mass")
def blend_of_volume(
    volume_fraction: float, density_a: float, density_b: float, property_a: float, property_b: float
) -> Any:
    """Property that adds by mass, of a blend stated by volume."""
    share = fuel.blend_mass_fraction(volume_fraction, density_a, density_b)
    return fuel.blend_by_mass(share, property_a, property_b)
