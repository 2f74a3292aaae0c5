"""Ideal-gas mixtures of the seven species that an engine breathes and exhausts.

A composition is an array of mole fractions whose last axis runs over ``species.SPECIES``. It is collapsed
once into two rows of seven mass-specific coefficients (``mixture_coefficients``); every caloric property
then costs one polynomial, whatever the number of species. Row 0 holds below 1000 K, row 1 from 1000 K on.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.physics.gas.species import MOLAR_MASS, SPECIES_COEFFICIENTS, UNIVERSAL_GAS_CONSTANT
from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "entropy_function",
    "gas_constant",
    "heat_capacity_ratio",
    "mass_fractions",
    "mixture_coefficients",
    "molar_mass",
    "sensible_enthalpy",
    "specific_enthalpy",
    "specific_heat",
    "temperature_from_enthalpy",
    "temperature_from_entropy",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_FRACTION = Interval(0.0)
_FITTED = Interval(220.0, 3500.0)


@relation(source="mcbride-2002", status="definition", domain={"mole_fractions": _FRACTION})
def molar_mass(mole_fractions: NDArray[np.float64]) -> Number:
    """Molar mass of a mixture.

    mole_fractions  (..., 7)  [-]  in the order of species.SPECIES; any common scale
    Returns (...,) [kg/kmol]. Raises OutOfDomain for a negative fraction.
    Source: definition; atomic weights as in Cantera 3.2."""
    result: Number = np.sum(mole_fractions * MOLAR_MASS, axis=-1) / np.sum(mole_fractions, axis=-1)
    return result


@relation(source="mcbride-2002", status="definition", domain={"mole_fractions": _FRACTION})
def gas_constant(mole_fractions: NDArray[np.float64]) -> Number:
    """Specific gas constant of a mixture.

    mole_fractions  (..., 7)  [-]  in the order of species.SPECIES; any common scale
    Returns (...,) [J/(kg K)]. Raises OutOfDomain for a negative fraction.
    Source: definition; atomic weights as in Cantera 3.2."""
    total = np.sum(mole_fractions, axis=-1)
    result: Number = UNIVERSAL_GAS_CONSTANT * total / np.sum(mole_fractions * MOLAR_MASS, axis=-1)
    return result


@relation(source="mcbride-2002", status="definition", domain={"mole_fractions": _FRACTION})
def mass_fractions(mole_fractions: NDArray[np.float64]) -> NDArray[np.float64]:
    """Mass fractions from mole fractions.

    mole_fractions  (..., 7)  [-]  in the order of species.SPECIES; any common scale
    Returns (..., 7) [-], summing to 1. Raises OutOfDomain for a negative fraction.
    Source: definition; atomic weights as in Cantera 3.2."""
    masses = mole_fractions * MOLAR_MASS
    result: NDArray[np.float64] = masses / np.sum(masses, axis=-1, keepdims=True)
    return result


@relation(source="mcbride-2002", status="read", domain={"mole_fractions": _FRACTION})
def mixture_coefficients(mole_fractions: NDArray[np.float64]) -> NDArray[np.float64]:
    """Mass-specific polynomial coefficients of a frozen mixture.

    mole_fractions  (..., 7)  [-]  in the order of species.SPECIES; any common scale
    Returns (..., 2, 7) [J/(kg K^n)]: row 0 below 1000 K, row 1 above; a1..a5 of cp = a1 + a2 T + ..., a6
    of the enthalpy, a7 [J/(kg K)] of the entropy. Raises OutOfDomain for a negative fraction.
    Source: NASA TP-2002-211556 and GRI-Mech 3.0, as carried by Cantera 3.2 (see species.py). The entropy of mixing,
    constant for a frozen mixture, is left out of a7."""
    molar = np.tensordot(mole_fractions, SPECIES_COEFFICIENTS, axes=([-1], [0]))
    mass = np.sum(mole_fractions * MOLAR_MASS, axis=-1)
    result: NDArray[np.float64] = molar * (UNIVERSAL_GAS_CONSTANT / np.asarray(mass))[..., None, None]
    return result


@relation(
    source="mcbride-2002", status="read", domain={"temperature": _ABOVE_ZERO}, valid={"temperature": _FITTED}
)
def specific_heat(coefficients: NDArray[np.float64], temperature: Number) -> Number:
    """Specific heat at constant pressure of a frozen mixture.

    coefficients  (..., 2, 7)  [J/(kg K^n)]  from mixture_coefficients
    temperature   (...,)       [K]           fitted from 220 to 3500
    Returns (...,) [J/(kg K)]. Raises OutOfDomain for a temperature not above 0.
    Source: NASA TP-2002-211556 and GRI-Mech 3.0, as carried by Cantera 3.2 (see species.py)."""
    c = coefficients
    t = temperature
    cold = (t < 1000.0) * 1.0
    hot = 1.0 - cold
    a1 = c[..., 0, 0] * cold + c[..., 1, 0] * hot
    a2 = c[..., 0, 1] * cold + c[..., 1, 1] * hot
    a3 = c[..., 0, 2] * cold + c[..., 1, 2] * hot
    a4 = c[..., 0, 3] * cold + c[..., 1, 3] * hot
    a5 = c[..., 0, 4] * cold + c[..., 1, 4] * hot
    return a1 + t * (a2 + t * (a3 + t * (a4 + t * a5)))


@relation(
    source="mcbride-2002", status="read", domain={"temperature": _ABOVE_ZERO}, valid={"temperature": _FITTED}
)
def specific_enthalpy(coefficients: NDArray[np.float64], temperature: Number) -> Number:
    """Specific enthalpy of a frozen mixture, heat of formation included.

    coefficients  (..., 2, 7)  [J/(kg K^n)]  from mixture_coefficients
    temperature   (...,)       [K]           fitted from 220 to 3500
    Returns (...,) [J/kg]; elements in their standard state at 298.15 K have zero. Raises OutOfDomain for a
    temperature not above 0.
    Source: NASA TP-2002-211556 and GRI-Mech 3.0, as carried by Cantera 3.2 (see species.py)."""
    c = coefficients
    t = temperature
    cold = (t < 1000.0) * 1.0
    hot = 1.0 - cold
    a1 = c[..., 0, 0] * cold + c[..., 1, 0] * hot
    a2 = c[..., 0, 1] * cold + c[..., 1, 1] * hot
    a3 = c[..., 0, 2] * cold + c[..., 1, 2] * hot
    a4 = c[..., 0, 3] * cold + c[..., 1, 3] * hot
    a5 = c[..., 0, 4] * cold + c[..., 1, 4] * hot
    a6 = c[..., 0, 5] * cold + c[..., 1, 5] * hot
    return a6 + t * (a1 + t * (a2 / 2.0 + t * (a3 / 3.0 + t * (a4 / 4.0 + t * a5 / 5.0))))


@relation(
    source="mcbride-2002", status="read", domain={"temperature": _ABOVE_ZERO}, valid={"temperature": _FITTED}
)
def sensible_enthalpy(coefficients: NDArray[np.float64], temperature: Number) -> Number:
    """Specific enthalpy of a frozen mixture above 298.15 K, without heat of formation.

    coefficients  (..., 2, 7)  [J/(kg K^n)]  from mixture_coefficients
    temperature   (...,)       [K]           fitted from 220 to 3500
    Returns (...,) [J/kg], zero at 298.15 K. Raises OutOfDomain for a temperature not above 0.
    Source: NASA TP-2002-211556 and GRI-Mech 3.0, as carried by Cantera 3.2 (see species.py)."""
    c = coefficients
    t = temperature
    cold = (t < 1000.0) * 1.0
    hot = 1.0 - cold
    a1 = c[..., 0, 0] * cold + c[..., 1, 0] * hot
    a2 = c[..., 0, 1] * cold + c[..., 1, 1] * hot
    a3 = c[..., 0, 2] * cold + c[..., 1, 2] * hot
    a4 = c[..., 0, 3] * cold + c[..., 1, 3] * hot
    a5 = c[..., 0, 4] * cold + c[..., 1, 4] * hot
    a6 = c[..., 0, 5] * cold + c[..., 1, 5] * hot
    z = 298.15
    b = c[..., 0, 3] / 4.0 + z * c[..., 0, 4] / 5.0
    zero = c[..., 0, 5] + z * (c[..., 0, 0] + z * (c[..., 0, 1] / 2.0 + z * (c[..., 0, 2] / 3.0 + z * b)))
    return a6 + t * (a1 + t * (a2 / 2.0 + t * (a3 / 3.0 + t * (a4 / 4.0 + t * a5 / 5.0)))) - zero


@relation(
    source="mcbride-2002", status="read", domain={"temperature": _ABOVE_ZERO}, valid={"temperature": _FITTED}
)
def entropy_function(coefficients: NDArray[np.float64], temperature: Number) -> Number:
    """Temperature part of the specific entropy of a frozen mixture (at 1 bar, without entropy of mixing).

    coefficients  (..., 2, 7)  [J/(kg K^n)]  from mixture_coefficients
    temperature   (...,)       [K]           fitted from 220 to 3500
    Returns (...,) [J/(kg K)]; only differences have a use: along an isentrope they equal R ln(p2/p1).
    Raises OutOfDomain for a temperature not above 0.
    Source: NASA TP-2002-211556 and GRI-Mech 3.0, as carried by Cantera 3.2 (see species.py)."""
    c = coefficients
    t = temperature
    cold = (t < 1000.0) * 1.0
    hot = 1.0 - cold
    a1 = c[..., 0, 0] * cold + c[..., 1, 0] * hot
    a2 = c[..., 0, 1] * cold + c[..., 1, 1] * hot
    a3 = c[..., 0, 2] * cold + c[..., 1, 2] * hot
    a4 = c[..., 0, 3] * cold + c[..., 1, 3] * hot
    a5 = c[..., 0, 4] * cold + c[..., 1, 4] * hot
    a7 = c[..., 0, 6] * cold + c[..., 1, 6] * hot
    result: Number = a1 * np.log(t) + a7 + t * (a2 + t * (a3 / 2.0 + t * (a4 / 3.0 + t * a5 / 4.0)))
    return result


@relation(
    source="definition",
    status="definition",
    domain={"specific_heat": _ABOVE_ZERO, "gas_constant": _ABOVE_ZERO},
    needs={
        "a specific heat above the gas constant": lambda specific_heat, gas_constant: (
            specific_heat > gas_constant
        )
    },
)
def heat_capacity_ratio(specific_heat: Number, gas_constant: Number) -> Number:
    """Ratio of the specific heats of an ideal gas, cp/(cp - R).

    specific_heat  (...,)  [J/(kg K)]  at constant pressure, above the gas constant
    gas_constant   (...,)  [J/(kg K)]  specific gas constant
    Returns (...,) [-]. Raises OutOfDomain for an argument not above 0.
    Source: definition."""
    return specific_heat / (specific_heat - gas_constant)


@relation(source="mcbride-2002", status="read")
def temperature_from_enthalpy(coefficients: NDArray[np.float64], specific_enthalpy: Number) -> Number:
    """Temperature at which a frozen mixture has a given specific enthalpy (inverse of specific_enthalpy).

    coefficients       (..., 2, 7)  [J/(kg K^n)]  from mixture_coefficients
    specific_enthalpy  (...,)       [J/kg]        heat of formation included
    Returns (...,) [K], between 150 and 6000: a value held at an end says that the enthalpy lies beyond it.
    Eight Newton steps from 600 K, exact to 1e-5 K between 200 and 3500 K. Raises nothing.
    Source: NASA TP-2002-211556 and GRI-Mech 3.0, as carried by Cantera 3.2 (see species.py); Newton's method."""
    c = coefficients
    t = 600.0 + 0.0 * specific_enthalpy
    for _ in range(8):
        cold = (t < 1000.0) * 1.0
        hot = 1.0 - cold
        a1 = c[..., 0, 0] * cold + c[..., 1, 0] * hot
        a2 = c[..., 0, 1] * cold + c[..., 1, 1] * hot
        a3 = c[..., 0, 2] * cold + c[..., 1, 2] * hot
        a4 = c[..., 0, 3] * cold + c[..., 1, 3] * hot
        a5 = c[..., 0, 4] * cold + c[..., 1, 4] * hot
        a6 = c[..., 0, 5] * cold + c[..., 1, 5] * hot
        enthalpy = a6 + t * (a1 + t * (a2 / 2.0 + t * (a3 / 3.0 + t * (a4 / 4.0 + t * a5 / 5.0))))
        heat = a1 + t * (a2 + t * (a3 + t * (a4 + t * a5)))
        t = np.minimum(np.maximum(t - (enthalpy - specific_enthalpy) / heat, 150.0), 6000.0)
    return t


