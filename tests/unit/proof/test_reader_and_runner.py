"""Proof cases that are badly written are refused by name; the comparison fails what it should fail."""

from __future__ import annotations

import math

import pytest

from boostwright.errors import UnknownPart
from boostwright.proof.reader import CaseError, cases_from_text, read_cases, subjects, to_unit
from boostwright.proof.runner import load_relations, relation_proofs, run_case, run_cases

GOOD = """
[[case]]
id = "T-1"
quantity = "mean piston speed"
words = "stroke 90 mm at 7000 rpm"
relation = "cylinder.definitions.mean_piston_speed"
inputs = { stroke = "90 mm", rotational_speed = "7000 rpm" }
expected = 21.0
unit = "m/s"
tolerance = 1e-3
kind = "absolute"
why = "last printed digit"
source = "definition"
where = "2 S N"
status = "computed"
formula = "definition"
"""


def _case(**changes: str):  # type: ignore[no-untyped-def]
    lines = [line for line in GOOD.strip().splitlines() if line.split(" = ")[0] not in changes]
    lines += [f"{key} = {value}" for key, value in changes.items()]
    return cases_from_text("\n".join(lines), "made_up")[0]


def test_units_of_inputs_are_read() -> None:
    case = _case()
    assert case.inputs["stroke"] == pytest.approx(0.090)
    assert case.inputs["rotational_speed"] == pytest.approx(7000.0 * math.pi / 30.0)
    assert run_case(case).passed


@pytest.mark.parametrize("expected", ["21.002", "20.998"])
def test_a_value_outside_its_tolerance_fails(expected: str) -> None:
    result = run_case(_case(expected=expected))
    assert not result.passed
    assert result.used == pytest.approx(2.0, rel=1e-6)
    assert abs(result.deviation) == pytest.approx(0.002, rel=1e-6)


def test_relative_tolerance_is_a_share() -> None:
    assert run_case(_case(expected="20.0", tolerance="0.051", kind='"relative"')).passed
    assert not run_case(_case(expected="20.0", tolerance="0.049", kind='"relative"')).passed


@pytest.mark.parametrize(("band", "passed"), [("[20.5, 21.5]", True), ("[21.1, 21.5]", False)])
def test_band(band: str, passed: bool) -> None:
    result = run_case(_case(expected=band, tolerance="0.0", kind='"band"'))
    assert result.passed is passed
    assert result.deviation == pytest.approx(0.0 if passed else -0.1, abs=1e-9)


def test_exact_match_survives_binary_fractions() -> None:
    assert run_case(_case(tolerance="0.0")).passed
    assert not run_case(_case(expected="21.0000001", tolerance="0.0")).passed


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"status": '"guessed"'}, "guessed"),
        ({"formula": '"heard"'}, "heard"),
        ({"source": '"nobody-1900"'}, "nobody-1900"),
        ({"kind": '"loose"'}, "loose"),
        ({"expected": "[1.0, 2.0]"}, "band"),
        ({"extra": "1"}, "extra"),
        ({"library": '"fluids"'}, "name and a version"),
        ({"library": '"fluids 1.3"', "status": '"read"'}, "only a computed value"),
        ({"inputs": '{ stroke = "90 furlongs" }'}, "furlongs"),
        ({"inputs": '{ stroke = "long mm" }'}, "long mm"),
    ],
)
def test_a_badly_written_case_is_refused_by_name(changes: dict[str, str], message: str) -> None:
    with pytest.raises(CaseError, match=message) as caught:
        _case(**changes)
    assert "made_up.toml, case T-1" in str(caught.value)


def test_a_computed_value_is_our_own_formula_unless_a_library_is_named() -> None:
    assert _case().evidence == "own formula"
    assert not _case().independent
    assert _case(library='"fluids 1.3"').evidence == "reference library"
    assert _case(status='"read"').evidence == "read"


def test_every_relation_is_counted_with_the_cases_that_run_through_it() -> None:
    cases = [_case(), _case(id='"T-2"', status='"read"')]
    by_name = {one.name: one for one in relation_proofs(cases)}
    assert set(by_name) == set(load_relations())
    assert by_name["cylinder.definitions.mean_piston_speed"].cases == {"own formula": 1, "read": 1}
    assert by_name["cylinder.definitions.mean_piston_speed"].best == "read"
    assert by_name["turbo.shaft.shaft_acceleration"].best == ""
    summed = _case(relation='"chain.blend_of_volume"', inputs="{}", status='"read"')
    shaft = {one.name: one for one in relation_proofs([summed])}["gas.fuel.blend_by_mass"]
    assert (shaft.cases, shaft.in_sums, shaft.count("read")) == ({}, {"read": 1}, 1)


def test_a_missing_key_is_named() -> None:
    with pytest.raises(CaseError, match="where"):
        cases_from_text("\n".join(line for line in GOOD.splitlines() if "where" not in line), "made_up")


@pytest.mark.parametrize("relation", ["cylinder.nothing", "chain.nothing"])
def test_an_unknown_relation_is_refused(relation: str) -> None:
    with pytest.raises(UnknownPart, match="nothing"):
        run_case(_case(relation=f'"{relation}"'))


def test_subjects_can_be_chosen() -> None:
    result = run_cases(["fuels"])
    assert result.subjects == ("fuels",)
    assert len(result.cases) == len(read_cases("fuels"))
    assert sum(result.counts.values()) == len(result.cases)


def test_an_unknown_subject_lists_those_there_are() -> None:
    with pytest.raises(UnknownPart, match="atmosphere"):
        run_cases(["weather"])


def test_units_out() -> None:
    assert to_unit(300.0, "degC") == pytest.approx(26.85)
    assert to_unit(1.5e5, "kPa") == pytest.approx(150.0)
    assert to_unit(3.0, "") == 3.0


def test_every_case_is_alone_under_its_name() -> None:
    names = [(case.id, case.quantity) for subject in subjects() for case in read_cases(subject)]
    twice = {name for name in names if names.count(name) > 1}
    assert not twice
