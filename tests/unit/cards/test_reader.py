"""Reading, refusing, finding and writing cards."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boostwright.cards.card import CardHeader
from boostwright.cards.look_up import find_card, list_cards
from boostwright.cards.reader import parse_card, read_card
from boostwright.cards.toml_lines import TomlFault, key_lines, read_toml
from boostwright.cards.turbine import choked_swallowing
from boostwright.cards.writer import change_card, write_card
from boostwright.errors import CardError, Fault, UnknownPart

FUEL = """\
# the owner's own blend
kind = "fuel"
schema_version = 1
name = "own-blend"
source = "the drum's certificate"
licence = "own data"
status = "measured by the owner"

[fuel]
hydrogen_per_carbon = 1.9   # from the certificate
oxygen_per_carbon = 0.01
molar_mass = "100 g/mol"
lower_heating_value = "42.9 MJ/kg"
density = "748 kg/m3"
density_band = ["740 kg/m3", "0.76 kg/L"]
latent_heat = "360 kJ/kg"
research_octane_number = 97.5
stoichiometric_ratio = 14.5

[provenance.latent_heat]
status = "from memory"
"""


def faults(text: str, stem: str = "own-blend") -> tuple[Fault, ...]:
    """The faults of a card that must be refused."""
    with pytest.raises(CardError) as caught:
        parse_card(text, Path(f"{stem}.toml"))
    return caught.value.faults


def test_a_card_is_read_in_si() -> None:
    card = parse_card(FUEL, Path("own-blend.toml"))
    assert card.kind == "fuel"
    assert card.si("lower_heating_value") == pytest.approx(42.9e6)
    assert card.band("density") == pytest.approx((740.0, 760.0))
    assert card.band("latent_heat") is None
    assert card.si("density_temperature") == pytest.approx(288.15)  # default
    assert card.quantity("density").text == "748 kg/m3"
    assert card.values["latent_heat"].status == "from memory"
    assert card.values["latent_heat"].source == "the drum's certificate"
    assert not card.has("motor_octane_number")
    with pytest.raises(KeyError):
        card.si("motor_octane_number")


def test_all_faults_come_at_once_with_line_and_key() -> None:
    text = (
        FUEL.replace('"748 kg/m3"', '"748"')
        .replace("1.9   #", "9.0   #")
        .replace("latent_heat =", "latent_heet =")
    )
    found = {fault.key: fault for fault in faults(text)}
    assert set(found) == {
        "fuel.density",
        "fuel.hydrogen_per_carbon",
        "fuel.latent_heet",
        "fuel.latent_heat",
        "provenance.latent_heat",
    }
    assert found["fuel.density"].line == 14
    assert "no unit" in found["fuel.density"].message
    assert found["fuel.latent_heet"].remedy == "Did you mean latent_heat?"
    assert found["fuel.hydrogen_per_carbon"].place == "own-blend.toml, line 10"


@pytest.mark.parametrize(
    ("old", "new", "key", "words"),
    [
        ('kind = "fuel"', 'kind = "feul"', "kind", "Did you mean fuel"),
        ("schema_version = 1", "schema_version = 7", "schema_version", "reads version 1"),
        ('"measured by the owner"', '"measured"', "status", "no status word"),
        ('name = "own-blend"', 'name = "Own Blend"', "name", "cannot be a card's name"),
        ('name = "own-blend"', 'name = "other"', "name", "not the name of the file"),
        ('source = "the drum\'s certificate"\n', "", "source", "missing"),
        ('licence = "own data"', 'licence = " "', "licence", "empty"),
        ('"42.9 MJ/kg"', "42.9", "fuel.lower_heating_value", "with its unit"),
        ('"42.9 MJ/kg"', '"42.9 kg/m3"', "fuel.lower_heating_value", "measures density"),
        ('"42.9 MJ/kg"', '"4.29 MJ/kg"', "fuel.lower_heating_value", "outside"),
        ("97.5", '"97.5"', "fuel.research_octane_number", "without a unit"),
        ("97.5", "nan", "fuel.research_octane_number", "finite"),
        ("14.5", "12.5", "fuel.stoichiometric_ratio", "that composition needs 14.43"),
        ('["740 kg/m3", "0.76 kg/L"]', '["750 kg/m3", "0.76 kg/L"]', "fuel.density", "inside its own"),
        ('["740 kg/m3", "0.76 kg/L"]', '"740 kg/m3"', "fuel.density", "[low, high]"),
        ('status = "from memory"', 'status = "hearsay"', "provenance.latent_heat.status", "no status word"),
        ("[fuel]", "density = 3\n[fuel]", "density", "belongs under [fuel]"),
        ("[fuel]", "[fuel", "", "not valid TOML"),
    ],
)
def test_each_fault_is_named(old: str, new: str, key: str, words: str) -> None:
    assert FUEL.count(old) == 1
    found = faults(FUEL.replace(old, new))
    assert key in [fault.key for fault in found]
    assert words in "\n".join(str(fault) for fault in found)


def test_unusual_values_are_asked_about_not_refused() -> None:
    card = parse_card(FUEL.replace("97.5", "72"), Path("own-blend.toml"))
    assert [warning.key for warning in card.warnings] == ["fuel.research_octane_number"]


@given(st.integers(0, len(FUEL)))
def test_every_cut_off_card_is_refused_or_whole(length: int) -> None:
    """A half-written card is refused or, where only optional lines are lost, a card; never anything else."""
    try:
        card = parse_card(FUEL[:length], Path("own-blend.toml"))
    except CardError:
        return
    assert card.si("stoichiometric_ratio") == 14.5


def test_foreign_bytes_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "own-blend.toml"
    path.write_bytes(FUEL.replace("drum", "f\u00fc").encode("cp1252"))
    with pytest.raises(CardError, match="UTF-8"):
        read_card(path)
    path.write_bytes("\ufeff".encode() + FUEL.encode())
    assert read_card(path).name == "own-blend"


TURBINE = """\
kind = "turbine"
schema_version = 1
name = "own"
source = "picture of the flow curve"
licence = "own data"
status = "measured by the owner"
[turbine]
form = "radial"
given_as = "one-number"
wheel_diameter = "55 mm"
expansion_ratio_basis = "total-to-static"
choked_flow = "22 lb/min"
reference_temperature = "15 degC"
reference_pressure = "1.01325 bar absolute"
efficiency_peak = 0.7
best_blade_speed_ratio = 0.65
a_r = 0.82
"""


def test_choked_flow_is_the_same_in_both_forms() -> None:
    """22 lb/min at 288.15 K, 101.325 kPa: 0.16632 kg/s x 16.975 / 101.325 kPa = 0.027863 by hand."""
    card = parse_card(TURBINE, Path("own.toml"))
    assert choked_swallowing(card) == pytest.approx(0.027863e-3, rel=1e-4)
    direct = parse_card(TURBINE.replace("22 lb/min", "0.027863 kg/s*sqrt(K)/kPa"), Path("own.toml"))
    assert choked_swallowing(direct) == pytest.approx(choked_swallowing(card), rel=1e-4)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("a_r = 0.82", "a_r = 82", "did you mean 0.82"),
        ('reference_temperature = "15 degC"\n', "", "reference_temperature"),
        ("bar absolute", "bar", "which of these"),
        ("bar absolute", "bar gauge", "which of these"),
        ('"22 lb/min"', '"22 m3"', "swallowing or as mass flow"),
        ('"one-number"', '"speed-lines"', "no [table]"),
        ('"one-number"', '"one-nummer"', "Did you mean 'one-number'"),
        ("efficiency_peak = 0.7\n", "", "efficiency_peak"),
    ],
)
def test_turbine_faults(old: str, new: str, words: str) -> None:
    found = faults(TURBINE.replace(old, new), "own")
    assert words.lower() in "\n".join(str(fault) for fault in found).lower()


def test_a_flow_that_does_not_belong_to_the_wheel_is_asked_about() -> None:
    card = parse_card(TURBINE.replace("22 lb/min", "22 kg/min"), Path("own.toml"))
    assert [warning.key for warning in card.warnings] == ["turbine.choked_flow"]


def lines_card(tmp_path: Path, table: str) -> Path:
    """A turbine card of speed lines with its table."""
    text = TURBINE.replace('"one-number"', '"speed-lines"') + '[table]\nfile = "own.csv"\n'
    (tmp_path / "own.csv").write_text(table, encoding="utf-8")
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    return path


LINES = """corrected_speed,expansion_ratio,corrected_flow,efficiency
rpm,-,g/s,-
60000,1.5,120,0.6
60000,2.0,140,0.7
"""


def test_table_is_read_with_its_unit_row(tmp_path: Path) -> None:
    card = read_card(lines_card(tmp_path, LINES))
    assert card.columns["corrected_flow"] == pytest.approx([0.12, 0.14])
    assert card.columns["corrected_speed"] == pytest.approx([60000 * np.pi / 30] * 2)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("g/s", "g", "measures mass"),
        ("g/s", "", "no unit"),
        ("efficiency\n", "eficiency\n", "Did you mean efficiency"),
        ("140", "abc", "does not begin with a number"),
        ("0.7", "seven", "no number"),
        ("0.7", "70", "outside what is possible"),
        ("140,", "140,1,", "has 5 cells"),
        ("60000,2.0", "60000,1.4", "rising expansion ratio"),
        ("60000,2.0", "50000,2.0", "single point"),
        ("140", "", "empty cells"),
        (LINES, "", "has no data"),
    ],
)
def test_table_faults(tmp_path: Path, old: str, new: str, words: str) -> None:
    with pytest.raises(CardError) as caught:
        read_card(lines_card(tmp_path, LINES.replace(old, new)))
    assert words in str(caught.value)


def test_table_file_must_lie_beside_the_card(tmp_path: Path) -> None:
    path = lines_card(tmp_path, LINES)
    path.write_text(path.read_text().replace('"own.csv"', '"../own.csv"'))
    with pytest.raises(CardError, match="beside the card"):
        read_card(path)
    path.write_text(path.read_text().replace('"../own.csv"', '"other.csv"'))
    with pytest.raises(CardError, match="no such file"):
        read_card(path)


def test_the_builds_cards_come_first(tmp_path: Path) -> None:
    (tmp_path / "cards").mkdir()
    own = FUEL.replace("own-blend", "petrol-ron95")
    (tmp_path / "cards" / "petrol-ron95.toml").write_text(own, encoding="utf-8")
    card = find_card("fuel", "petrol-ron95", tmp_path)
    assert card.found_in == "the build's cards"
    assert card.si("density") == 748.0
    assert find_card("fuel", "petrol-ron95").found_in == "the shipped library"
    (tmp_path / "cards" / "own-blend.toml").write_text(FUEL, encoding="utf-8")
    assert "own-blend" in list_cards("fuel", tmp_path)
    assert "own-blend" not in list_cards("pipe", tmp_path)


def test_a_card_of_another_kind_is_passed_over_and_named(tmp_path: Path) -> None:
    (tmp_path / "cards").mkdir()
    (tmp_path / "cards" / "own-blend.toml").write_text(FUEL, encoding="utf-8")
    with pytest.raises(UnknownPart, match="is a fuel card"):
        find_card("pipe", "own-blend", tmp_path)


def test_a_broken_card_in_the_build_is_not_passed_over(tmp_path: Path) -> None:
    (tmp_path / "cards" / "fuel").mkdir(parents=True)
    (tmp_path / "cards" / "fuel" / "petrol-ron95.toml").write_text(FUEL[:100], encoding="utf-8")
    with pytest.raises(CardError):
        find_card("fuel", "petrol-ron95", tmp_path)


@pytest.mark.parametrize("name", ["petrol-ron96", "../fuel/petrol-ron95", "", "PETROL-RON95"])
def test_unknown_part_lists_names_and_places(tmp_path: Path, name: str) -> None:
    with pytest.raises(UnknownPart) as caught:
        find_card("fuel", name, tmp_path)
    message = str(caught.value)
    assert "petrol-ron95" in message
    assert str(tmp_path / "cards") in message
    assert isinstance(caught.value, KeyError)


def test_unknown_kind() -> None:
    with pytest.raises(UnknownPart, match="fuel"):
        find_card("feul", "petrol-ron95")


def test_change_keeps_comments_and_refuses_rubbish(tmp_path: Path) -> None:
    path = tmp_path / "own-blend.toml"
    path.write_bytes(FUEL.replace("\n", "\r\n").encode())
    changed = change_card(path, {"density": "0.75 kg/L"})
    assert changed.si("density") == pytest.approx(750.0)
    after = path.read_bytes().decode()
    assert after == FUEL.replace("748 kg/m3", "0.75 kg/L").replace("\n", "\r\n")
    with pytest.raises(CardError):
        change_card(path, {"density": "0.75"})
    assert path.read_bytes().decode() == after
    assert [p.name for p in tmp_path.iterdir()] == ["own-blend.toml"]


def test_what_is_written_reads_back(tmp_path: Path) -> None:
    source = find_card("turbine", "invented-radial-55mm-lines")
    header = CardHeader("turbine", 1, "copy", "a copy", "own data", "scaled", "a note")
    values = {
        key: value.word or (value.quantity.text if value.kind != "number" else value.quantity.value_si)
        for key, value in source.values.items()
        if value.quantity is not None or value.word
    }
    units = {"corrected_speed": "rpm", "corrected_flow": "lb/min"}
    provenance = {"a_r": ("stamped on it", "measured by the owner")}
    written = write_card(tmp_path / "cards", header, values, provenance, source.columns, units)
    again = find_card("turbine", "copy", tmp_path)
    assert again.header == header
    assert again.values["a_r"].status == "measured by the owner"
    for key, column in source.columns.items():
        assert again.columns[key] == pytest.approx(column, rel=1e-8)
        assert written.columns[key] == pytest.approx(column, rel=1e-8)
    with pytest.raises(FileExistsError):
        write_card(tmp_path / "cards", header, values, provenance, source.columns, units)


def test_a_faulty_card_is_not_written(tmp_path: Path) -> None:
    header = CardHeader("fuel", 1, "bad", "nowhere at all", "own data", "hearsay")
    with pytest.raises(CardError, match="no status word"):
        write_card(tmp_path, header, {"density": "1"})
    assert list(tmp_path.iterdir()) == []


def test_lines_of_keys() -> None:
    text = '''a = 1
[b.c]
d = [1, # ]
  2]
"e f".g = """
[not.a.table]
"""
h = { i = "}" }
[[p]]
q = 'x # y'
[[p]]
q = 2
'''
    lines = key_lines(text)
    assert lines[("a",)] == 1
    assert lines[("b", "c")] == 2
    assert lines[("b", "c", "d")] == 3
    assert lines[("b", "c", "e f", "g")] == 5
    assert lines[("b", "c", "h")] == 8
    assert lines[("p", "0", "q")] == 10
    assert lines[("p", "1", "q")] == 12
    assert ("not", "a", "table") not in lines


def test_toml_fault_has_its_line() -> None:
    with pytest.raises(TomlFault) as caught:
        read_toml("a = 1\nb = \n")
    assert caught.value.line == 2
