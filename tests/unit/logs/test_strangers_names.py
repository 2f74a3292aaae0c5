"""Names as strangers write them: nearly all right or asked, never silently wrong, nothing taken that is not ours."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from boostwright.logs.mapping.facts import Raw
from boostwright.logs.mapping.proposal import ASKED
from boostwright.logs.mapping.propose import propose
from boostwright.logs.mapping.tables import table_lines
from boostwright.logs.mapping.words import spoken
from tests.support.named_columns import NAMES, Named, judged, read_names, verdict

SETS = sorted(path.stem for path in NAMES.glob("set_*.txt"))


@pytest.mark.parametrize("name", SETS)
def test_right_or_asked_and_never_silently_wrong(name: str) -> None:
    lines = read_names(NAMES / f"{name}.txt")
    found = {line.name: verdict(line, judged(line)) for line in lines}
    counts = Counter(found.values())
    assert len(found) == len(lines) == 100
    assert [line for line, what in found.items() if what == "WRONG"] == []
    assert counts["right"] + counts["asked"] >= 95, [n for n, what in found.items() if what == "missed"]
    assert counts["right"] >= 70  # a question about each would also be "right or asked"


def test_what_is_none_of_ours_is_not_taken() -> None:
    lines = read_names(NAMES / "not_ours.txt")
    taken = [line.name for line in lines if judged(line).taken]
    assert taken == []
    assert sum(judged(line).status == ASKED for line in lines) < 0.45 * len(lines)


@pytest.mark.parametrize("word", ["max", "target", "error", "limit", "raw", "average", "derivative", "trim"])
def test_a_word_that_makes_it_another_thing_is_heeded(word: str) -> None:
    for line in (
        one for one in read_names(NAMES / "set_a.txt") if one.name.isascii() and one.right != ("none",)
    ):
        for name in (f"{line.name} {word}", f"{word} {line.name}"):
            proposal = judged(replace(line, name=name))
            known = proposal.choice.channel if proposal.taken and proposal.choice else ""
            assert known == "" or (word in ("target", "trim") and word in known), (name, proposal)


CASES = {
    "a solenoid's duty in French": ("rapport cyclique wastegate", "%", "solenoid_duty", "%", "solenoid_duty"),
    "a second probe of a bank": ("Bank 1 Sensor 2 lambda", "", "lambda", "", "none"),
    "a number that counts the turbocharger": ("Turbo 1 speed", "rpm", "shaft_speed", "rpm", "shaft_speed"),
    "a letter with the unit's help": ("P_wheel", "kW", "power_wheel", "kW", "power_wheel"),
    "vor and nach as letters": ("T_Abgas_nT", "°C", "egt_reading_downpipe", "degC", "egt_reading_downpipe"),
    "two short words as one": ("ignadv", "deg", "angle_spark", "deg", "angle_spark"),
    "a unit behind a word": ("turborpm", "", "shaft_speed", "rpm", "shaft_speed"),
}


@pytest.mark.parametrize("case", CASES)
def test_names_that_once_went_astray(case: str) -> None:
    name, header, source, unit, right = CASES[case]
    line = Named(name, header, source, unit, "", (right,))
    assert verdict(line, judged(line)) == "right", judged(line)


ASKS = {
    "a slip": ("Coolent temp", "°C", "temperature_coolant", "degC"),
    "short forms": ("Knck Rtrd", "deg", "knock_retard", "deg"),
    "a turbocharger or a turbine": ("Turb outlet temp", "°C", "temperature_2", "degC"),
    "a second turbocharger": ("Turbo 2 speed", "rpm", "shaft_speed", "rpm"),
    "a ratio that may be its own inverse": ("equivalence ratio", "", "lambda", ""),
    "a header that says rpm over thousands": ("Engine speed", "rpm", "engine_speed", "krpm"),
    "a header that says kPa over bar": ("Boost pressure", "kPa", "boost", "bar"),
    "a header that says F over a warm engine in C": ("Coolant temp", "F", "temperature_coolant", "degC"),
    "load as a share or in per cent": ("Engine load", "", "engine_load", ""),
    "a name of unknown words, by its unit": ("Gizmo", "g/s", "mass_flow_air", "g/s"),
}


@pytest.mark.parametrize("case", ASKS)
def test_what_stays_open_is_asked_with_the_right_answer_offered(case: str) -> None:
    name, header, source, unit = ASKS[case]
    line = Named(name, header, source, unit, "gauge" if source == "boost" else "", (source,))
    assert verdict(line, judged(line)) == "asked", judged(line)


def test_bare_numbers_that_no_plausibility_settles_are_asked() -> None:
    for name, source, units in (
        ("Coolant temp", "temperature_coolant", ("degC",)),
        ("Speed", "vehicle_speed", ("km/h", "mph")),
        ("Air mass flow", "mass_flow_air", ("g/s", "kg/h", "lb/min")),
        ("Engine torque", "torque", ("Nm", "lbf*ft")),
        ("Throttle position", "throttle_position", ("",)),
        ("Barometer", "pressure_amb", ("mmHg",)),
    ):
        for unit in units:
            line = Named(name, "", source, unit, "absolute" if "pressure" in source else "", (source,))
            assert verdict(line, judged(line)) == "asked", (name, unit, judged(line))


def test_any_unit_behind_any_name_has_an_answer() -> None:
    units = [word for line in table_lines("units.txt") for word in line.partition(" :")[2].split()]
    time = np.arange(30) / 10.0
    for name in ("Gizmo", "Gizmo target", "Fuel flow", "Boost", "Lambda target", "T5"):
        for values in (np.linspace(0.0, 1.0, 30), np.linspace(-60.0, 6000.0, 30)):
            raws = [Raw(1, 1, name, unit, "", (), time, values) for unit in units]
            assert all(proposal.reason for proposal in propose(raws))


def test_parts_of_a_name() -> None:
    said = spoken("Abgastemperatur Zyl. 3 [Bank 2]")
    assert said.numbers[0] == 3
    assert {"exhaust", "temperature", "cylinder", "bank"} <= said.notions
    assert spoken("oilPressBar").unit == spoken("oil pressure bar").unit
    assert spoken("Wassertemperaturfühler").unknown == ()
    assert spoken("Wassertemperaturgizmo").unknown
    assert np.isin(["fan"], list(spoken("fanspeed").notions)).all()
