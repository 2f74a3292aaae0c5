"""Humid air and power correction by weather: chains of the proof."""

from __future__ import annotations

from typing import Any

from boostwright.physics import power_correction
from boostwright.physics.gas import air, mixture, standard_atmosphere
from boostwright.proof.chain import chain

__all__ = [
    "compression_ignition_factor",
    "density_altitude_of_dry_air",
    "density_of_weather",
    "dew_point_of_weather",
    "dew_point_of_weather_iapws",
    "dry_pressure_of_weather",
    "height_difference",
    "humidity_ratio_of_weather",
    "iso_1585_of_weather",
    "j607_of_weather",
    "j1349_cost_of_ignoring_humidity",
    "j1349_of_weather",
    "j1349_ratio",
    "oxygen_of_weather",
]


@chain("gas.air.saturation_pressure_wagner_pruss", "gas.air.vapour_pressure", "gas.air.dry_pressure")
def dry_pressure_of_weather(pressure: float, temperature: float, relative_humidity: float) -> Any:
    """Dry pressure from what a weather station shows."""
    vapour = air.vapour_pressure(relative_humidity, air.saturation_pressure_wagner_pruss(temperature))
    return air.dry_pressure(pressure, vapour)


@chain("gas.air.saturation_pressure_wagner_pruss", "gas.air.vapour_pressure", "gas.air.humidity_ratio")
def humidity_ratio_of_weather(pressure: float, temperature: float, relative_humidity: float) -> Any:
    """Humidity ratio from what a weather station shows."""
    vapour = air.vapour_pressure(relative_humidity, air.saturation_pressure_wagner_pruss(temperature))
    return air.humidity_ratio(pressure, vapour)


@chain("gas.air.humid_air_mole_fractions", "gas.mixture.gas_constant", "gas.air.density_ideal_gas")
def density_of_weather(pressure: float, temperature: float, relative_humidity: float) -> Any:
    """Density of humid air from what a weather station shows."""
    mole_fractions = air.humid_air(pressure, temperature, relative_humidity)
    return air.density_ideal_gas(pressure, temperature, mixture.gas_constant(mole_fractions))


@chain("gas.air.humid_air_mole_fractions")
def oxygen_of_weather(pressure: float, temperature: float, relative_humidity: float) -> Any:
    """Oxygen mole fraction of humid air from what a weather station shows."""
    return air.humid_air(pressure, temperature, relative_humidity)[..., 1]


@chain("gas.air.dew_point_magnus_alduchov_eskridge", "gas.air.saturation_pressure_magnus_alduchov_eskridge")
def dew_point_of_weather(temperature: float, relative_humidity: float) -> Any:
    """Dew point from temperature and relative humidity."""
    saturated = air.saturation_pressure_magnus_alduchov_eskridge(temperature)
    return air.dew_point_magnus_alduchov_eskridge(air.vapour_pressure(relative_humidity, saturated))


@chain(
    "gas.air.dew_point_wagner_pruss", "gas.air.saturation_pressure_wagner_pruss", "gas.air.vapour_pressure"
)
def dew_point_of_weather_iapws(temperature: float, relative_humidity: float) -> Any:
    """Dew point from temperature and relative humidity, both ends by the release of IAPWS."""
    saturated = air.saturation_pressure_wagner_pruss(temperature)
    return air.dew_point_wagner_pruss(air.vapour_pressure(relative_humidity, saturated))


@chain("gas.air.density_ideal_gas", "gas.standard_atmosphere.density_altitude")
def density_altitude_of_dry_air(pressure: float, temperature: float) -> Any:
    """Density altitude of dry air."""
    density = air.density_ideal_gas(pressure, temperature, 287.05287)
    return standard_atmosphere.density_altitude(density)


@chain("power_correction.correction_j1349")
def j1349_of_weather(
    pressure: float, temperature: float, relative_humidity: float, standard_temperature: float
) -> Any:
    """SAE J1349 from total pressure and humidity; the standard's temperature is degC + 273."""
    dry = dry_pressure_of_weather(pressure, temperature, relative_humidity)
    return power_correction.correction_j1349(dry, standard_temperature)


@chain("power_correction.correction_iso_1585")
def iso_1585_of_weather(
    pressure: float, temperature: float, relative_humidity: float, standard_temperature: float
) -> Any:
    """ISO 1585 from total pressure and humidity; the standard's temperature is degC + 273."""
    dry = dry_pressure_of_weather(pressure, temperature, relative_humidity)
    return power_correction.correction_iso_1585(dry, standard_temperature)


@chain("power_correction.correction_j607")
def j607_of_weather(pressure: float, temperature: float, relative_humidity: float) -> Any:
    """SAE J607 from total pressure and humidity."""
    dry = dry_pressure_of_weather(pressure, temperature, relative_humidity)
    return power_correction.correction_j607(dry, temperature)


@chain("power_correction.correction_j1349")
def j1349_cost_of_ignoring_humidity(
    pressure: float, temperature: float, relative_humidity: float, standard_temperature: float
) -> Any:
    """SAE J1349 with dry pressure less the same with total pressure."""
    right = j1349_of_weather(pressure, temperature, relative_humidity, standard_temperature)
    return right - power_correction.correction_j1349(pressure, standard_temperature)


@chain(
    "power_correction.correction_compression_ignition",
    "power_correction.engine_factor_compression_ignition",
)
def compression_ignition_factor(
    dry_pressure: float, temperature: float, specific_fuel_delivery: float
) -> Any:
    """ISO 1585 for turbocharged compression ignition from the specific fuel delivery."""
    factor = power_correction.engine_factor_compression_ignition(specific_fuel_delivery)
    return power_correction.correction_compression_ignition(dry_pressure, temperature, factor)


@chain("power_correction.correction_j1349")
def j1349_ratio(first_pressure: float, second_pressure: float, temperature: float) -> Any:
    """By how much SAE J1349 would raise a power when the barometer falls."""
    after = power_correction.correction_j1349(second_pressure, temperature)
    return after / power_correction.correction_j1349(first_pressure, temperature)


@chain("gas.standard_atmosphere.geopotential_height")
def height_difference(altitude: float) -> Any:
    """Geometric altitude less geopotential height."""
    return altitude - standard_atmosphere.geopotential_height(altitude)
