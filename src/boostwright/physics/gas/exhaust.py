"""Exhaust of a C H_y O_z fuel burned in (humid) air at any lambda, and the energy left in it when rich.

Lean and stoichiometric mixtures burn completely. Rich ones share the missing oxygen between carbon monoxide
and hydrogen as the water-gas reaction CO2 + H2 = CO + H2O does, frozen at 1740 K. No unburned hydrocarbons,
no nitric oxide: both are small beside the energy of CO and H2 at lambda 0.8.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.physics.gas.species import FORMATION_ENTHALPY, MOLAR_MASS
from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "WATER_GAS_CONSTANT",
    "chemical_energy",
    "exhaust_mole_fractions",
    "exhaust_per_fuel_mass",
    "released_heat_per_fuel_mass",
]

# (CO)(H2O)/(CO2)(H2) at 1740 K, from the species data; Heywood (1988) is remembered to use 3.5
WATER_GAS_CONSTANT = 3.58

# J/kmol set free when the species burns to gaseous products: lower heating values of CO and H2.
_HEAT_OF_CO = float(FORMATION_ENTHALPY[5] - FORMATION_ENTHALPY[3])
_HEAT_OF_H2 = float(FORMATION_ENTHALPY[6] - FORMATION_ENTHALPY[4])


@relation(
    source="heywood-1988",
    status="from memory",
    domain={
        "lambda_value": Interval(0.4),
        "hydrogen_per_carbon": Interval(0.0),
        "oxygen_per_carbon": Interval(0.0),
        "air_mole_fractions": Interval(0.0),
    },
    valid={"lambda_value": Interval(0.65, 4.0)},
)
def exhaust_mole_fractions(
    lambda_value: Number,
    hydrogen_per_carbon: Number,
    oxygen_per_carbon: Number,
    air_mole_fractions: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Composition of the exhaust.

    lambda_value         (...,)    [-]  air over stoichiometric air; below 0.65 soot forms and this fails
    hydrogen_per_carbon  (...,)    [-]  y of C H_y O_z
    oxygen_per_carbon    (...,)    [-]  z of C H_y O_z
    air_mole_fractions   (..., 7)  [-]  of the (humid) air breathed, in the order of species.SPECIES
    Returns (..., 7) [-], summing to 1. Raises OutOfDomain outside the ranges given.
    Source: element balance and water-gas constant 3.58 at 1740 K; method of Heywood (1988) section 4.9
    (there 3.5), from memory. Continuous, with the kink at lambda 1 that the equivalence ratio itself
    has."""
    air = air_mole_fractions / air_mole_fractions[..., 1:2]
    wanted = np.asarray(lambda_value * (1.0 + hydrogen_per_carbon / 4.0 - oxygen_per_carbon / 2.0))
    moles = air * wanted[..., None]
    carbon = 1.0 + moles[..., 3] + moles[..., 5]
    hydrogen = hydrogen_per_carbon / 2.0 + moles[..., 4] + moles[..., 6]
    oxygen = oxygen_per_carbon + 2.0 * moles[..., 1] + 2.0 * moles[..., 3] + moles[..., 5] + moles[..., 4]
    needed = 2.0 * carbon + hydrogen
    spare = np.maximum(oxygen - needed, 0.0) / 2.0
    # Oxygen beyond the first atom of each carbon, shared between CO2 and H2O; the rich quadratic in CO2
    # gives complete combustion by itself at lambda 1 and above, so that no branch is needed.
    shared = np.minimum(oxygen, needed) - carbon
    k = WATER_GAS_CONSTANT
    linear = shared + carbon + k * (hydrogen - shared)
    co2 = 2.0 * shared * carbon / (linear + np.sqrt(linear * linear + 4.0 * (k - 1.0) * shared * carbon))
    co2 = np.minimum(co2, carbon)
    water = np.minimum(shared - co2, hydrogen)
    parts = np.stack(
        np.broadcast_arrays(
            moles[..., 0], spare, moles[..., 2], co2, water, carbon - co2, np.maximum(hydrogen - water, 0.0)
        ),
        axis=-1,
    )
    result: NDArray[np.float64] = parts / np.sum(parts, axis=-1, keepdims=True)
    return result


@relation(source="mcbride-2002", status="read", domain={"mole_fractions": Interval(0.0)})
def chemical_energy(mole_fractions: NDArray[np.float64]) -> Number:
    """Energy that the carbon monoxide and hydrogen of an exhaust would still set free.

    mole_fractions  (..., 7)  [-]  in the order of species.SPECIES; any common scale
    Returns (...,) [J/kg] of exhaust, lower heating value at 298.15 K. Raises OutOfDomain for a negative
    fraction.
    Source: heats of formation of NASA TP-2002-211556 and GRI-Mech 3.0, as carried by Cantera 3.2 (see species.py)."""
    energy = mole_fractions[..., 5] * _HEAT_OF_CO + mole_fractions[..., 6] * _HEAT_OF_H2
    result: Number = energy / np.sum(mole_fractions * MOLAR_MASS, axis=-1)
    return result


@relation(
    source="definition",
    status="definition",
    domain={
        "lambda_value": Interval(0.0, open_low=True),
        "stoichiometric_air_fuel_ratio": Interval(0.0, open_low=True),
        "humidity_ratio": Interval(0.0),
    },
)
def exhaust_per_fuel_mass(
    lambda_value: Number, stoichiometric_air_fuel_ratio: Number, humidity_ratio: Number
) -> Number:
    """Mass of exhaust per mass of fuel.

    lambda_value                   (...,)  [-]      dry air over stoichiometric dry air
    stoichiometric_air_fuel_ratio  (...,)  [kg/kg]  dry air per fuel
    humidity_ratio                 (...,)  [kg/kg]  water per dry air
    Returns (...,) [kg/kg]. Raises OutOfDomain outside the ranges given.
    Source: mass balance."""
    return 1.0 + lambda_value * stoichiometric_air_fuel_ratio * (1.0 + humidity_ratio)


@relation(
    source="definition",
    status="definition",
    domain={
        "lower_heating_value": Interval(0.0, open_low=True),
        "exhaust_per_fuel_mass": Interval(1.0),
        "chemical_energy": Interval(0.0),
    },
)
def released_heat_per_fuel_mass(
    lower_heating_value: Number, exhaust_per_fuel_mass: Number, chemical_energy: Number
) -> Number:
    """Heat that a mass of fuel sets free in the cylinder, what leaves as CO and H2 taken off.

    lower_heating_value    (...,)  [J/kg]   of the fuel
    exhaust_per_fuel_mass  (...,)  [kg/kg]  from exhaust_per_fuel_mass
    chemical_energy        (...,)  [J/kg]   left per mass of exhaust, from chemical_energy
    Returns (...,) [J/kg]. Raises OutOfDomain outside the ranges given.
    Source: energy balance at 298.15 K."""
    return lower_heating_value - exhaust_per_fuel_mass * chemical_energy