@relation(source="mcbride-2002", status="read")
def temperature_from_entropy(coefficients: NDArray[np.float64], entropy_function: Number) -> Number:
    """Temperature at which a frozen mixture has a given entropy function (inverse of entropy_function).

    coefficients      (..., 2, 7)  [J/(kg K^n)]  from mixture_coefficients
    entropy_function  (...,)       [J/(kg K)]    at 1 bar, without entropy of mixing
    Returns (...,) [K], between 150 and 6000: a value held at an end says that the entropy lies beyond it.
    Eight Newton steps in the logarithm of temperature from 600 K. Raises nothing.
    Source: NASA TP-2002-211556 and GRI-Mech 3.0, as carried by Cantera 3.2 (see species.py); Newton's method."""
    c = coefficients
    log_t = 6.396929655216146 + 0.0 * entropy_function
    for _ in range(8):
        t = np.exp(log_t)
        cold = (t < 1000.0) * 1.0
        hot = 1.0 - cold
        a1 = c[..., 0, 0] * cold + c[..., 1, 0] * hot
        a2 = c[..., 0, 1] * cold + c[..., 1, 1] * hot
        a3 = c[..., 0, 2] * cold + c[..., 1, 2] * hot
        a4 = c[..., 0, 3] * cold + c[..., 1, 3] * hot
        a5 = c[..., 0, 4] * cold + c[..., 1, 4] * hot
        a7 = c[..., 0, 6] * cold + c[..., 1, 6] * hot
        entropy = a1 * log_t + a7 + t * (a2 + t * (a3 / 2.0 + t * (a4 / 3.0 + t * a5 / 4.0)))
        heat = a1 + t * (a2 + t * (a3 + t * (a4 + t * a5)))
        log_t = np.minimum(
            np.maximum(log_t - (entropy - entropy_function) / heat, 5.0106352940962555), 8.699514748210191
        )
    result: Number = np.exp(log_t)
    return result
