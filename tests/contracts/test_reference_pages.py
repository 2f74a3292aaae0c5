"""Pages that are made from the program are what the program makes now."""

from __future__ import annotations

from pathlib import Path

from boostwright.cards.reference_page import cards_page
from boostwright.report.log_formulas_page import formulas_page
from boostwright.report.sheets.rules_page import rules_page
from boostwright.web.app import described_text

DOCS = Path(__file__).parents[2] / "docs"


def test_part_cards_page_is_up_to_date() -> None:
    page = (DOCS / "reference" / "cards.md").read_text(encoding="utf-8")
    assert page == cards_page(), "run `make reference`"


def test_go_no_go_page_is_up_to_date() -> None:
    page = (DOCS / "reference" / "go-no-go.md").read_text(encoding="utf-8")
    assert page == rules_page(), "run `make reference`"


def test_page_of_derived_quantities_is_up_to_date() -> None:
    """Every formula that is documented is the one the catalogue holds, and none is left out."""
    page = (DOCS / "reference" / "derived.md").read_text(encoding="utf-8")
    assert page == formulas_page(), "run `make reference`"


def test_description_of_the_interface_is_up_to_date() -> None:
    page = (DOCS / "reference" / "openapi.json").read_text(encoding="utf-8")
    assert page == described_text(), "run `make reference`"
