"""Write the pages of docs/reference that the program makes. `make reference` runs it; a test holds them."""

from __future__ import annotations

from pathlib import Path

from boostwright.cards.reference_page import cards_page

REFERENCE = Path(__file__).resolve().parent.parent / "docs" / "reference"
PAGES = {"cards.md": cards_page}

if __name__ == "__main__":
    for name, made in PAGES.items():
        (REFERENCE / name).write_text(made(), encoding="utf-8", newline="\n")
