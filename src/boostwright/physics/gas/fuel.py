"""Fuels by formula, and blends of two of them.

A fuel is C H_y O_z with y hydrogen and z oxygen atoms per carbon atom: that, the heating value and the
density are all that the gas path needs to know of it.
"""

from __future__ import annotations

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "blend_by_mass",
    "blend_density",
    "blend_mass_fraction",
    "blend_molar_mass",
    "blend_octane_anderson",
    "blend_per_carbon",
    "blend_volume_fraction",
    "molar_mass_per_carbon",
    "stoichiometric_air_fuel_ratio",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)
_SHARE = Interval(0.0, 1.0)


@relation(
    source="definition",
    status="definition",
    domain={"hydrogen_per_carbon": _NOT_NEGATIVE, "oxygen_per_carbon": _NOT_NEGATIVE},
)
def molar_mass_per_carbon(hydrogen_per_carbon: Number, oxygen_per_carbon: Number) -> Number:
    """Molar mass of a fuel per carbon atom.

    hydrogen_per_carbon  (...,)  [-]  y of C H_y O_z
    oxygen_per_carbon    (...,)  [-]  z of C H_y O_z
    Returns (...,) [kg/kmol]. Raises OutOfDomain for a negative argument.
    Source: definition; atomic weights as in the mixture data."""
    return 12.011 + 1.008 * hydrogen_per_carbon + 15.999 * oxygen_per_carbon


@relation(
    source="heywood-1988",
    status="from memory",
    domain={"hydrogen_per_carbon": _NOT_NEGATIVE, "oxygen_per_carbon": _NOT_NEGATIVE},
)
def stoichiometric_air_fuel_ratio(hydrogen_per_carbon: Number, oxygen_per_carbon: Number) -> Number:
    """Mass of dry air that burns a mass of fuel completely.

    hydrogen_per_carbon  (...,)  [-]  y of C H_y O_z
    oxygen_per_carbon    (...,)  [-]  z of C H_y O_z
    Returns (...,) [kg/kg]. Raises OutOfDomain for a negative argument.
    Source: element balance, Heywood (1988) section 3.4; dry air with 20.95 % oxygen, 28.964 kg/kmol."""
    oxygen = 1.0 + hydrogen_per_carbon / 4.0 - oxygen_per_carbon / 2.0
    fuel = 12.011 + 1.008 * hydrogen_per_carbon + 15.999 * oxygen_per_carbon
    air = (0.7808 * 28.014 + 0.2095 * 31.998 + 0.0097 * 39.95) / 0.2095
    return oxygen * air / fuel


@relation(
    source="definition",
    status="definition",
    domain={"volume_fraction": _SHARE, "density_a": _ABOVE_ZERO, "density_b": _ABOVE_ZERO},
)
def blend_mass_fraction(volume_fraction: Number, density_a: Number, density_b: Number) -> Number:
    """Mass fraction of fuel A in a blend stated by volume, as pumps and labels state it.

    volume_fraction  (...,)  [-]      of A, at the temperature of the densities
    density_a        (...,)  [kg/m3]  of A
    density_b        (...,)  [kg/m3]  of B
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: definition; volumes taken as additive (the true change is below 0.3 %)."""
    mass_a = volume_fraction * density_a
    return mass_a / (mass_a + (1.0 - volume_fraction) * density_b)


@relation(
    source="definition",
    status="definition",
    domain={"volume_fraction": _SHARE, "density_a": _ABOVE_ZERO, "density_b": _ABOVE_ZERO},
)
def blend_density(volume_fraction: Number, density_a: Number, density_b: Number) -> Number:
    """Density of a blend stated by volume.

    volume_fraction  (...,)  [-]      of A
    density_a        (...,)  [kg/m3]  of A
    density_b        (...,)  [kg/m3]  of B
    Returns (...,) [kg/m3]. Raises OutOfDomain outside the ranges given.
    Source: definition; volumes taken as additive (the true change is below 0.3 %)."""
    return volume_fraction * density_a + (1.0 - volume_fraction) * density_b


@relation(source="definition", status="definition", domain={"mass_fraction": _SHARE})
def blend_by_mass(mass_fraction: Number, property_a: Number, property_b: Number) -> Number:
    """Property of a blend that adds by mass: heating value, stoichiometric air, latent heat.

    mass_fraction  (...,)  [-]    of A
    property_a     (...,)  [any]  per mass of A
    property_b     (...,)  [any]  per mass of B, in the unit of A
    Returns (...,) [any], in the unit of the properties. Raises OutOfDomain for a fraction outside 0 to 1.
    Source: definition."""
    return mass_fraction * property_a + (1.0 - mass_fraction) * property_b


