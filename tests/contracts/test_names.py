"""One name means one thing: the glossary against the relations and against the output schema."""

from __future__ import annotations

from pathlib import Path

import glossary
import pytest

from boostwright.tasks.names import CYLINDER_QUANTITIES, QUANTITIES
from tools.relation_arguments import Argument, arguments, arguments_page

REFERENCE = Path(__file__).parents[2] / "docs" / "reference"
# The same physical thing in the wording of the two places.
SAME_UNIT = {"1": "-", "Nm": "N m"}
# Arguments that stand for any quantity of a kind, so that their unit depends on the relation.
ANY_QUANTITY = {"corrected", "scale"}


def by_name() -> dict[str, list[Argument]]:
    found: dict[str, list[Argument]] = {}
    for argument in arguments():
        found.setdefault(argument.name, []).append(argument)
    return found


def test_there_is_something_to_hold() -> None:
    assert len(by_name()) > 100


def test_page_of_arguments_is_up_to_date() -> None:
    page = (REFERENCE / "arguments.md").read_text(encoding="utf-8")
    assert page == arguments_page(), "run `make reference`"


def test_every_argument_of_a_relation_says_its_unit() -> None:
    without = [f"{argument.function}: {argument.name}" for argument in arguments() if not argument.unit]
    assert not without, "\n".join(without)


def test_one_name_has_one_unit_in_all_relations() -> None:
    differing = {
        name: {argument.unit: argument.function for argument in found}
        for name, found in by_name().items()
        if name not in ANY_QUANTITY and len({argument.unit for argument in found}) > 1
    }
    assert not differing


@pytest.mark.parametrize("name", sorted(set(glossary.quantities()) & set(by_name())))
def test_a_relation_means_by_a_name_what_the_glossary_means(name: str) -> None:
    unit = glossary.quantities()[name].unit
    assert {argument.unit for argument in by_name()[name]} == {SAME_UNIT.get(unit, unit)}


@pytest.mark.parametrize("entry", glossary.quantities().values(), ids=lambda entry: entry.name)
def test_a_name_is_words_in_full(entry: glossary.Entry) -> None:
    assert entry.words
    assert entry.station
    abbreviations = {
        "p",
        "t",
        "m",
        "n",
        "eta",
        "pr",
        "mf",
        "rpm",
        "map",
        "ve",
        "afr",
        "tq",
        "pwr",
        "spd",
        "temp",
    }
    assert not abbreviations & set(entry.name.split("_"))
    assert entry.name == entry.name.lower()


@pytest.mark.parametrize("entry", glossary.quantities().values(), ids=lambda entry: entry.name)
def test_a_pressure_says_whether_it_is_absolute_or_gauge(entry: glossary.Entry) -> None:
    if entry.name.startswith("pressure_") or entry.name in (
        "boost",
        "drive_pressure_ratio",
        "drive_pressure_ratio_gauge",
    ):
        assert entry.basis.startswith(("absolute", "gauge"))


def test_a_prediction_carries_what_the_glossary_names_in_the_same_words() -> None:
    glossary_rows = {
        entry.name: (entry.unit, entry.words, entry.basis.replace("`", ""))
        for entry in glossary.quantities().values()
    }
    assert glossary_rows == QUANTITIES


def test_each_cylinder_carries_what_the_page_names_in_the_same_words() -> None:
    page = (REFERENCE / "names.md").read_text(encoding="utf-8")
    table = page.partition("## Quantities of each cylinder")[2].partition("\n## ")[0]
    rows = [line.strip("|").split("|") for line in table.splitlines() if line.startswith("| `")]
    named = {
        name.strip(" `"): (unit.strip(), words.strip(), basis.strip()) for name, words, unit, basis in rows
    }
    assert named == CYLINDER_QUANTITIES
