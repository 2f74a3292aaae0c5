"""Blends of fuel cards against the blended cards of the library and against printed blends."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from sound_build import swap, write_build

from boostwright.build import read_build
from boostwright.cards.fuel import SCHEMA
from boostwright.cards.look_up import find_card
from boostwright.components.closed_cycle import cycle_fuel
from boostwright.components.fuel_blend import BLEND_RULES, blended_card, fuel_card
from boostwright.tasks.predict import predict

PETROL, ETHANOL = find_card("fuel", "petrol-ron95"), find_card("fuel", "ethanol")
# Of the cards: three or four printed figures, and the octane numbers of E85 are usual figures.
TOLERANCE = {
    "hydrogen_per_carbon": 0.001,
    "oxygen_per_carbon": 0.002,
    "molar_mass": 0.001,
    "lower_heating_value": 0.001,
    "density": 0.001,
    "latent_heat": 0.001,
    "stoichiometric_ratio": 0.001,
    "ethanol_volume_share": 1e-9,
}


@pytest.mark.parametrize(("name", "share"), [("petrol-e10", 0.10), ("e85", 0.85)])
@pytest.mark.parametrize("key", TOLERANCE)
def test_the_blended_cards_of_the_library_come_back(name: str, share: float, key: str) -> None:
    found = blended_card(PETROL, ETHANOL, share, "volume")
    assert found.si(key) == pytest.approx(find_card("fuel", name).si(key), rel=TOLERANCE[key])


@pytest.mark.parametrize(
    ("case", "share", "mass", "density", "heating", "ratio"),
    [  # ref GP-29 to GP-31: end members 745 kg/m3, 43.4 MJ/kg, 14.60 and 792, 26.95, 9.003; 0.2 %
        ("GP-29", 0.10, 0.1056, 749.7, 41.66e6, 14.009),
        ("GP-30", 0.20, 0.2100, 754.4, 39.95e6, 13.425),
        ("GP-31", 0.85, 0.8576, 784.9, 29.29e6, 9.800),
    ],
)
def test_printed_blends(
    case: str, share: float, mass: float, density: float, heating: float, ratio: float
) -> None:
    by_volume = blended_card(PETROL, ETHANOL, share, "volume")
    by_mass = blended_card(PETROL, ETHANOL, mass, "mass")
    for found, tolerance in ((by_volume, 2e-3), (by_mass, 2e-3)):
        assert found.si("density") == pytest.approx(density, rel=tolerance), case
        assert found.si("lower_heating_value") == pytest.approx(heating, rel=tolerance), case
        assert found.si("stoichiometric_ratio") == pytest.approx(ratio, rel=tolerance), case


@pytest.mark.parametrize("other", ["ethanol", "methanol", "iso-octane"])
@pytest.mark.parametrize("basis", ["volume", "mass"])
def test_nothing_mixed_in_and_nothing_else(other: str, basis: str) -> None:
    second = find_card("fuel", other)
    for share, same in ((0.0, PETROL), (1.0, second)):
        found = blended_card(PETROL, second, share, basis)
        for key in TOLERANCE:
            if found.has(key):
                assert found.si(key) == pytest.approx(same.si(key), rel=2e-3), key


def test_octane_lies_above_a_mean_by_volume_and_meets_the_usual_figures() -> None:
    """A light alcohol counts by its many molecules; the usual numbers of E85 are 107 and 89, from memory."""
    e20 = blended_card(PETROL, ETHANOL, 0.20, "volume")
    assert 95.0 + 0.2 * 14.0 < e20.si("research_octane_number") < 109.0
    e85 = blended_card(PETROL, ETHANOL, 0.85, "volume")
    assert e85.si("research_octane_number") == pytest.approx(107.0, abs=1.5)
    assert e85.si("motor_octane_number") == pytest.approx(89.0, abs=1.5)
    assert e85.values["research_octane_number"].status == "from memory"


def test_octane_with_methanol_is_not_predicted() -> None:
    m20 = blended_card(PETROL, find_card("fuel", "methanol"), 0.20, "volume")
    assert not m20.has("research_octane_number")
    assert not m20.has("ethanol_volume_share")
    assert m20.si("oxygen_per_carbon") > 0.05


def test_every_property_has_its_rule_and_a_source_in_the_result() -> None:
    found = blended_card(PETROL, ETHANOL, 0.3, "volume")
    assert set(BLEND_RULES) == {field.key for field in SCHEMA.fields} - {"density_temperature"}
    for key, value in found.values.items():
        assert value.source, key
        assert key == "density_temperature" or "blend" in value.source
    assert found.values["lower_heating_value"].status == "published"
    assert found.values["density"].status == "from memory"
    assert SCHEMA.check is not None
    assert SCHEMA.check(found) == ([], [])


def test_the_band_of_the_heating_value_comes_along() -> None:
    low, high = blended_card(PETROL, ETHANOL, 0.5, "mass").band("lower_heating_value") or (0.0, 0.0)
    assert (low, high) == pytest.approx((0.5 * (42.8e6 + 26.95e6), 0.5 * (44.0e6 + 26.95e6)))


BLEND = 'blend_card = "ethanol"\nblend_share = 0.85\nblend_share_basis = "volume"\n'


def test_a_build_burns_its_blend(tmp_path: Path) -> None:
    """At one lambda, E85 by name, and as a blend, are one fuel; and it needs half as much again as petrol by mass."""
    base = 'card = "petrol-ron95"\n'
    texts = {
        "petrol": swap(('card = "petrol-ron98"\n', base)),
        "blend": swap(('card = "petrol-ron98"\n', base + BLEND)),
        "card": swap(('card = "petrol-ron98"\n', 'card = "e85"\n')),
    }
    flow = {}
    for name, text in texts.items():
        folder = write_build(tmp_path / name, text)
        found = predict(folder, mode="no-turbo", speeds=(300.0, 500.0))
        flow[name] = found["mass_flow_fuel"] / found["mass_flow_air"]
        if name == "blend":
            choice = next(choice for choice in found.choices if choice.what == "fuel card")
            assert choice.name == "petrol-ron95 with 85 % ethanol by volume (85.8 % by mass)"
    np.testing.assert_allclose(flow["blend"], flow["card"], rtol=1e-3)
    np.testing.assert_allclose(flow["blend"] / flow["petrol"], 14.601 / 9.800, rtol=2e-3)


@pytest.mark.parametrize("share", [0.65, 0.70, 0.75, 0.80])
def test_pump_e85_needs_thirteen_to_fourteen_and_a_half_tenths_of_the_petrol(share: float) -> None:
    """The trade's 1.3 to 1.45 (common practice) is the mass of what pumps sell as E85, 65 to 80 % by volume ..."""
    found = blended_card(PETROL, ETHANOL, share, "volume")
    assert 1.3 < PETROL.si("stoichiometric_ratio") / found.si("stoichiometric_ratio") < 1.46