@relation(
    source="definition",
    status="definition",
    domain={"mass_fraction": _SHARE, "molar_mass_a": _ABOVE_ZERO, "molar_mass_b": _ABOVE_ZERO},
)
def blend_per_carbon(
    mass_fraction: Number,
    per_carbon_a: Number,
    per_carbon_b: Number,
    molar_mass_a: Number,
    molar_mass_b: Number,
) -> Number:
    """Hydrogen or oxygen atoms per carbon atom of a blend.

    mass_fraction  (...,)  [-]        of A
    per_carbon_a   (...,)  [-]        atoms per carbon atom in A
    per_carbon_b   (...,)  [-]        atoms per carbon atom in B
    molar_mass_a   (...,)  [kg/kmol]  of A per carbon atom
    molar_mass_b   (...,)  [kg/kmol]  of B per carbon atom
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: element balance."""
    carbon_a = mass_fraction / molar_mass_a
    carbon_b = (1.0 - mass_fraction) / molar_mass_b
    return (carbon_a * per_carbon_a + carbon_b * per_carbon_b) / (carbon_a + carbon_b)


@relation(
    source="definition",
    status="definition",
    domain={"mass_fraction": _SHARE, "density_a": _ABOVE_ZERO, "density_b": _ABOVE_ZERO},
)
def blend_volume_fraction(mass_fraction: Number, density_a: Number, density_b: Number) -> Number:
    """Volume fraction of fuel A in a blend stated by mass, the inverse of blend_mass_fraction.

    mass_fraction  (...,)  [-]      of A
    density_a      (...,)  [kg/m3]  of A
    density_b      (...,)  [kg/m3]  of B
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: definition; volumes taken as additive (the true change is below 0.3 %)."""
    volume_a = mass_fraction / density_a
    return volume_a / (volume_a + (1.0 - mass_fraction) / density_b)


@relation(
    source="definition",
    status="definition",
    domain={"mass_fraction": _SHARE, "fuel_molar_mass_a": _ABOVE_ZERO, "fuel_molar_mass_b": _ABOVE_ZERO},
)
def blend_molar_mass(mass_fraction: Number, fuel_molar_mass_a: Number, fuel_molar_mass_b: Number) -> Number:
    """Mean molar mass of a blend as vapour.

    mass_fraction      (...,)  [-]       of A
    fuel_molar_mass_a  (...,)  [kg/mol]  of A
    fuel_molar_mass_b  (...,)  [kg/mol]  of B
    Returns (...,) [kg/mol]. Raises OutOfDomain outside the ranges given.
    Source: definition, moles add."""
    return 1.0 / (mass_fraction / fuel_molar_mass_a + (1.0 - mass_fraction) / fuel_molar_mass_b)


@relation(
    source="anderson-2010",
    status="from memory",
    domain={
        "mass_fraction": _SHARE,
        "octane_number_a": _ABOVE_ZERO,
        "octane_number_b": _ABOVE_ZERO,
        "fuel_molar_mass_a": _ABOVE_ZERO,
        "fuel_molar_mass_b": _ABOVE_ZERO,
    },
)
def blend_octane_anderson(
    mass_fraction: Number,
    octane_number_a: Number,
    octane_number_b: Number,
    fuel_molar_mass_a: Number,
    fuel_molar_mass_b: Number,
) -> Number:
    """Octane number of a blend of an alcohol with petrol, linear in the moles.

    mass_fraction      (...,)  [-]       of A
    octane_number_a    (...,)  [-]       of A alone, research or motor method
    octane_number_b    (...,)  [-]       of B by the same method
    fuel_molar_mass_a  (...,)  [kg/mol]  of A
    fuel_molar_mass_b  (...,)  [kg/mol]  of B, mean
    Returns (...,) [-], within one to three numbers as recalled. Raises OutOfDomain outside the ranges given.
    Source: Anderson et al., Energy and Fuels 24 (2010) 6576: a share by volume underrates a light alcohol, a share by
    moles does not; from memory. It says what a test engine would show, not how boost knocks."""
    moles_a = mass_fraction / fuel_molar_mass_a
    moles_b = (1.0 - mass_fraction) / fuel_molar_mass_b
    return (moles_a * octane_number_a + moles_b * octane_number_b) / (moles_a + moles_b)
