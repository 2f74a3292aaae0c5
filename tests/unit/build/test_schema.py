"""The declarations themselves: complete, consistent, and the page and the new file made from them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from boostwright.build.document import page
from boostwright.build.faults import Report
from boostwright.build.parameter import Parameter, SectionSchema
from boostwright.build.records import RECORD_KINDS
from boostwright.build.schema import SECTIONS, TOP_LEVEL
from boostwright.build.settings import apply_settings
from boostwright.build.values import bound, check_bounds, read_value
from boostwright.units import KINDS, convert

ALL = [(section, parameter) for section in (TOP_LEVEL, *SECTIONS) for parameter in section.parameters]
EVERY = pytest.mark.parametrize(("section", "parameter"), ALL, ids=[f"{s.name}.{p.name}" for s, p in ALL])
STATUS = {"", "assumed", "common practice", "from memory", "own estimate", "published", "computed"}


def test_names_are_there_once() -> None:
    names = [section.name for section in SECTIONS]
    assert len(names) == len(set(names))
    assert len(names) >= 18
    for section in (TOP_LEVEL, *SECTIONS):
        assert len(section.keys) == len(set(section.keys))


@EVERY
def test_each_is_described_and_of_a_known_kind(section: SectionSchema, parameter: Parameter) -> None:
    assert parameter.words.endswith(".")
    assert parameter.kind in {*KINDS, *RECORD_KINDS, "text", "choice", "integer", "speeds"}
    assert bool(parameter.choices) == (parameter.kind == "choice")
    assert parameter.default_status in STATUS
    assert bool(parameter.default_status) == (parameter.default is not None)
    assert not (parameter.required and parameter.default is not None)
    assert not (parameter.required and parameter.required_when)
    for when in (parameter.required_when, parameter.used_when):
        if when is not None:
            assert when.key in section.keys
            known = section.find(when.key) if when.key in [p.name for p in section.parameters] else None
            assert known is None or not known.choices or set(when.values) <= set(known.choices)
    if parameter.unless:
        section.find(parameter.unless)


@EVERY
def test_bounds_lie_in_order(section: SectionSchema, parameter: Parameter) -> None:
    ends = [parameter.low, parameter.low_ask, parameter.high_ask, parameter.high]
    if parameter.kind == "speeds":
        return
    found = [bound(end, parameter) for end in ends if end is not None]
    assert found == sorted(found)


@EVERY
def test_defaults_and_examples_pass_their_own_checks(section: SectionSchema, parameter: Parameter) -> None:
    path = (section.name, parameter.name)
    values: list[object] = []
    if parameter.default is not None and parameter.default_status != "computed":
        values.append(parameter.default)
    if parameter.example:
        values.append(apply_settings({}, [f"x.y={parameter.example}"]).data["x"]["y"])
    for value in values:
        report = Report("build.toml", {})
        beside = {parameter.basis_key: parameter.basis[0]} if parameter.basis_key else {}
        if isinstance(value, str) and value.split()[-1] in parameter.basis:
            beside = {}
        read = read_value(parameter, value, path, beside, report)
        assert read is not None, [str(fault) for fault in report.faults]
        if read.si is not None:
            check_bounds(parameter, read.si, value, path, report)
        assert report.faults == []
        assert report.warnings == []


@EVERY
def test_needed_keys_have_an_example(section: SectionSchema, parameter: Parameter) -> None:
    if parameter.required or parameter.required_when:
        assert parameter.example


def test_every_number_without_a_default_has_bounds() -> None:
    for _, parameter in ALL:
        if parameter.kind not in ("text", "choice", *RECORD_KINDS) and not (
            parameter.low is not None and parameter.high is not None
        ):
            pytest.fail(f"{parameter.name} has no bounds")


def test_the_page_names_every_key_and_is_the_one_in_the_docs() -> None:
    text = page()
    for section, parameter in ALL:
        assert f"| `{parameter.name}` |" in text, f"{section.name}.{parameter.name}"
    committed = Path(__file__).parents[3] / "docs" / "reference" / "build-file.md"
    assert committed.read_text(encoding="utf-8") == text, "make it again: see the comment in its head"


def test_tables_of_the_page_have_as_many_cells_in_every_row() -> None:
    for line in page().splitlines():
        if line.startswith("| `"):
            cells = re.split(r"(?<!\\)\|", line)
            assert len(cells) in (8, 4), line


def test_a_bound_is_read_in_its_own_unit() -> None:
    bore = SECTIONS[0].find("bore")
    assert convert(bound(bore.low, bore), "length", "mm") == pytest.approx(20)
