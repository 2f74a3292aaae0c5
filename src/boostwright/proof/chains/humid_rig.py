"""A compressor rig that breathes humid air: chains of the proof.

The published readings state what the plenum was: total pressure, temperature, relative humidity. The gas keeps its
composition through the machine.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.physics.gas import air, isentropic, mixture
from boostwright.physics.gas.species import SPECIES
from boostwright.proof.chain import chain

__all__ = [
    "density_of_humid_gas",
    "efficiency_over_humid_rise",
    "enthalpy_rise_of_humid_air",
    "heat_capacity_ratio_of_humid_air",
    "static_over_total_from_static",
    "static_over_total_from_total",
    "water_of_weather",
]

_HUMIDITY = (
    "gas.air.saturation_pressure_wagner_pruss",
    "gas.air.vapour_pressure",
    "gas.air.humid_air_mole_fractions",
)


@chain(*_HUMIDITY)
def water_of_weather(pressure: float, temperature: float, relative_humidity: float) -> Any:
    """Mole fraction of water in humid air."""
    return air.humid_air(pressure, temperature, relative_humidity)[..., SPECIES.index("H2O")]


@chain(*_HUMIDITY, "gas.mixture.gas_constant", "gas.air.density_ideal_gas")
def density_of_humid_gas(
    pressure: float, temperature: float, relative_humidity: float, pressure_out: float, temperature_out: float
) -> Any:
    """Density behind a machine of the humid air that it breathes."""
    gas_constant = mixture.gas_constant(air.humid_air(pressure, temperature, relative_humidity))
    return air.density_ideal_gas(pressure_out, temperature_out, gas_constant)


@chain(
    *_HUMIDITY,
    "gas.mixture.mixture_coefficients",
    "gas.mixture.specific_heat",
    "gas.mixture.heat_capacity_ratio",
)
def heat_capacity_ratio_of_humid_air(
    pressure: float, temperature: float, relative_humidity: float, temperature_out: float
) -> Any:
    """Ratio of specific heats, behind a machine, of the humid air that it breathes."""
    shares = air.humid_air(pressure, temperature, relative_humidity)
    heat = mixture.specific_heat(mixture.mixture_coefficients(shares), temperature_out)
    return mixture.heat_capacity_ratio(heat, mixture.gas_constant(shares))


@chain(*_HUMIDITY, "gas.mixture.mixture_coefficients", "gas.mixture.specific_enthalpy")
def enthalpy_rise_of_humid_air(
    pressure: float, temperature: float, relative_humidity: float, temperature_out: float
) -> Any:
    """Rise of specific enthalpy of humid air over a machine."""
    coefficients = mixture.mixture_coefficients(air.humid_air(pressure, temperature, relative_humidity))
    hot = mixture.specific_enthalpy(coefficients, temperature_out)
    return hot - mixture.specific_enthalpy(coefficients, temperature)


@chain(*_HUMIDITY, "gas.mixture.entropy_function", "gas.mixture.temperature_from_entropy")
def efficiency_over_humid_rise(
    pressure: float,
    temperature: float,
    relative_humidity: float,
    pressure_ratio: float,
    temperature_out: float,
) -> Any:
    """Isentropic efficiency with the heat capacity of humid air by temperature."""
    shares = air.humid_air(pressure, temperature, relative_humidity)
    coefficients = mixture.mixture_coefficients(shares)
    cold = mixture.specific_enthalpy(coefficients, temperature)
    entropy = mixture.entropy_function(coefficients, temperature)
    entropy = entropy + mixture.gas_constant(shares) * np.log(pressure_ratio)
    ideal = mixture.specific_enthalpy(coefficients, mixture.temperature_from_entropy(coefficients, entropy))
    return (ideal - cold) / (mixture.specific_enthalpy(coefficients, temperature_out) - cold)


@chain("gas.isentropic.mach_number_from_total_pressure", "gas.isentropic.pressure_ratio")
def static_over_total_from_total(heat_capacity_ratio: float, **stream: float) -> Any:
    """What a wall tap reads over the total pressure, from flow, area and the total pressure."""
    mach = isentropic.mach_number_from_total_pressure(**stream, heat_capacity_ratio=heat_capacity_ratio)
    return isentropic.pressure_ratio(mach, heat_capacity_ratio)


@chain("gas.isentropic.mach_number_from_static_pressure", "gas.isentropic.pressure_ratio")
def static_over_total_from_static(heat_capacity_ratio: float, **stream: float) -> Any:
    """The same from what the tap reads."""
    mach = isentropic.mach_number_from_static_pressure(**stream, heat_capacity_ratio=heat_capacity_ratio)
    return isentropic.pressure_ratio(mach, heat_capacity_ratio)
