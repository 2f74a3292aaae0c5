"""Probes and radiation: chains of the proof."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.physics.gas import air
from boostwright.physics.heat import probe, radiation
from boostwright.proof.chain import chain

__all__ = [
    "exchange_with_shields",
    "flux_share_of_shields",
    "flux_share_past_a_shield",
    "probe_reynolds",
    "radiated_power_of_pipe",
    "sphere_heat_transfer",
    "sphere_lag",
    "temperature_of_shield",
    "wire_heat_transfer",
    "wire_lag",
]


@chain("heat.probe.nusselt_scadron_warshawsky", "gas.air.thermal_conductivity_power_law")
def wire_heat_transfer(
    diameter: float,
    velocity: float,
    temperature: float,
    pressure: float,
    specific_heat: float,
    gas_constant: float,
) -> Any:
    """Heat transfer coefficient of a wire across a gas stream."""
    viscosity = air.viscosity_sutherland(temperature)
    conductivity = air.thermal_conductivity_power_law(temperature)
    reynolds = probe_reynolds(diameter, velocity, temperature, pressure, gas_constant)
    nusselt = probe.nusselt_scadron_warshawsky(reynolds, specific_heat * viscosity / conductivity)
    return nusselt * conductivity / diameter


@chain("gas.air.viscosity_sutherland", "gas.air.density_ideal_gas")
def probe_reynolds(
    diameter: float, velocity: float, temperature: float, pressure: float, gas_constant: float
) -> Any:
    """Reynolds number on the diameter of a probe."""
    density = air.density_ideal_gas(pressure, temperature, gas_constant)
    return density * velocity * diameter / air.viscosity_sutherland(temperature)


@chain("heat.probe.nusselt_ranz_marshall", "gas.air.thermal_conductivity_power_law")
def sphere_heat_transfer(
    diameter: float,
    velocity: float,
    temperature: float,
    pressure: float,
    specific_heat: float,
    gas_constant: float,
) -> Any:
    """Heat transfer coefficient of a bead in a gas stream."""
    viscosity = air.viscosity_sutherland(temperature)
    conductivity = air.thermal_conductivity_power_law(temperature)
    reynolds = probe_reynolds(diameter, velocity, temperature, pressure, gas_constant)
    nusselt = probe.nusselt_ranz_marshall(reynolds, specific_heat * viscosity / conductivity)
    return nusselt * conductivity / diameter


@chain("heat.probe.lag_wire")
def wire_lag(
    diameter: float,
    velocity: float,
    temperature: float,
    pressure: float,
    specific_heat: float,
    gas_constant: float,
    metal_density: float,
    metal_specific_heat: float,
) -> Any:
    """Time constant of a wire across a gas stream."""
    h = wire_heat_transfer(diameter, velocity, temperature, pressure, specific_heat, gas_constant)
    return probe.lag_wire(diameter, metal_density, metal_specific_heat, h)


@chain("heat.probe.lag_sphere")
def sphere_lag(
    diameter: float,
    velocity: float,
    temperature: float,
    pressure: float,
    specific_heat: float,
    gas_constant: float,
    metal_density: float,
    metal_specific_heat: float,
) -> Any:
    """Time constant of a bead in a gas stream."""
    h = sphere_heat_transfer(diameter, velocity, temperature, pressure, specific_heat, gas_constant)
    return probe.lag_sphere(diameter, metal_density, metal_specific_heat, h)


@chain("heat.radiation.exchange_parallel_plates", "heat.radiation.shield_resistance")
def exchange_with_shields(
    temperature_hot: float,
    temperature_cold: float,
    emissivity_hot: float,
    emissivity_cold: float,
    shields: Any,
) -> Any:
    """Exchange between plates with shields given as pairs of emissivities (hot face, cold face)."""
    pairs = np.asarray(shields, dtype=float).reshape(-1, 2)
    added = sum(float(radiation.shield_resistance(a, b)) for a, b in pairs)
    return radiation.exchange_parallel_plates(
        temperature_hot, temperature_cold, emissivity_hot, emissivity_cold, added
    )


@chain("heat.radiation.shield_temperature", "heat.radiation.exchange_parallel_plates")
def temperature_of_shield(
    temperature_hot: float,
    temperature_cold: float,
    emissivity_hot: float,
    emissivity_cold: float,
    emissivity_shield: float,
) -> Any:
    """Temperature of a single shield with the same emissivity on both faces."""
    flux = exchange_with_shields(
        temperature_hot,
        temperature_cold,
        emissivity_hot,
        emissivity_cold,
        [[emissivity_shield, emissivity_shield]],
    )
    return radiation.shield_temperature(temperature_hot, flux, emissivity_hot, emissivity_shield)


@chain("heat.radiation.exchange_small_body")
def radiated_power_of_pipe(
    diameter: float, length: float, emissivity: float, temperature: float, temperature_around: float
) -> Any:
    """Heat radiated by a short pipe in wide surroundings."""
    flux = radiation.exchange_small_body(emissivity, temperature, temperature_around)
    return flux * np.pi * diameter * length


@chain("heat.radiation.exchange_parallel_plates", "heat.radiation.shield_resistance")
def flux_share_of_shields(shields: float, emissivity: float) -> Any:
    """Heat flux with a number of shields over that without, all emissivities equal."""
    pairs = [[emissivity, emissivity]] * int(shields)
    shielded = exchange_with_shields(1000.0, 350.0, emissivity, emissivity, pairs)
    return shielded / radiation.exchange_parallel_plates(1000.0, 350.0, emissivity, emissivity)


@chain("heat.radiation.exchange_parallel_plates", "heat.radiation.shield_resistance")
def flux_share_past_a_shield(emissivity_hot: float, emissivity_cold: float, emissivity_shield: float) -> Any:
    """Heat flux with one shield, both faces alike, over that without; the temperatures drop out."""
    ends = (1000.0, 350.0, emissivity_hot, emissivity_cold)
    shielded = exchange_with_shields(*ends, [[emissivity_shield, emissivity_shield]])
    return shielded / radiation.exchange_parallel_plates(*ends)
