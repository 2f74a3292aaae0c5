"""What an exhaust temperature probe shows beside what the turbine sees."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Section
from boostwright.physics.gas import air
from boostwright.physics.heat import probe

__all__ = ["probe_reading"]

Array = NDArray[np.float64]

_SPECIFIC_HEAT = 1250.0  # J/(kg K), hot exhaust
_PRANDTL = 0.70
_RECOVERY = 0.68  # wire across the flow, Moffat (1962), from memory


def probe_reading(
    section: Section, temperature: Array, pressure: Array, flow: Array, gas_constant: Array, bore: float
) -> Array:
    """Steady reading [K] of the [probe] section's probe in the collector.

    temperature (n,) [K] enthalpy mean, pressure (n,) [Pa] total, flow (n,) [kg/s], gas_constant (n,), bore [m]
    Recovery of the dynamic temperature, convection to the tip (Scadron & Warshawsky, air properties) against radiation
    to a wall that is cooler by a stated difference, then a stated offset for the cycle's time mean. Lag is for logs.
    """
    diameter = section.si("diameter")
    density = pressure / (gas_constant * temperature)
    area = np.pi / 4.0 * bore**2
    velocity = flow / (density * area)
    viscosity = np.asarray(air.viscosity_sutherland(temperature), dtype=float)
    conductivity = np.asarray(air.thermal_conductivity_power_law(temperature), dtype=float)
    reynolds = density * velocity * diameter / viscosity
    nusselt = np.asarray(probe.nusselt_scadron_warshawsky(reynolds, _PRANDTL), dtype=float)
    recovered = temperature - np.asarray(
        probe.recovery_error(velocity, _SPECIFIC_HEAT, _RECOVERY), dtype=float
    )
    shown = probe.probe_temperature(
        recovered,
        temperature - section.si("wall_temperature_difference"),
        section.si("emissivity"),
        nusselt * conductivity / diameter,
    )
    return np.asarray(shown, dtype=float) - section.si("cycle_offset")
