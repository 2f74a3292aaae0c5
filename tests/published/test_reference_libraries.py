"""Cases that quote a library of the development environment: the library is asked again, the case must still say so."""

from __future__ import annotations

import pytest

from boostwright.proof.reader import read_cases
from studies.reference_libraries.in_the_lock import IN_THE_LOCK
from studies.reference_libraries.value import FIGURES, Value

CASES = {(case.id, case.quantity): case for case in read_cases("reference_libraries")}
VALUES = [value for part in IN_THE_LOCK for value in part()]


def test_there_are_values_of_three_libraries() -> None:
    assert len(VALUES) > 40
    assert {value.library.split()[0] for value in VALUES} == {"fluids", "SciPy", "Cantera"}


@pytest.mark.parametrize("value", VALUES, ids=lambda value: f"{value.id} {value.quantity}".replace(" ", "-"))
def test_the_library_still_says_what_the_case_quotes(value: Value) -> None:
    case = CASES[value.id, value.quantity]
    assert case.relation == value.relation
    assert case.library == value.library
    assert case.expected == pytest.approx(value.compute(), rel=10.0 ** (2 - FIGURES))


def test_no_case_of_the_file_is_without_its_library() -> None:
    assert {case.evidence for case in CASES.values()} == {"reference library"}
