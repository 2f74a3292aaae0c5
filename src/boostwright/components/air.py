"""Ambient air: pressure, temperature, humidity, and the gas the engine breathes."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Section
from boostwright.physics.gas import air, mixture

__all__ = ["AmbientAir", "ambient_air", "kernel_coefficients", "standard_air"]

Array = NDArray[np.float64]
_REFERENCE = 298.15  # K, where the kernels' enthalpy is zero


@dataclass(frozen=True)
class AmbientAir:
    """Ambient state. pressure [Pa] station, temperature [K], humidity_ratio [kg water per kg dry air]."""

    pressure: float
    temperature: float
    humidity_ratio: float
    mole_fractions: Array
    gas_constant: float
    coefficients: Array


def kernel_coefficients(coefficients: Array, part: int) -> Array:
    """The six numbers a kernel needs of one temperature range: cp polynomial and enthalpy constant.

    coefficients (..., 2, 7) as ``mixture_coefficients`` gives them; part 0 below 1000 K, 1 above
    Returns (..., 6); the last makes the enthalpy zero at 298.15 K on both ranges.
    """
    zero = np.asarray(mixture.specific_enthalpy(coefficients, np.full(coefficients.shape[:-2], _REFERENCE)))
    packed = np.array(coefficients[..., part, :6], copy=True)
    packed[..., 5] -= zero
    return packed


def ambient_air(section: Section) -> AmbientAir:
    """Ambient air of the [ambient] section, whose pressure is already the station pressure.

    Where the section's numbers are arrays (k,), so is everything of the air.
    """
    return _air(section.si("pressure"), section.si("temperature"), section.si("relative_humidity"))


@functools.cache
def standard_air() -> AmbientAir:
    """Air of one fixed composition: 101.325 kPa, 20 degC, 50 % relative humidity (own choice, an everyday state)."""
    return _air(101325.0, 293.15, 0.5)


def _air(pressure: float, temperature: float, relative_humidity: float) -> AmbientAir:
    saturation = air.saturation_pressure_wagner_pruss(temperature)
    vapour = air.vapour_pressure(relative_humidity, saturation)
    fractions = np.asarray(air.humid_air_mole_fractions(pressure, vapour), dtype=float)
    return AmbientAir(
        pressure=pressure,
        temperature=temperature,
        humidity_ratio=_number(air.humidity_ratio(pressure, vapour)),
        mole_fractions=fractions,
        gas_constant=_number(mixture.gas_constant(fractions)),
        coefficients=np.asarray(mixture.mixture_coefficients(fractions), dtype=float),
    )


def _number(value: Any) -> Any:
    return value if np.ndim(value) else float(value)
