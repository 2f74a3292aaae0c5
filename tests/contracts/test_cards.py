"""The same checks over every card of the shipped library."""

from __future__ import annotations

import itertools
import math
import re

import pytest

from boostwright.cards.card import Card
from boostwright.cards.fuel import stoichiometric_ratio
from boostwright.cards.look_up import LIBRARY, find_card, list_cards
from boostwright.cards.pipe import pipe_bore
from boostwright.cards.reader import KINDS, schema_of
from boostwright.cards.turbine import choked_swallowing
from boostwright.provenance.source import CARD_STATUS

FILES = sorted(LIBRARY.rglob("*.toml"))
ALL = [(path.parent.name, path.stem) for path in FILES]
MEASURED = "axial-cold-air-1974-"


@pytest.fixture(params=ALL, ids=[f"{kind}/{name}" for kind, name in ALL])
def card(request: pytest.FixtureRequest) -> Card:
    """Each card in turn."""
    kind, name = request.param
    return find_card(kind, name)


def test_the_library_is_there() -> None:
    for kind in KINDS:
        assert list_cards(kind), f"no {kind} card is shipped"
    assert {path.parent.parent for path in FILES} == {LIBRARY}, "a card must lie in library/<kind>/"


def test_every_kind_declares_itself() -> None:
    for kind in KINDS:
        schema = schema_of(kind)
        assert schema.kind == kind
        assert schema.words
        for field in schema.fields:
            assert field.words, f"{kind}.{field.key} says nothing about itself"
            assert not (field.required and field.default is not None)


def test_header_is_complete(card: Card) -> None:
    header = card.header
    assert header.status in CARD_STATUS
    assert len(header.source) > 10, "a source is more than a word"
    assert header.licence
    assert card.found_in == "the shipped library"
    assert re.fullmatch(r"[a-z0-9.-]+", header.name)


def test_every_value_has_an_origin(card: Card) -> None:
    for key, value in card.values.items():
        assert value.status in CARD_STATUS, key
        assert value.source, key
        if value.quantity is not None:
            assert math.isfinite(value.quantity.value_si), key
        if value.band is not None:
            assert value.band[0] < value.band[1], key


def test_invented_parts_say_so(card: Card) -> None:
    if "invented" in card.name or "made up" in card.header.source:
        assert card.header.status == "invented for the demo"
    if card.header.status in ("published", "from memory"):
        assert "invented" not in card.name


def test_nothing_looks_implausible(card: Card) -> None:
    """A shipped part gives no cause to ask; the measured cold-air machine is far larger."""
    keys = [warning.key for warning in card.warnings]
    if card.name.startswith(MEASURED):
        assert keys == ["turbine.wheel_diameter"]
    elif card.kind != "compressor":
        assert keys == []


@pytest.mark.parametrize("name", list_cards("fuel"))
def test_fuel_composition_gives_its_ratio(name: str) -> None:
    """Closer than the reader asks for: 0.3 %, the rounding of published ratios."""
    fuel = find_card("fuel", name)
    computed = stoichiometric_ratio(fuel.si("hydrogen_per_carbon"), fuel.si("oxygen_per_carbon"))
    assert computed == pytest.approx(fuel.si("stoichiometric_ratio"), rel=3e-3)


@pytest.mark.parametrize(
    ("hydrogen", "oxygen", "printed"),
    [(1.87, 0.0, 14.60), (2.25, 0.0, 15.13), (3.0, 0.5, 9.00), (4.0, 1.0, 6.47)],
    ids=["petrol", "iso-octane", "ethanol", "methanol"],
)
def test_stoichiometric_ratio_as_printed(hydrogen: float, oxygen: float, printed: float) -> None:
    """Heywood (1988), Table D.4 (from memory), printed to three figures."""
    assert stoichiometric_ratio(hydrogen, oxygen) == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize(("name", "ethanol"), [("petrol-e10", 0.1056), ("e85", 0.8576)])
