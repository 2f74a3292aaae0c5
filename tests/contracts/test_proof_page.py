"""The proof sheet in the docs is the one the program makes now."""

from __future__ import annotations

import re
from pathlib import Path

from boostwright.proof.case import Case
from boostwright.proof.reader import read_cases, subjects
from boostwright.proof.runner import load_relations, relations_of
from boostwright.report.proof_page import proof_page
from boostwright.tasks.prove import prove

PAGE = Path(__file__).parents[2] / "docs" / "proof" / "index.md"
_COMPUTED_COLUMNS = (4, 6)  # ours and used: their last figure may differ between machines


_NAMED = re.compile(r"^\| `([\w.]+)` \|", re.MULTILINE)


def read_all() -> list[Case]:
    return [case for subject in subjects() for case in read_cases(subject)]


def without_computed(page: str) -> list[str]:
    lines = []
    for line in page.splitlines():
        cells = line.split(" | ")
        if len(cells) == 9:
            cells = [cell for place, cell in enumerate(cells, start=1) if place not in _COMPUTED_COLUMNS]
        lines.append(" | ".join(cells))
    return lines


def test_proof_sheet_in_the_docs_is_up_to_date() -> None:
    made = proof_page(prove())
    assert without_computed(PAGE.read_text(encoding="utf-8")) == without_computed(made), (
        "run `make reference`"
    )


def test_every_relation_is_listed_and_every_one_without_a_read_value_once_more() -> None:
    page = PAGE.read_text(encoding="utf-8")
    behind, unread = page.split("## What stands behind each relation")[1].split("## No read source yet")
    unread = unread.split("\n## ")[0]
    relations = load_relations()
    assert set(_NAMED.findall(behind)) == set(relations)
    read = {name for case in read_all() if case.status == "read" for name in relations_of(case)}
    assert sorted(_NAMED.findall(unread)) == sorted(set(relations) - read)


def test_the_comparison_sees_a_changed_value() -> None:
    page = PAGE.read_text(encoding="utf-8")
    row = next(line for line in page.splitlines() if line.startswith("| AT-01"))
    changed = row.replace("288.15 K | 288.15 K", "289.15 K | 288.15 K")
    assert changed != row
    assert without_computed(changed) != without_computed(row)
