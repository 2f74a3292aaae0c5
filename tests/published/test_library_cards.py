"""Shipped cards of substances and parts beside the tables they are taken from, and beside a second table."""

from __future__ import annotations

import math

import pytest

from boostwright.cards.card import Card
from boostwright.cards.look_up import find_card, list_cards
from boostwright.physics.cylinder.valves import valve_effective_area
from boostwright.physics.turbo.inertia import shaft_inertia_from_wheels
from boostwright.physics.turbo.poppet import curtain_area, effective_area_poppet
from boostwright.units import to_si

# U.S. DOE Alternative Fuels Data Center, Properties of Fuels table: values in its own units, 60 degF. 1 %, since
# its figures are themselves means.
AFDC = [
    ("GP-18", "petrol-ron95", "lower_heating_value", 18676.0, "BTU/lb"),
    ("GP-18", "petrol-ron98", "lower_heating_value", 18676.0, "BTU/lb"),
    ("GP-19", "ethanol", "lower_heating_value", 11585.0, "BTU/lb"),
    ("GP-20", "methanol", "lower_heating_value", 8637.0, "BTU/lb"),
    ("GP-24", "ethanol", "latent_heat", 396.0, "BTU/lb"),
    ("GP-25", "methanol", "latent_heat", 506.0, "BTU/lb"),
]
US_GALLON = 231.0 * 0.0254**3  # m3, by definition
POUND = 0.45359237


@pytest.mark.parametrize(("row", "fuel", "key", "printed", "unit"), AFDC)
def test_heat_of_a_fuel_is_that_of_the_public_table(
    row: str, fuel: str, key: str, printed: float, unit: str
) -> None:
    assert find_card("fuel", fuel).si(key) == pytest.approx(
        to_si(printed, "specific_energy", unit), rel=0.01
    ), row


@pytest.mark.parametrize(("row", "fuel", "pounds"), [("GP-22", "ethanol", 6.61), ("GP-23", "methanol", 6.63)])
def test_density_of_an_alcohol_is_that_of_the_public_table(row: str, fuel: str, pounds: float) -> None:
    density = pounds * POUND / US_GALLON
    assert find_card("fuel", fuel).si("density") == pytest.approx(density, rel=0.01), row


def test_heat_of_ethanol_by_the_gallon_is_the_same_figure() -> None:
    """GP-21: 76 330 Btu a gallon of the same table, so the card's heat and density belong together."""
    card = find_card("fuel", "ethanol")
    printed = 76330.0 * to_si(1.0, "specific_energy", "BTU/lb") * POUND / US_GALLON
    assert card.si("lower_heating_value") * card.si("density") == pytest.approx(printed, rel=0.01)


@pytest.mark.parametrize(
    ("fuel", "printed"),
    [
        ("petrol-ron95", 44.0),
        ("petrol-ron98", 44.0),
        ("iso-octane", 44.3),
        ("ethanol", 26.9),
        ("methanol", 20.0),
    ],
)
def test_heating_value_beside_heywood(fuel: str, printed: float) -> None:
    """GP-27: Heywood (1988), table D.4, from memory; petrols differ, and ours is taken at 43.4: 1.4 % below his."""
    share = 0.015 if fuel.startswith("petrol") else 0.01
    assert find_card("fuel", fuel).si("lower_heating_value") / 1e6 == pytest.approx(printed, rel=share)


def test_a_petrol_is_as_dense_as_the_standard_asks() -> None:
    """GP-28: EN 228:2012, 720 to 775 kg/m3 at 15 degC, from memory; one with a tenth of ethanol is bound by it too."""
    petrols = [name for name in list_cards("fuel") if name.startswith("petrol")]
    assert len(petrols) >= 3
    for name in petrols:
        card = find_card("fuel", name)
        assert card.si("density_temperature") == pytest.approx(288.15)
        assert 720.0 <= card.si("density") <= 775.0


def material(name: str) -> Card:
    return find_card("material", name)


@pytest.mark.parametrize(
    ("row", "name", "yield_mpa", "tensile"),
    [
        ("ME-49", "steel-s275", 275.0, (410.0, 560.0)),  # EN 10025-2:2004, from memory
        ("ME-50", "steel-4130-normalised", 517.0, (655.0, 655.0)),  # MMPDS, 75 and 95 ksi, from memory
    ],
)
def test_strength_of_a_steel(row: str, name: str, yield_mpa: float, tensile: tuple[float, float]) -> None:
    card = material(name)
    assert card.si("yield_strength") / 1e6 == pytest.approx(yield_mpa), row
    assert tensile[0] <= card.si("tensile_strength") / 1e6 <= tensile[1], row


