"""Compressor cards: a user's CSV in any habit, unit and reference; what is refused and what is asked."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.cards.card import Card
from boostwright.cards.look_up import find_card
from boostwright.cards.reader import read_card
from boostwright.components.compressor import compressor_surface, speed_lines
from boostwright.errors import CardError
from boostwright.physics.turbo.corrected import referred_flow, referred_speed
from boostwright.solve.kernel.compressor import choke_flow, compressor_states, surge_flow
from boostwright.units import convert

HEADER = """kind = "compressor"
schema_version = 1
name = "mine"
source = "made up for a test"
licence = "none needed"
status = "invented for the demo"

[compressor]
"""
ISA = 'reference_pressure = "101325 Pa absolute"\nreference_temperature = "288.15 K"\n'
WHEEL = 'wheel_diameter = "60 mm"\n'
TABLE = '[table]\nfile = "mine.csv"\n'
PLAIN = """corrected_speed,corrected_flow,pressure_ratio,efficiency
rpm,kg/s,-,-
80000,0.04,1.45,0.70
80000,0.07,1.43,0.74
80000,0.09,1.35,0.68
120000,0.07,2.20,0.70
120000,0.11,2.15,0.75
120000,0.14,1.90,0.67
"""


def write(folder: Path, table: str | bytes, values: str = ISA + WHEEL) -> Path:
    """A card called mine with that table."""
    (folder / "mine.toml").write_text(HEADER + values + TABLE, encoding="utf-8")
    data = table if isinstance(table, bytes) else table.encode()
    (folder / "mine.csv").write_bytes(data)
    return folder / "mine.toml"


def refusal(folder: Path, table: str | bytes, values: str = ISA + WHEEL) -> str:
    """Text of the refusal of such a card."""
    with pytest.raises(CardError) as caught:
        read_card(write(folder, table, values))
    return str(caught.value)


def warnings(folder: Path, table: str, values: str = ISA + WHEEL) -> str:
    """Text of all that is asked about such a card."""
    return "\n".join(str(fault) for fault in read_card(write(folder, table, values)).warnings)


def as_written(name: str, unit: str, speed_unit: str, reference: tuple[float, float]) -> str:
    """The measured map ``name`` as a table in another unit, at another reference (K, Pa)."""
    card = find_card("compressor", name)
    isa = (288.15, 101325.0)
    flow = referred_flow(card.columns["corrected_flow"], *isa, *reference)
    speed = referred_speed(card.columns["corrected_speed"], isa[0], reference[0])
    if unit in ("m3/s", "CFM"):
        written = convert(1.0, "volume_flow", unit) * flow * 287.05 * reference[0] / reference[1]
    else:
        written = convert(1.0, "mass_flow", unit) * flow
    rows = [f"corrected_speed,corrected_flow,pressure_ratio,efficiency\n{speed_unit},{unit},-,%"]
    for i in range(flow.size):
        n = convert(float(speed[i]), "rotational_speed", speed_unit)
        pr, eta = float(card.columns["pressure_ratio"][i]), 100.0 * float(card.columns["efficiency"][i])
        rows.append(f"{n!r},{float(written[i])!r},{pr!r},{eta!r}")
    return "\n".join(rows)


@pytest.mark.parametrize("name", ["scaled-eckardt-60mm", "scaled-cc3-60mm"])
def test_three_units_and_three_references_are_one_map(name: str, tmp_path: Path) -> None:
    ways = [
        ("lb/min", "rpm", (545.0 / 1.8, 96.17e3), "96.17 kPa absolute", f"{545.0 / 1.8!r} K"),
        ("CFM", "krpm", (298.0, 100e3), "1 bar absolute", "298 K"),
        ("g/s", "rad/s", (293.15, 101325.0), "14.69594877551345 psi absolute", "20 degC"),
        ("m3/s", "rev/s", (288.15, 101325.0), "101325 Pa absolute", "288.15 K"),
        ("kg/s", "rpm", (298.0, 100e3), "100 kPa absolute", "24.85 degC"),
    ]
    original = compressor_surface(find_card("compressor", name))
    top = original.speed_highest_measured
    rng = np.random.default_rng(3)
    speed = rng.uniform(0.0, 1.2 * top, 400)
    flow = rng.uniform(0.0, 1.1 * choke_flow(original.table, top), 400)
    expected = compressor_states(original.table, speed, flow)
    for number, (unit, speed_unit, reference, pressure, temperature) in enumerate(ways):
        folder = tmp_path / str(number)
        folder.mkdir()
        values = f'reference_pressure = "{pressure}"\nreference_temperature = "{temperature}"\n'
        card = read_card(write(folder, as_written(name, unit, speed_unit, reference), values))
        surface = compressor_surface(card)
        ratio, work = compressor_states(surface.table, speed, flow)
        assert ratio == pytest.approx(expected[0], rel=1e-6), unit
        assert work == pytest.approx(expected[1], rel=1e-6, abs=1e-2), unit
        assert surge_flow(surface.table, top) == pytest.approx(surge_flow(original.table, top), rel=1e-6)
        assert choke_flow(surface.table, top) == pytest.approx(choke_flow(original.table, top), rel=1e-6)


def columns(card: Card) -> np.ndarray:
    """All columns side by side."""
    return np.column_stack(
        [card.columns[k] for k in ("corrected_speed", "corrected_flow", "pressure_ratio", "efficiency")]
    )


@pytest.mark.parametrize(
    "habit",
    [
        PLAIN.replace(",", ";").replace(".", ","),
        PLAIN.replace(",", "\t"),
        PLAIN.replace("corrected_speed,corrected_flow,pressure_ratio,efficiency\nrpm,kg/s,-,-",
                      "Speed [rpm],Flow [kg/s],PR,Eff"),
        PLAIN.replace("corrected_speed,corrected_flow,pressure_ratio,efficiency", "N,W,PR,eta"),
        "# drawn from a photograph\n\n" + PLAIN.replace("\n", "\r\n"),
        "\ufeff" + PLAIN,
        PLAIN.replace("\n", ",\n"),
    ],
    ids=["decimal comma", "tabs", "units in names", "short names", "comment", "byte order mark", "trailing comma"],
)  # fmt: skip
def test_habits_of_writing_do_not_matter(habit: str, tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    plain = read_card(write(tmp_path / "a", PLAIN))
    other = read_card(write(tmp_path, habit))
    assert columns(other) == pytest.approx(columns(plain), rel=1e-12)


def test_a_table_in_another_encoding_is_read_and_said(tmp_path: Path) -> None:
    table = ("# Kennfeld für die Prüfung\n" + PLAIN).encode("cp1252")
    card = read_card(write(tmp_path, table))
    assert columns(card).shape == (6, 4)
    assert "not UTF-8" in str(card.warnings[0])


def test_no_reference_is_refused(tmp_path: Path) -> None:
    text = refusal(tmp_path, PLAIN, WHEEL)
    assert "compressor.reference_pressure" in text
    assert "compressor.reference_temperature" in text
    assert "none is assumed" in text


def test_gauge_reference_is_refused(tmp_path: Path) -> None:
    text = refusal(tmp_path, PLAIN, ISA.replace("absolute", "gauge"))
    assert "reference_pressure" in text
    assert "absolute" in text


def test_missing_unit_is_refused(tmp_path: Path) -> None:
    text = refusal(tmp_path, PLAIN.replace("kg/s", "-"))
    assert "corrected_flow" in text
    assert "mass flow or volume flow" in text


def test_missing_column_is_refused(tmp_path: Path) -> None:
    text = refusal(tmp_path, PLAIN.replace("efficiency", "something"))
    assert "efficiency" in text
    assert "column is missing" in text


def test_missing_table_is_refused(tmp_path: Path) -> None:
    path = write(tmp_path, PLAIN)
    (tmp_path / "mine.csv").unlink()
    with pytest.raises(CardError, match="no such file"):
        read_card(path)
    path.write_text(HEADER + ISA, encoding="utf-8")
    with pytest.raises(CardError, match="must name the file"):
        read_card(path)


def test_one_line_is_refused(tmp_path: Path) -> None:
    text = refusal(tmp_path, "\n".join(PLAIN.splitlines()[:5]))
    assert "1 speed line; at least two" in text


def test_cells_that_are_no_numbers_are_all_named(tmp_path: Path) -> None:
    text = refusal(tmp_path, PLAIN.replace("0.07,1.43", "abc,1.43").replace("2.15,0.75", "2.15,"))
    assert "line 4, corrected_flow = abc" in text
    assert "line 7, efficiency" in text


def test_impossible_points_are_refused_with_their_line(tmp_path: Path) -> None:
    text = refusal(
        tmp_path, PLAIN.replace("1.35,0.68", "0.95,0.68").replace("0.14,1.90,0.67", "0.14,1.90,1.67")
    )
    assert "line 5, pressure_ratio = 0.95" in text
    assert "line 8, efficiency = 1.67" in text


def test_efficiency_in_percent_without_the_sign(tmp_path: Path) -> None:
    table = "\n".join(
        f"{row.rpartition(',')[0]},{100 * float(row.rpartition(',')[2])}" if i > 1 else row
        for i, row in enumerate(PLAIN.strip().splitlines())
    )
    assert "is in percent" in refusal(tmp_path, table)
    assert columns(read_card(write(tmp_path, table.replace("kg/s,-,-", "kg/s,-,%"))))[0, 3] == pytest.approx(
        0.70
    )


def test_a_sound_map_raises_no_question(tmp_path: Path) -> None:
    assert warnings(tmp_path, PLAIN) == ""
    assert warnings(tmp_path, PLAIN, ISA) == ""


def test_unordered_points_are_put_in_order_and_said(tmp_path: Path) -> None:
    rows = PLAIN.splitlines()
    mixed = "\n".join([*rows[:2], rows[2], rows[4], rows[3], *rows[5:]])
    text = warnings(tmp_path, mixed)
    assert "line 5, corrected_flow" in text
    assert "not in order of flow" in text
    assert "80000 rpm" in text
    line = speed_lines(read_card(tmp_path / "mine.toml"))[0]
    assert np.all(np.diff(line.flow) > 0.0)


def test_right_to_left_is_an_order_too(tmp_path: Path) -> None:
    rows = PLAIN.splitlines()
    assert warnings(tmp_path, "\n".join([*rows[:2], *reversed(rows[2:])])) == ""


def test_points_given_twice_count_once(tmp_path: Path) -> None:
    rows = PLAIN.splitlines()
    text = warnings(tmp_path, "\n".join([*rows, rows[3]]))
    assert "holds this point twice (also in line 4)" in text
    twice = speed_lines(read_card(tmp_path / "mine.toml"))[0]
    (tmp_path / "once").mkdir()
    once = speed_lines(read_card(write(tmp_path / "once", PLAIN)))[0]
    assert twice.flow == pytest.approx(once.flow)
    assert twice.efficiency == pytest.approx(once.efficiency)


def test_upright_points_stay_apart(tmp_path: Path) -> None:
    text = warnings(tmp_path, PLAIN + "120000,0.14,1.60,0.55\n")
    assert "two points of this flow" in text
    line = speed_lines(read_card(tmp_path / "mine.toml"))[1]
    assert np.all(np.diff(line.flow) > 0.0)
    assert line.pressure_ratio[-2:] == pytest.approx([1.90, 1.60])


@pytest.mark.parametrize("values", [ISA + WHEEL, ISA], ids=["wheel known", "wheel not known"])
@pytest.mark.parametrize(
    ("factor", "written"), [(60.0 / 0.45359237, "kg/s"), (1000.0, "kg/s"), (1.0, "lb/min"), (1.0, "g/s")]
)
def test_flow_in_the_wrong_unit_is_asked(factor: float, written: str, values: str, tmp_path: Path) -> None:
    # Numbers of lb/min and g/s under the heading kg/s, and the other way round.
    rows = PLAIN.replace("kg/s", written).splitlines()
    table = rows[:2]
    for row in rows[2:]:
        speed, flow, *rest = row.split(",")
        table.append(",".join([speed, f"{factor * float(flow):.5g}", *rest]))
    text = warnings(tmp_path, "\n".join(table), values)
    assert "probably the unit is another one" in text
    meant = {60.0 / 0.45359237: "lb/min", 1000.0: "g/s", 1.0: "kg/s"}[factor]
    assert meant in text.partition("would fit in")[2]


def test_speed_or_wheel_in_the_wrong_unit_is_asked(tmp_path: Path) -> None:
    assert "Is the unit of speed right?" in warnings(tmp_path, PLAIN.replace("rpm,", "rad/s,"))
    text = warnings(tmp_path, PLAIN, ISA + 'wheel_diameter = "60 in"\n'.replace("60 in", "35 mm"))
    assert "do not fit" in text


def test_limiting_speed_from_tip_speed_or_as_stated(tmp_path: Path) -> None:
    card = read_card(write(tmp_path, PLAIN, ISA + WHEEL + 'tip_speed_limit = "480 m/s"\n'))
    assert compressor_surface(card).speed_limit == pytest.approx(480.0 / 0.030)
    stated = ISA.replace("288.15 K", "298 K") + 'speed_limit = "150000 rpm"\n'
    surface = compressor_surface(read_card(write(tmp_path, PLAIN, stated)))
    expected = 150e3 * np.pi / 30.0 * np.sqrt(288.15 / 298.0)
    assert surface.speed_limit == pytest.approx(expected)
    assert surface.speed_limit_status == "invented for the demo"
    none = compressor_surface(read_card(write(tmp_path, PLAIN)))
    assert none.speed_limit == none.speed_highest_measured
    assert "highest speed line" in none.speed_limit_status
    assert "needs wheel_diameter" in refusal(tmp_path, PLAIN, ISA + 'tip_speed_limit = "480 m/s"\n')


def test_loss_factor_keeps_work_and_takes_head(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    plain = speed_lines(read_card(write(tmp_path / "a", PLAIN)))
    lossy = speed_lines(read_card(write(tmp_path, PLAIN, ISA + WHEEL + "loss_factor = 1.5\n")))
    for one, two in zip(plain, lossy, strict=True):
        work = (one.pressure_ratio ** (1 / 3.5) - 1.0) / one.efficiency
        assert (two.pressure_ratio ** (1 / 3.5) - 1.0) / two.efficiency == pytest.approx(work, rel=1e-12)
        assert 1.0 - two.efficiency == pytest.approx(1.5 * (1.0 - one.efficiency), rel=1e-12)


def test_labels_part_lines_and_speeds_may_wander(tmp_path: Path) -> None:
    table = """line,corrected_speed,corrected_flow,pressure_ratio,efficiency
,rpm,kg/s,-,-
a,79500,0.04,1.45,0.70
a,80700,0.07,1.43,0.74
a,80000,0.09,1.35,0.68
b,120000,0.07,2.20,0.70
b,120500,0.11,2.15,0.75
b,119000,0.14,1.90,0.67
"""
    card = read_card(write(tmp_path, table))
    assert len(speed_lines(card)) == 2
    assert "almost the same speed" in refusal(
        tmp_path, table.replace("b,12", "b,8").replace("119000", "81000")
    )
