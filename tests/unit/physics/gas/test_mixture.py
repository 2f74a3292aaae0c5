"""Mixtures against the open-source thermochemistry package that carries the same species data."""

from __future__ import annotations

import cantera
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boostwright.physics.gas import mixture
from boostwright.physics.gas.species import FORMATION_ENTHALPY, SPECIES, SPECIES_COEFFICIENTS


@pytest.fixture(scope="module")
def gas() -> cantera.Solution:
    """The program's own polynomials evaluated by other code: finds mistakes of evaluation, not of the data."""
    species = []
    for index, name in enumerate(SPECIES):
        low, high = SPECIES_COEFFICIENTS[index]
        entry = cantera.Species(name, COMPOSITION[name])
        entry.thermo = cantera.NasaPoly2(200.0, 6000.0, 101325.0, np.array([1000.0, *high, *low]))
        species.append(entry)
    return cantera.Solution(thermo="ideal-gas", species=species)


COMPOSITION = {
    "N2": {"N": 2},
    "O2": {"O": 2},
    "Ar": {"Ar": 1},
    "CO2": {"C": 1, "O": 2},
    "H2O": {"H": 2, "O": 1},
    "CO": {"C": 1, "O": 1},
    "H2": {"H": 2},
}


@pytest.mark.parametrize(
    ("file", "names"), [("airNASA9.yaml", ("N2", "O2")), ("gri30.yaml", ("CO2", "H2O", "CO", "H2"))]
)
def test_species_follow_the_data_they_are_taken_from(file: str, names: tuple[str, ...]) -> None:
    """Specific heat within 0.17 % (0.08 % below 1000 K), enthalpy rise from 1000 to 1300 K within 0.1 %."""
    available = {species.name: species.thermo for species in cantera.Species.list_from_file(file)}
    for name in names:
        index = SPECIES.index(name)
        thermo = available[name]

        def cp(t: float, index: int = index) -> float:
            row = SPECIES_COEFFICIENTS[index, int(t >= 1000.0)]
            return float(sum(row[k] * t**k for k in range(5)) * cantera.gas_constant)

        def h(t: float, index: int = index) -> float:
            row = SPECIES_COEFFICIENTS[index, int(t >= 1000.0)]
            return float(
                (row[5] + sum(row[k] * t ** (k + 1) / (k + 1) for k in range(5))) * cantera.gas_constant
            )

        for t in (300.0, 350.0, 450.0, 700.0, 999.0):
            assert cp(t) == pytest.approx(thermo.cp(t), rel=8e-4)
        for t in (1001.0, 1150.0, 1300.0, 2000.0, 3000.0):
            assert cp(t) == pytest.approx(thermo.cp(t), rel=1.7e-3)
        assert h(1300.0) - h(1001.0) == pytest.approx(thermo.h(1300.0) - thermo.h(1001.0), rel=1e-3)


def test_specific_heats_of_the_tables() -> None:
    """JANAF Thermochemical Tables at 1200 K, J/(mol K), from memory; GRI-Mech's water is 0.25 % above it."""
    table = {"N2": 33.723, "O2": 35.670, "CO2": 56.342, "H2O": 43.768, "CO": 34.175, "H2": 30.992}
    for name, value in table.items():
        row = SPECIES_COEFFICIENTS[SPECIES.index(name), 1]
        own = 8.31446 * sum(row[k] * 1200.0**k for k in range(5))
        assert own == pytest.approx(value, rel=3e-3)


def test_heats_of_formation_are_the_known_ones() -> None:
    """CO2 -393.51, H2O -241.83, CO -110.53 kJ/mol; elements zero."""
    by_name = dict(zip(SPECIES, FORMATION_ENTHALPY / 1e6, strict=True))
    assert by_name["CO2"] == pytest.approx(-393.51, abs=0.02)
    assert by_name["H2O"] == pytest.approx(-241.83, abs=0.02)
    assert by_name["CO"] == pytest.approx(-110.53, abs=0.02)
    for element in ("N2", "O2", "Ar", "H2"):
        assert by_name[element] == pytest.approx(0.0, abs=0.001)


