"""Write the pages of docs/reference that the program makes. `make reference` runs it; a test holds them."""

from __future__ import annotations

import sys
from pathlib import Path

from boostwright.build.document import page as build_file_page
from boostwright.cards.reference_page import cards_page

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from tools.relation_arguments import arguments_page  # noqa: E402  the folder has to be on the path first

REFERENCE = ROOT / "docs" / "reference"
PAGES = {"arguments.md": arguments_page, "build-file.md": build_file_page, "cards.md": cards_page}

if __name__ == "__main__":
    for name, made in PAGES.items():
        (REFERENCE / name).write_text(made(), encoding="utf-8", newline="\n")
