"""Burning, wall heat and knock: chains of the proof."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.physics.cylinder import burn, knock
from boostwright.physics.gas import fuel_vapour, mixture
from boostwright.proof.chain import chain

__all__ = ["fuel_vapour_specific_heat", "livengood_wu_rising_pressure", "wiebe_share_10_90"]


@chain("cylinder.burn.burn_progress_wiebe")
def wiebe_share_10_90(wiebe_factor: float, wiebe_exponent: float) -> Any:
    """Angle from 10 to 90 % burned as a share of the burn duration."""
    late = burn.burn_progress_wiebe(0.9, wiebe_factor, wiebe_exponent)
    return late - burn.burn_progress_wiebe(0.1, wiebe_factor, wiebe_exponent)


@chain("cylinder.knock.integral_step_livengood_wu", "cylinder.knock.ignition_delay_douaud_eyzat")
def livengood_wu_rising_pressure(
    octane_number: float,
    pressure_start: float,
    pressure_end: float,
    time: float,
    temperature_start: float,
    exponent: float,
) -> Any:
    """Knock integral under a pressure that rises evenly, the end gas compressed with a constant exponent."""
    pressure = np.linspace(pressure_start, pressure_end, 2001)
    temperature = temperature_start * (pressure / pressure_start) ** ((exponent - 1.0) / exponent)
    delay = knock.ignition_delay_douaud_eyzat(pressure, temperature, octane_number)
    return np.sum(knock.integral_step_livengood_wu(time / 2000.0, delay[:-1], delay[1:]))


@chain("gas.mixture.specific_heat")
def fuel_vapour_specific_heat(
    hydrogen_per_carbon: float, oxygen_per_carbon: float, temperature: float
) -> Any:
    """Specific heat of a fuel's vapour."""
    coefficients = fuel_vapour.fuel_vapour_coefficients(hydrogen_per_carbon, oxygen_per_carbon)
    return mixture.specific_heat(coefficients, temperature)