def test_true_e85_meets_the_trades_figure_by_volume_not_by_mass() -> None:
    """... and the volume, not the mass, of a mixture with a true 85 %."""
    e85 = blended_card(PETROL, ETHANOL, 0.85, "volume")
    mass = PETROL.si("stoichiometric_ratio") / e85.si("stoichiometric_ratio")
    assert mass == pytest.approx(1.490, abs=0.003)
    assert 1.3 < mass * PETROL.si("density") / e85.si("density") < 1.45


def test_a_build_without_a_blend_burns_its_card(tmp_path: Path) -> None:
    build = read_build(write_build(tmp_path / "one"))
    assert fuel_card(build).name == "petrol-ron98"


@pytest.mark.parametrize(("share", "predicted"), [(0.05, True), (0.10, True), (0.30, False), (0.85, False)])
def test_the_closed_cycle_takes_a_blend_and_leaves_knock_of_alcohol_alone(
    share: float, predicted: bool
) -> None:
    found = cycle_fuel(blended_card(PETROL, ETHANOL, share, "volume"))
    assert found.molar_mass == pytest.approx(1e3 / ((1.0 - _mass(share)) / 0.110 + _mass(share) / 0.04607))
    assert np.isfinite(found.octane_number) == predicted


def _mass(share: float) -> float:
    return share * 792.0 / (share * 792.0 + (1.0 - share) * 745.0)