def test_structural_steel_is_that_of_the_eurocode() -> None:
    """ME-52: EN 1993-1-1, 3.2.6; ME-53: EN 1993-1-2, table 3.1: 400, 500, 600 degC; all from memory."""
    for name in ("steel-s235", "steel-s275", "steel-s355"):
        card = material(name)
        assert card.si("youngs_modulus") == pytest.approx(210e9)
        assert card.si("poisson_ratio") == pytest.approx(0.30)
        assert card.si("thermal_expansion") == pytest.approx(12e-6)
        assert card.si("density") == pytest.approx(7850.0)
        kept = [card.si(f"retained_yield_{t}") for t in (400, 500, 600)]
        assert kept == pytest.approx([1.00, 0.78, 0.47])


# An infrared camera maker's manual, emissivity tables, total radiation (read): lowest and highest of the rows that
# belong to the state of surface, which the source itself calls good to 0.1. Aluminised: a handbook band from memory.
EMISSIVITY = [
    ("HT-01 to HT-04", "oxidised", 0.74, 0.89),
    ("HT-01 to HT-04", "oxidised in service", 0.74, 0.89),
    ("HT-07, HT-08", "oxidised, 300 to 500 degC", 0.64, 0.78),
    ("HT-07, HT-08", "oxidised, 400 to 540 degC", 0.64, 0.78),
    ("HT-11", "commercial sheet", 0.09, 0.09),
    ("HT-12", "aluminised, clean", 0.1, 0.3),
]


@pytest.mark.parametrize("name", list_cards("material"))
def test_emissivity_stands_in_the_rows_of_its_surface(name: str) -> None:
    card = material(name)
    found = [row for row in EMISSIVITY if row[1] == card.text("surface")]
    assert found, f"{name}: no published row for the surface {card.text('surface')!r}"
    rows, _, low, high = found[0]
    assert low - 1e-9 <= card.si("emissivity") <= high + 1e-9, rows


# Discharge coefficients on the curtain pi D L: Heywood (1988), chapter 6, Annand and Roe (1974), bands from memory.
GATES = list_cards("wastegate")


@pytest.mark.parametrize("name", [gate for gate in GATES if gate.startswith("poppet")])
def test_a_poppet_gate_passes_what_poppets_pass(name: str) -> None:
    """WJ-10: 0.65 to 0.80 at lifts of 0.05 to 0.10 diameters; WJ-11: 0.50 to 0.70 at 0.25, outflow."""
    card = find_card("wastegate", name)
    diameter, stem = card.si("valve_diameter"), card.si("stem_diameter")
    on_curtain = {}
    for ratio in (0.05, 0.10, 0.25):
        lift = ratio * diameter
        area = effective_area_poppet(
            lift, diameter, stem, card.si("discharge_coefficient"), card.si("seat_discharge_coefficient")
        )
        on_curtain[ratio] = float(area / curtain_area(diameter, lift))
    assert 0.65 <= on_curtain[0.10] <= on_curtain[0.05] <= 0.80
    assert 0.50 <= on_curtain[0.25] <= 0.70


@pytest.mark.parametrize("name", [gate for gate in GATES if gate.startswith("flap")])
def test_a_flap_passes_what_flaps_pass(name: str) -> None:
    """WJ-13: 0.70 to 0.90 on the bore, full open; the lift of a card may not open it fully, so a wide lift is asked."""
    card = find_card("wastegate", name)
    bore = card.si("valve_diameter")
    wide = effective_area_poppet(
        bore, bore, 0.0, card.si("discharge_coefficient"), card.si("seat_discharge_coefficient")
    )
    assert 0.70 <= float(wide) / (math.pi / 4.0 * bore**2) <= 0.90


def test_published_gates_of_models_lie_beyond_a_real_flap() -> None:
    """WJ-14: two public engine models use 0.9 of 350 mm2 and 1.0 of 490.9 mm2 (read): what is fitted on a test bed, not
    a discharge coefficient of a flap. The areas are those of bores of 21.1 and 25 mm, inside our range of cards."""
    bores = sorted(
        find_card("wastegate", name).si("valve_diameter") for name in GATES if name.startswith("flap")
    )
    for area in (3.5e-4, 4.909e-4):
        bore = math.sqrt(4.0 * area / math.pi)
        assert bores[0] <= bore <= bores[-1]