def test_blends_lie_between_their_members(name: str, ethanol: float) -> None:
    """Heating value and ratio by mass, from the shares by mass: 0.3 %."""
    blend, petrol, alcohol = (find_card("fuel", n) for n in (name, "petrol-ron95", "ethanol"))
    for key in ("lower_heating_value", "stoichiometric_ratio", "latent_heat"):
        expected = ethanol * alcohol.si(key) + (1.0 - ethanol) * petrol.si(key)
        assert blend.si(key) == pytest.approx(expected, rel=3e-3), key
    moles = ethanol / alcohol.si("molar_mass") + (1.0 - ethanol) / petrol.si("molar_mass")
    assert blend.si("molar_mass") == pytest.approx(1.0 / moles, rel=3e-3)


@pytest.mark.parametrize(
    ("name", "table", "printed"),
    [
        ("ethanol", "lower_heating_value", 11585 * 2326.0),
        ("methanol", "lower_heating_value", 8637 * 2326.0),
        ("ethanol", "latent_heat", 396 * 2326.0),
        ("methanol", "latent_heat", 506 * 2326.0),
        ("ethanol", "density", 6.61 * 119.826),
        ("methanol", "density", 6.63 * 119.826),
        ("petrol-ron95", "lower_heating_value", 18676 * 2326.0),
    ],
)
def test_fuel_values_as_published(name: str, table: str, printed: float) -> None:
    """U.S. DOE Alternative Fuels Data Center, Properties of Fuels (Btu/lb, lb/gal); 0.3 % for rounding."""
    assert find_card("fuel", name).si(table) == pytest.approx(printed, rel=3e-3)


@pytest.mark.parametrize("name", list_cards("pipe"))
def test_pipe_bends_fit_the_pipe(name: str) -> None:
    pipe = find_card("pipe", name)
    assert 0.6 * pipe.si("outside_diameter") < pipe_bore(pipe) < pipe.si("outside_diameter")
    ratio = pipe.si("bend_radius") / pipe.si("outside_diameter")
    assert 1.1 <= ratio <= 1.6, "long-radius bends lie near 1.5 nominal sizes"
    assert list_cards("material").count(pipe.text("material")) == 1 or "charge" in name


@pytest.mark.parametrize("name", list_cards("wastegate"))
def test_wastegate_actuator_can_open_it(name: str) -> None:
    """A spring of 1 bar on the diaphragm gives more travel than the valve has: the rate is no misprint."""
    gate = find_card("wastegate", name)
    area = math.pi / 4.0 * gate.si("diaphragm_diameter") ** 2
    arm = gate.si("lever_arm_actuator") / gate.si("lever_arm_flap") if gate.has("lever_arm_flap") else 1.0
    assert 0.5 < 1e5 * area / (gate.si("spring_rate") * gate.si("full_lift") * arm) < 8.0
    assert gate.band("discharge_coefficient") is not None
    assert gate.header.status == "invented for the demo"


def test_turbine_flow_rises_with_size_and_less_than_its_a_r() -> None:
    families: dict[str, list[tuple[float, float]]] = {}
    for name in list_cards("turbine"):
        turbine = find_card("turbine", name)
        if turbine.text("given_as") == "one-number":
            family = name.rpartition("-")[0]
            families.setdefault(family, []).append((turbine.si("a_r"), choked_swallowing(turbine)))
    assert len(families) >= 3
    smallest = []
    for sizes in families.values():
        sizes.sort()
        smallest.append(sizes[0][1])
        for (a_r, flow), (next_a_r, next_flow) in itertools.pairwise(sizes):
            assert 0.0 < math.log(next_flow / flow) / math.log(next_a_r / a_r) < 0.7
    assert smallest == sorted(smallest)


def test_measured_turbine_holds_the_report() -> None:
    """NASA TN D-7625, design speed, total ratio 1.909: 2.27 kg/s, efficiency 0.91 total and 0.79 static."""
    import numpy as np

    for basis, ratio, efficiency in (("total", 1.909, 0.91), ("static", 2.12, 0.79)):
        columns = find_card("turbine", f"{MEASURED}total-to-{basis}").columns
        line = np.isclose(columns["corrected_speed"], 18075 * math.pi / 30)
        at = [np.interp(ratio, columns["expansion_ratio"][line], columns[key][line])
              for key in ("corrected_flow", "efficiency")]  # fmt: skip
        assert at[0] == pytest.approx(2.27, rel=0.01)
        assert at[1] == pytest.approx(efficiency, abs=0.02)
