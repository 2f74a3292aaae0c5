"""Fuels: pure substances, limits of blends."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.physics.gas import fuel


@pytest.mark.parametrize(
    ("y", "z", "printed"), [(4.0, 0.0, 17.2), (8.0 / 3.0, 0.0, 15.7), (8.0 / 7.0, 0.0, 13.5), (3.0, 0.5, 9.0)]
)
def test_stoichiometric_ratio_of_known_substances(y: float, z: float, printed: float) -> None:
    """Methane, propane, toluene, ethanol: figures of any handbook, to their last digit."""
    assert fuel.stoichiometric_air_fuel_ratio(y, z) == pytest.approx(printed, abs=0.05)


def test_blends_end_in_their_parts() -> None:
    assert fuel.blend_mass_fraction(0.0, 792.0, 745.0) == 0.0
    assert fuel.blend_mass_fraction(1.0, 792.0, 745.0) == 1.0
    assert fuel.blend_density(0.5, 792.0, 745.0) == pytest.approx(768.5)
    assert fuel.blend_per_carbon(1.0, 3.0, 1.87, 23.0, 13.9) == pytest.approx(3.0)
    assert fuel.blend_by_mass(0.25, 8.0, 4.0) == pytest.approx(5.0)


def test_air_of_a_blend_by_mass_equals_air_of_its_formula() -> None:
    """Two roads to the same ratio: weighing the parts, or mixing the atoms."""
    share = fuel.blend_mass_fraction(0.85, 792.0, 745.0)
    mass_e, mass_p = fuel.molar_mass_per_carbon(3.0, 0.5), fuel.molar_mass_per_carbon(1.87, 0.0)
    y = fuel.blend_per_carbon(share, 3.0, 1.87, mass_e, mass_p)
    z = fuel.blend_per_carbon(share, 0.5, 0.0, mass_e, mass_p)
    weighed = fuel.blend_by_mass(
        share,
        fuel.stoichiometric_air_fuel_ratio(3.0, 0.5),
        fuel.stoichiometric_air_fuel_ratio(1.87, 0.0),
    )
    assert fuel.stoichiometric_air_fuel_ratio(y, z) == pytest.approx(weighed, rel=1e-12)


@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.85, 1.0])
def test_share_by_volume_and_by_mass_are_inverses(share: float) -> None:
    mass = fuel.blend_mass_fraction(share, 792.0, 745.0)
    assert float(fuel.blend_volume_fraction(mass, 792.0, 745.0)) == pytest.approx(share, abs=1e-12)


def test_molar_mass_of_a_blend_counts_molecules() -> None:
    """E10 by hand: 10.56 g of ethanol and 89.44 g of petrol are 0.229 and 0.813 mol."""
    assert float(fuel.blend_molar_mass(0.1056, 0.04607, 0.110)) == pytest.approx(
        0.1 / (0.2292 + 0.8131), rel=1e-3
    )


def test_octane_of_a_blend_lies_between_and_goes_with_the_molecules() -> None:
    shares = np.linspace(0.0, 1.0, 11)
    octane = fuel.blend_octane_anderson(shares, 109.0, 95.0, 0.04607, 0.110)
    assert octane[0] == pytest.approx(95.0)
    assert octane[-1] == pytest.approx(109.0)
    assert (np.diff(octane) > 0.0).all()
    assert (octane[1:-1] > 95.0 + 14.0 * shares[1:-1]).all()