def test_engine_valves_stand_at_the_low_edge_of_the_bands() -> None:
    """WJ-09: 0.65 to 0.78 inwards at 0.05 to 0.10 diameters of lift; WJ-11: 0.50 to 0.70 outwards at 0.25.

    Deviation, kept: with its usual 0.65 and 0.70 our valve has 0.64, 0.61 and 0.48, since a port stands behind it that
    is no part of the valve alone which those bands are of. Flow benches, head with port, show 0.45 to 0.6 of the head's
    area at 0.25 (common practice)."""
    found = []
    for ratio in (0.05, 0.10, 0.25):
        area = valve_effective_area(ratio * 0.030, 0.030, 0.65, 0.70)
        found.append(float(area / curtain_area(0.030, ratio * 0.030)))
    assert found == pytest.approx([0.639, 0.609, 0.476], abs=0.001)
    alone = valve_effective_area(0.0015, 0.030, 0.65, 1e6)
    assert float(alone / curtain_area(0.030, 0.0015)) >= 0.65 - 1e-9


def test_transducers_follow_the_ratiometric_convention() -> None:
    """SN-37, SN-39: 10 to 90 % of a 5 V supply: 2.500 V at 4.900 V is 2.0510 bar of 4, 2.0000 with the supply taken for
    granted; one step of a 12-bit converter is 1.221 mbar. SN-38 (a data sheet, read): 0.8 of 5 V over the range."""
    card = find_card("sensor", "pressure-4bar-absolute")
    span = card.si("pressure_high") - card.si("pressure_low")
    low, high = card.si("signal_low") / card.si("supply"), card.si("signal_high") / card.si("supply")
    assert (low, high) == pytest.approx((0.1, 0.9))

    def bar(volts: float, supply: float) -> float:
        return (card.si("pressure_low") + (volts / supply - low) / (high - low) * span) / 1e5

    assert bar(2.5, 4.9) == pytest.approx(2.0510, abs=1e-4)
    assert bar(2.5, 5.0) == pytest.approx(2.0000, abs=1e-4)
    step = bar(5.0 / 4096.0, 5.0) - bar(0.0, 5.0)
    assert step * 1e3 == pytest.approx(1.221, abs=1e-3)
    for full_scale, printed in ((140.0, 28.57), (260.0, 15.38), (420.0, 9.52), (600.0, 6.67)):
        assert (high - low) * card.si("supply") / full_scale * 1e3 == pytest.approx(printed, abs=0.01)


def test_turbine_cards_lie_between_the_published_fits() -> None:
    """TM-23, TM-24: of three public parameter sets (read) the best efficiency is 0.75, 0.7075 and 0.637, at blade-speed
    ratios of 0.7, 0.622 and 0.413. The last are a fit to an engine's pulses; the texts' optimum is 0.68 to 0.72. The
    band of a card holds one of the two others at least."""
    cards = [find_card("turbine", name) for name in list_cards("turbine") if "invented-radial" in name]
    numbers = [card for card in cards if card.has("best_blade_speed_ratio")]
    assert len(numbers) >= 12
    for card in numbers:
        low, high = card.values["best_blade_speed_ratio"].band
        assert any(low - 1e-9 <= printed <= high + 1e-9 for printed in (0.7, 0.622)), card.header.name
        assert 0.637 <= card.si("efficiency_peak") <= 0.75, card.header.name


def test_inertia_printed_for_a_small_turbo_is_none_that_wheels_of_its_size_can_have() -> None:
    """TM-37: a public set of a 2 l engine prints 1.252e-4 kg m2 beside wheels of 39.4 and 38.3 mm (read).

    Deviation, recorded: ours is 1.08e-5. Solid blocks as long as they are wide, of aluminium and of nickel alloy, would
    have 7.8e-5: the printed figure or its diameters (inducer and exducer, perhaps) are of something else."""
    compressor, turbine = 0.0394, 0.0383
    ours = float(shaft_inertia_from_wheels(compressor, turbine))
    assert ours == pytest.approx(1.08e-5, rel=0.01)
    blocks = math.pi / 32.0 * (2700.0 * compressor**5 + 8000.0 * turbine**5)
    assert ours < blocks < 1.252e-4
