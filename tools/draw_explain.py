"""Draw the pictures of docs/explain and write the part of each page that the code knows. `make pictures` runs it."""

from __future__ import annotations

import sys
from pathlib import Path

import matplotlib

matplotlib.use("Agg")

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from boostwright.report.figures.style import drawing_style  # noqa: E402
from tools.explain.block import block, with_block  # noqa: E402  the folder has to be on the path first
from tools.explain.pages import PAGES, Page  # noqa: E402

PICTURES = ROOT / "docs" / "pictures"
EXPLAIN = ROOT / "docs" / "explain"
NO_POINTS = "No published points stand here yet: no value read in a source bears on these curves."


def caption_of(page: Page, keep: Path | None = None) -> str:
    """Draw the picture of a page and return what its points are.

    keep  folder that the picture is saved in; None draws it and forgets it"""
    if page.draw is None:
        return page.points or NO_POINTS
    with drawing_style():
        sheet = page.draw()
        if keep is not None:
            sheet.figure.savefig(keep / page.file, dpi=90, metadata={"Software": None})
    return sheet.caption


def main(names: list[str]) -> None:
    """Draw every page, or those named."""
    for page in PAGES:
        path = EXPLAIN / f"{page.name}.md"
        if (names and page.name not in names) or not path.is_file():
            continue
        made = block(page, caption_of(page, PICTURES))
        path.write_text(with_block(path.read_text(encoding="utf-8"), made), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main(sys.argv[1:])
