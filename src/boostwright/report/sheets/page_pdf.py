"""A page as PDF: A4, real text, black on white, in the largest type that keeps it on one page."""

from __future__ import annotations

import json
from functools import cache
from importlib import resources
from typing import Any

from boostwright.report.sheets.page import Block, Checks, Page, Pairs, Table

__all__ = ["SIZES", "page_document", "page_pdf"]

SIZES = (9.5, 9.0, 8.5, 8.0, 7.5, 7.0, 6.5)
"""Sizes of type [pt] that are tried, largest first; at the last one a sheet may run over two pages."""


def page_pdf(page: Page) -> bytes:
    """The PDF of one sheet; the same page gives the same bytes."""
    import typst  # the page setter is large, and most commands print nothing

    data = json.dumps(page_document(page), allow_nan=False)
    source, fonts = _template(), _fonts()
    for size in SIZES:
        inputs = {"data": data, "size": str(size)}
        pages = json.loads(
            typst.query(source, "<pages>", field="value", one=True, sys_inputs=inputs, font_paths=fonts)
        )
        if pages == 1:
            break
    return bytes(typst.compile(source, sys_inputs=inputs, font_paths=fonts))


def page_document(page: Page) -> dict[str, Any]:
    """The page as plain dicts, lists and texts, as the template reads it."""
    return {
        "title": page.title,
        "build": page.build,
        "lines": list(page.lines),
        "verdict": page.verdict,
        "columns": page.columns,
        "cautions": list(page.cautions),
        "blocks": [_block(block) for block in page.blocks],
    }


def _block(block: Block) -> dict[str, Any]:
    if isinstance(block, Table):
        columns = [
            {"heading": c.heading, "unit": c.unit, "left": c.left, "share": c.share} for c in block.columns
        ]
        rows = [list(row) for row in block.rows]
        return {
            "kind": "table",
            "heading": block.heading,
            "columns": columns,
            "rows": rows,
            "note": block.note,
        }
    if isinstance(block, Pairs):
        rows = [list(row) for row in block.rows]
        return {"kind": "pairs", "heading": block.heading, "rows": rows, "boxes": block.boxes}
    if isinstance(block, Checks):
        checks = [
            {"mark": c.mark, "loud": c.loud, "question": c.question, "figure": c.figure, "mend": c.mend}
            for c in block.rows
        ]
        return {"kind": "checks", "heading": block.heading, "rows": checks}
    return {"kind": "prose", "heading": block.heading, "lines": list(block.lines), "numbered": block.numbered}


@cache
def _template() -> bytes:
    return resources.files("boostwright.report.sheets").joinpath("sheet.typ").read_bytes()


@cache
def _fonts() -> Any:
    """The fonts that come with the page setter and no others, so that every machine sets the same page."""
    import typst

    return typst.Fonts(include_system_fonts=False)
