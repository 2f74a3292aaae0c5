"""Write the pages of the docs that the program makes. `make reference` runs it; a test holds them."""

from __future__ import annotations

import sys
from pathlib import Path

from boostwright.build.document import page as build_file_page
from boostwright.cards.reference_page import cards_page
from boostwright.report.log_formulas_page import formulas_page
from boostwright.report.proof_page import proof_page
from boostwright.report.sheets.rules_page import rules_page
from boostwright.tasks.prove import prove
from boostwright.web.app import described_text

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from tools.relation_arguments import arguments_page  # noqa: E402  the folder has to be on the path first

DOCS = ROOT / "docs"
PAGES = {
    "reference/arguments.md": arguments_page,
    "reference/build-file.md": build_file_page,
    "reference/cards.md": cards_page,
    "reference/derived.md": formulas_page,
    "reference/go-no-go.md": rules_page,
    "reference/openapi.json": described_text,
    "proof/index.md": lambda: proof_page(prove()),
}

if __name__ == "__main__":
    for name, made in PAGES.items():
        (DOCS / name).write_text(made(), encoding="utf-8", newline="\n")
