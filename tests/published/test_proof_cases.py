"""Every published value that ships with the program, one test a value."""

from __future__ import annotations

import math

import pytest

from boostwright.proof.case import Case
from boostwright.proof.reader import read_cases, subjects
from boostwright.proof.runner import load_relations, run_case

load_relations()
CASES = [case for subject in subjects() for case in read_cases(subject)]


def _name(case: Case) -> str:
    return f"{case.id} {case.quantity}".replace(" ", "-")


@pytest.mark.parametrize("case", CASES, ids=_name)
def test_value_is_within_its_tolerance(case: Case) -> None:
    result = run_case(case)
    assert math.isfinite(result.computed)
    assert result.passed, (
        f"{case.words}: {result.computed!r} {case.unit}, expected {case.expected} "
        f"within {case.tolerance} ({case.kind}), {case.source}, {case.where}"
    )


def test_the_sheet_is_not_thin() -> None:
    assert len(CASES) > 500
    assert len(subjects()) >= 11
    assert sum(case.evidence == "read" for case in CASES) >= 70
    assert sum(case.independent for case in CASES) > len(CASES) / 2


@pytest.mark.parametrize("library", ["CoolProp", "PsychroLib", "fluids 1"])
def test_a_case_that_speaks_of_a_library_names_it(library: str) -> None:
    spoken = [case for case in CASES if case.status == "computed" and library in f"{case.where} {case.why}"]
    assert spoken
    assert all(case.library for case in spoken)
