"""The proof sheet in the docs is the one the program makes now."""

from __future__ import annotations

from pathlib import Path

from boostwright.report.proof_page import proof_page
from boostwright.tasks.prove import prove

PAGE = Path(__file__).parents[2] / "docs" / "proof" / "index.md"
_COMPUTED_COLUMNS = (4, 6)  # ours and used: their last figure may differ between machines


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


def test_the_comparison_sees_a_changed_value() -> None:
    page = PAGE.read_text(encoding="utf-8")
    row = next(line for line in page.splitlines() if line.startswith("| AT-01"))
    changed = row.replace("288.15 K | 288.15 K", "289.15 K | 288.15 K")
    assert changed != row
    assert without_computed(changed) != without_computed(row)