MIXTURES = st.lists(st.floats(0.001, 1.0), min_size=7, max_size=7).map(np.array)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(mole_fractions=MIXTURES, temperature=st.floats(210.0, 3000.0))
def test_properties_of_any_mixture(
    gas: cantera.Solution, mole_fractions: np.ndarray, temperature: float
) -> None:
    gas.TPX = temperature, 1.0e5, mole_fractions
    coefficients = mixture.mixture_coefficients(mole_fractions)
    assert mixture.molar_mass(mole_fractions) == pytest.approx(gas.mean_molecular_weight, rel=1e-12)
    assert mixture.specific_heat(coefficients, temperature) == pytest.approx(gas.cp_mass, rel=1e-7)
    # Enthalpy passes through zero where heat of formation and heat balance, hence the absolute part.
    enthalpy = mixture.specific_enthalpy(coefficients, temperature)
    assert enthalpy == pytest.approx(gas.enthalpy_mass, rel=1e-7, abs=1.0)
    ratio = mixture.heat_capacity_ratio(gas.cp_mass, mixture.gas_constant(mole_fractions))
    assert ratio == pytest.approx(gas.cp_mass / gas.cv_mass, rel=1e-9)
    np.testing.assert_allclose(mixture.mass_fractions(mole_fractions), gas.Y, rtol=1e-12)
    mixing = gas.entropy_mass - mixture.entropy_function(coefficients, temperature)
    gas.TP = 298.15, 1.0e5
    assert mixing == pytest.approx(
        gas.entropy_mass - mixture.entropy_function(coefficients, 298.15), abs=1e-3
    ), "what differs from the entropy is the entropy of mixing, whatever the temperature"


@settings(max_examples=60, deadline=None, derandomize=True)
@given(mole_fractions=MIXTURES, temperature=st.floats(200.0, 3500.0))
def test_inverses(mole_fractions: np.ndarray, temperature: float) -> None:
    coefficients = mixture.mixture_coefficients(mole_fractions)
    enthalpy = mixture.specific_enthalpy(coefficients, temperature)
    entropy = mixture.entropy_function(coefficients, temperature)
    assert mixture.temperature_from_enthalpy(coefficients, enthalpy) == pytest.approx(temperature, abs=1e-4)
    assert mixture.temperature_from_entropy(coefficients, entropy) == pytest.approx(temperature, abs=1e-4)


def test_proportions_alone_count() -> None:
    mole_fractions = np.array([0.7, 0.1, 0.01, 0.1, 0.05, 0.03, 0.01])
    np.testing.assert_allclose(
        mixture.mixture_coefficients(5.0 * mole_fractions), mixture.mixture_coefficients(mole_fractions)
    )


def test_enthalpy_is_the_integral_of_specific_heat() -> None:
    coefficients = mixture.mixture_coefficients(np.array([0.7, 0.0, 0.01, 0.12, 0.12, 0.04, 0.01]))
    temperatures = np.linspace(298.15, 1500.0, 20001)
    heat = mixture.specific_heat(coefficients, temperatures)
    integral = np.trapezoid(heat, temperatures)
    assert mixture.sensible_enthalpy(coefficients, 1500.0) == pytest.approx(integral, rel=1e-6)
    assert mixture.sensible_enthalpy(coefficients, 298.15) == pytest.approx(0.0, abs=1e-6)


def test_nothing_jumps_where_the_ranges_meet() -> None:
    coefficients = mixture.mixture_coefficients(np.array([0.7, 0.0, 0.01, 0.12, 0.12, 0.04, 0.01]))
    for function, size in ((mixture.specific_heat, 1e-5), (mixture.specific_enthalpy, 1e-5)):
        below, above = function(coefficients, np.array([999.9999, 1000.0001]))
        assert abs(above - below) < size * abs(above)


def test_a_batch_keeps_its_shape() -> None:
    mole_fractions = np.full((3, 5, 7), 1.0 / 7.0)
    coefficients = mixture.mixture_coefficients(mole_fractions)
    assert coefficients.shape == (3, 5, 2, 7)
    assert mixture.specific_heat(coefficients, np.full((3, 5), 400.0)).shape == (3, 5)


def test_beyond_the_ends_the_inverse_holds_its_limit() -> None:
    coefficients = mixture.mixture_coefficients(np.array([0.8, 0.2, 0, 0, 0, 0, 0]))
    assert mixture.temperature_from_enthalpy(coefficients, -1.0e9) == pytest.approx(150.0)
    assert mixture.temperature_from_enthalpy(coefficients, 1.0e9) == pytest.approx(6000.0)
