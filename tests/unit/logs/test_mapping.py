"""Columns to channels: what is taken, what is asked, what answers do, and what is taken over from an earlier log."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.logs.mapping.answers import read_answers
from boostwright.logs.mapping.facts import Raw
from boostwright.logs.mapping.names import CHANNELS, channel_of
from boostwright.logs.mapping.propose import propose, shape_of
from boostwright.logs.mapping.unit_words import find_unit
from boostwright.logs.records import LogError
from boostwright.tasks.import_log import ImportOptions, import_logs
from tests.support.invented_log import as_text, signals, written
from tests.support.log_habits import HABITS, Truth

RPM = 2 * np.pi / 60


def _raws(time: np.ndarray, *columns: tuple[str, str, np.ndarray]) -> list[Raw]:
    return [Raw(1, 1, name, unit, "", (), time, np.asarray(v, dtype=float)) for name, unit, v in columns]


def _proposed(*columns: tuple[str, str, np.ndarray], key_on: bool = True, idle: bool = True):
    time, data = signals(key_on=key_on, idle=idle)
    full = [(name, unit, data[v] if isinstance(v, str) else v) for name, unit, v in columns]
    return {p.column: p for p in propose(_raws(time, *full))}


@pytest.mark.parametrize("habit", HABITS)
def test_nothing_is_silently_wrong_in_any_habit(habit: str) -> None:
    time, data = signals()
    log = written(HABITS[habit], time, data)
    raws = _raws(time, *zip(log.names, log.units, log.values, strict=True))
    for proposal, truth in zip(propose(raws), log.truth, strict=True):
        if proposal.taken and proposal.choice is not None:
            assert Truth(proposal.choice.channel, proposal.choice.unit) == Truth(truth.channel, truth.unit), (
                proposal
            )
            assert proposal.choice.basis == truth.basis or not truth.basis, proposal
        else:
            assert truth.channel is None or proposal.status == "asked", proposal
        assert proposal.reason


@pytest.mark.parametrize(
    ("name", "values", "scale", "offset", "channel"),
    [
        ("Boost", "pressure_im", 1e-3, 0.0, "pressure_im"),
        ("MAP", "boost", 1e-3, 0.0, "boost"),
        ("MAP", "pressure_im", 1e-3, 0.0, "pressure_im"),
        ("Ladedruck", "boost", 1e-3, 0.0, "boost"),
    ],
)
def test_the_engine_at_rest_tells_gauge_from_absolute(name, values, scale, offset, channel) -> None:
    _, data = signals()
    found = _proposed(
        ("RPM", "rpm", data["engine_speed"] / RPM), (name, "kPa", data[values] * scale + offset)
    )
    assert found[name].choice.channel == channel
    assert found[name].status == "proposed"
    assert "at rest" in found[name].reason


def test_a_pull_alone_leaves_gauge_or_absolute_open() -> None:
    _, data = signals(key_on=False, idle=False)
    found = _proposed(
        ("RPM", "rpm", data["engine_speed"] / RPM),
        ("MAP", "psi", data["boost"] / 6894.757),
        key_on=False,
        idle=False,
    )
    assert found["MAP"].status == "asked"
    assert {c.channel for c in found["MAP"].choices} == {"pressure_im", "boost"}


def test_header_and_numbers_that_contradict_are_asked_about() -> None:
    _, data = signals()
    found = _proposed(
        ("MAP", "psi", data["pressure_im"] / 1e3), ("Coolant", "°C", data["temperature_coolant"] * 1.8 - 459.67),
        ("Lambda", "", data["air_fuel_ratio"]),
    )  # fmt: skip
    assert {p.status for p in found.values()} == {"asked"}
    assert "do not fit" in found["MAP"].reason


def test_speed_without_a_unit_is_settled_by_another_speed() -> None:
    _, data = signals()
    found = _proposed(
        ("Speed", "", data["vehicle_speed"] * 2.236936), ("GPS Speed", "km/h", data["vehicle_speed"] * 3.6)
    )
    assert found["Speed"].choice.unit == "mph"
    assert "agrees with" in found["Speed"].reason


def test_degrees_without_a_unit_are_asked() -> None:
    _, data = signals()
    found = _proposed(("Coolant Temp", "", data["temperature_coolant"] - 273.15))
    assert found["Coolant Temp"].status == "asked"
    assert {c.unit for c in found["Coolant Temp"].choices} >= {"degC", "degF"}


def test_two_columns_that_claim_one_channel() -> None:
    _, data = signals()
    speed = data["engine_speed"] / RPM
    same = _proposed(("RPM", "rpm", speed), ("Engine Speed", "rpm", speed))
    assert [p.status for p in same.values()] == ["proposed", "none"]
    other = _proposed(("RPM", "rpm", speed), ("Engine Speed", "rpm", speed * 1.05 + 20))
    assert [p.status for p in other.values()] == ["asked", "asked"]


def test_cylinder_numbers_and_pedal_tracks() -> None:
    _, data = signals()
    egt, pedal = data["egt_reading"] - 273.15, data["pedal_position"] * 100
    found = _proposed(("EGT Cyl 4", "C", egt), ("Pedal D", "%", pedal), ("Pedal E", "%", pedal * 0.9 + 3))
    assert [p.choice.channel for p in found.values()] == [
        "egt_reading_4",
        "pedal_position_1",
        "pedal_position_2",
    ]


def test_raw_signals_are_not_taken_for_the_thing_they_stand_for() -> None:
    _, data = signals()
    found = _proposed(("Coolant Temp Sensor", "V", data["lambda"]), ("MAF", "Hz", data["engine_speed"]))
    assert {p.status for p in found.values()} == {"none"}


UNITS = {
    "°C": ("temperature", "degC", ""),
    "\ufffdC": ("temperature", "degC", ""),
    "U/min": ("rotational_speed", "rpm", ""),
    "bar(g)": ("pressure", "bar", "gauge"),
    "kPa abs": ("pressure", "kPa", "absolute"),
    "psia": ("pressure", "psi", "absolute"),
    "hp": ("power", "", ""),
    "PS": ("power", "PS", ""),
    "° BTDC": ("angle", "deg", ""),
    "mg/stroke": ("mass_per_stroke", "", ""),
    "lb/min": ("mass_flow", "lb/min", ""),
    "ft-lb": ("torque", "lbf*ft", ""),
    "kg/cm²": ("pressure", "kgf/cm2", ""),
}


@pytest.mark.parametrize("text", UNITS)
def test_spellings_of_units(text: str) -> None:
    word = find_unit(text)
    assert word is not None
    assert (word.kind, word.unit, word.basis) == UNITS[text]


def test_every_unit_of_a_spelling_is_in_the_table_of_units() -> None:
    from boostwright.logs.mapping.tables import table_lines
    from boostwright.units import KINDS, to_si

    for line in table_lines("units.txt"):
        kind, _, unit = line.partition(" :")[0].partition("|")
        kind, unit = kind.strip(), unit.strip()
        if kind in KINDS and (unit or kind == "dimensionless"):
            to_si(1.0, kind, unit)


def test_channels_are_in_the_table_of_units() -> None:
    from boostwright.units import KINDS

    for channel in CHANNELS.values():
        assert channel.kind in (*KINDS, "", "air_fuel_ratio")
        assert channel.low < channel.high
    assert channel_of("egt_reading_3") == (CHANNELS["egt_reading"], 3)
    assert channel_of("engine_speed_2") is None


def _log(folder: Path, name: str, scale: float = 1.0) -> Path:
    time, data = signals(seconds=30)
    log = written(HABITS["terse"], time, data)
    log.values = [v * scale if n == "clt" else v for n, v in zip(log.names, log.values, strict=True)]
    file = folder / name
    file.write_text(as_text(log, header="bare", digits=3), encoding="utf-8")
    return file


def test_answers_are_kept_and_reused_for_the_next_log_of_the_shape(tmp_path: Path) -> None:
    said = ImportOptions(
        units=("temperature=degC", "vss=km/h", "maf=g/s"), maps=("spark=angle_spark", "batt=none")
    )
    first = import_logs([_log(tmp_path, "a.csv")], tmp_path / "logs", said).logs[0]
    assert first.faults == ()
    taken = {p.column: (p.status, p.choice.unit) for p in first.proposals if p.taken}
    assert taken["clt"] == taken["iat"] == taken["egt"] == ("said", "degC")
    assert "batt" not in taken
    second = import_logs([_log(tmp_path, "b.csv", 1.01)], tmp_path / "logs").logs[0]
    assert second.reused == "a"
    again = {p.column: (p.status, p.choice.unit) for p in second.proposals if p.taken}
    assert again["clt"] == ("reused", "degC")
    assert set(again) == set(taken)


def test_what_was_settled_is_judged_anew_where_the_numbers_no_longer_fit(tmp_path: Path) -> None:
    import_logs([_log(tmp_path, "a.csv")], tmp_path / "logs", ImportOptions(units=("temperature=degC",)))
    second = import_logs([_log(tmp_path, "b.csv", 2.2)], tmp_path / "logs").logs[0]
    found = {p.column: p for p in second.proposals}["clt"]
    assert found.status != "reused"
    assert found.choice is not None
    assert found.choice.unit == "degF"


def test_answers_may_come_later_and_from_a_file(tmp_path: Path) -> None:
    file = _log(tmp_path, "a.csv")
    import_logs([file], tmp_path / "logs")
    answers = tmp_path / "answers.toml"
    answers.write_text(
        '[columns."clt"]\nunit = "degC"\n[columns."map"]\nchannel = "pressure_im"\nunit = "kPa absolute"\n'
    )
    log = import_logs([file], tmp_path / "logs", ImportOptions(answers=answers)).logs[0]
    found = {p.column: p for p in log.proposals}
    assert (log.new, found["clt"].status, found["map"].choice.words()) == (
        False,
        "said",
        "pressure_im kPa absolute",
    )
    third = import_logs([file], tmp_path / "logs").logs[0]
    assert {p.column: p.status for p in third.proposals}["clt"] == "said"


WRONG = {
    "no equals sign": ((), ("MAP",), "no COLUMN=VALUE"),
    "unknown channel": (("clt=coolant_temp",), (), "no channel known here"),
    "unknown unit": ((), ("clt=degrees of warmth",), "no unit known here"),
    "ambiguous horsepower": ((), ("clt=hp",), "no unit known here"),
}


@pytest.mark.parametrize("case", WRONG)
def test_answers_that_cannot_be_are_refused_before_anything_is_done(tmp_path: Path, case: str) -> None:
    maps, units, words = WRONG[case]
    with pytest.raises(LogError, match=words):
        import_logs([_log(tmp_path, "a.csv")], tmp_path / "logs", ImportOptions(maps=maps, units=units))
    assert not (tmp_path / "logs").exists()


LATER = {
    "column that is not there": (("cltt=temperature_coolant",), (), "names no column"),
    "unit of another kind": ((), ("clt=kPa",), "measures pressure"),
    "boost cannot be absolute": (("map=boost",), ("map=kPa absolute",), "do not go together"),
}


@pytest.mark.parametrize("case", LATER)
def test_answers_that_do_not_fit_are_said_and_the_log_is_kept(tmp_path: Path, case: str) -> None:
    maps, units, words = LATER[case]
    log = import_logs(
        [_log(tmp_path, "a.csv")], tmp_path / "logs", ImportOptions(maps=maps, units=units)
    ).logs[0]
    assert words in str(log.faults[0])
    assert log.new


def test_answers_read_column_names_with_an_equals_sign() -> None:
    (answer,) = read_answers(["a=b=engine_speed"], [])
    assert (answer.column, answer.channel) == ("a=b", "engine_speed")


def test_shape_hangs_on_names_and_units_only() -> None:
    time = np.arange(3.0)
    one = _raws(time, ("A", "kPa", time), ("B", "s", time))
    assert shape_of(one) == shape_of(one[::-1])
    assert shape_of(one) != shape_of(_raws(time, ("A", "bar", time), ("B", "s", time)))
