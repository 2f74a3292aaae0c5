"""Engine mechanics: chains of the proof."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from boostwright.physics.cylinder import definitions, friction, slider_crank
from boostwright.physics.gas import air, mixture
from boostwright.proof.chain import chain

__all__ = [
    "growth_of_friction_power_barnes_moss",
    "growth_of_friction_power_chen_flynn",
    "growth_of_friction_power_chen_flynn_original",
    "growth_of_friction_power_heywood_diesel",
    "net_rod_compression",
    "otto_cycle_of_air",
]


@chain("cylinder.slider_crank.rod_force_firing", "cylinder.slider_crank.gas_force")
def net_rod_compression(
    pressure: float,
    crankcase_pressure: float,
    bore: float,
    reciprocating_mass: float,
    stroke: float,
    rod_length: float,
    rotational_speed: float,
) -> Any:
    """Rod compression at firing top dead centre."""
    inertia = slider_crank.inertia_force(0.0, reciprocating_mass, stroke, rod_length, rotational_speed)
    return slider_crank.rod_force_firing(slider_crank.gas_force(pressure, crankcase_pressure, bore), inertia)


def _growth(pressure: Callable[[float], Any], first: float, second: float) -> float:
    """Exponent n with which friction power, pressure times speed, grows as speed to the n between two speeds."""
    powers = float(pressure(second)) * second / (float(pressure(first)) * first)
    return float(np.log(powers) / np.log(second / first))


@chain("cylinder.friction.friction_barnes_moss")
def growth_of_friction_power_barnes_moss(first: float, second: float) -> Any:
    """Exponent of friction power over engine speed."""
    return _growth(friction.friction_barnes_moss, first, second)


@chain("cylinder.friction.friction_chen_flynn")
def growth_of_friction_power_chen_flynn(
    first: float, second: float, stroke: float, peak_pressure: float, **constants: float
) -> Any:
    """Exponent of friction power over engine speed at one peak pressure, with the constants of the form."""

    def pressure(speed: float) -> Any:
        piston_speed = definitions.mean_piston_speed(stroke, speed)
        return friction.friction_chen_flynn(peak_pressure, piston_speed, **constants)

    return _growth(pressure, first, second)


@chain("cylinder.friction.friction_chen_flynn_original")
def growth_of_friction_power_chen_flynn_original(
    first: float, second: float, stroke: float, peak_pressure: float
) -> Any:
    """Exponent of friction power over engine speed at one peak pressure."""

    def pressure(speed: float) -> Any:
        piston_speed = definitions.mean_piston_speed(stroke, speed)
        return friction.friction_chen_flynn_original(peak_pressure, piston_speed)

    return _growth(pressure, first, second)


@chain("cylinder.friction.friction_heywood_diesel")
def growth_of_friction_power_heywood_diesel(first: float, second: float, stroke: float) -> Any:
    """Exponent of friction power over engine speed."""

    def pressure(speed: float) -> Any:
        return friction.friction_heywood_diesel(speed, definitions.mean_piston_speed(stroke, speed), 75e3)

    return _growth(pressure, first, second)


@chain("gas.mixture.specific_enthalpy", "gas.mixture.entropy_function", "gas.mixture.gas_constant")
def otto_cycle_of_air(
    compression_ratio: float, pressure: float, temperature: float, heat: float, quantity: float
) -> Any:
    """Constant-volume cycle of dry air with variable specific heat.

    quantity 0 highest temperature, 1 highest pressure, 2 efficiency, 3 mean effective pressure"""
    coefficients = mixture.mixture_coefficients(air.DRY_AIR)
    gas_constant = float(mixture.gas_constant(air.DRY_AIR))

    def energy(t: float) -> float:
        return float(mixture.specific_enthalpy(coefficients, t)) - gas_constant * t

    def entropy(t: float, volume_ratio: float) -> float:
        at_one_bar = float(mixture.entropy_function(coefficients, t))
        return at_one_bar + gas_constant * float(np.log(volume_ratio / t))

    compressed = _rising_root(
        lambda t: entropy(t, 1.0 / compression_ratio) - entropy(temperature, 1.0), temperature
    )
    hottest = _rising_root(lambda t: energy(t) - energy(compressed) - heat, compressed)
    expanded = _rising_root(lambda t: entropy(t, compression_ratio) - entropy(hottest, 1.0), temperature)
    work = heat - (energy(expanded) - energy(temperature))
    volume = gas_constant * temperature / pressure * (1.0 - 1.0 / compression_ratio)
    top = pressure * compression_ratio * hottest / temperature
    return (hottest, top, work / heat, work / volume)[int(quantity)]


def _rising_root(function: Callable[[float], float], low: float) -> float:
    """Temperature where a rising function is zero, between ``low`` and 6000 K, by halving."""
    high = 6000.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if function(middle) < 0.0 else (low, middle)
    return 0.5 * (low + high)
