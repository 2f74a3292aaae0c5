"""A page as a terminal shows it."""

from __future__ import annotations

from boostwright.report.prose import paragraph
from boostwright.report.sheets.page import Block, Checks, Page, Pairs, Table
from boostwright.report.text_table import TextColumn, render_table

__all__ = ["page_text"]

_WIDEST = 110


def page_text(page: Page, width: int) -> str:
    """The whole sheet as text that ends with a newline; ``width`` characters on a line."""
    prose = min(width, _WIDEST)
    verdict = f" - {page.verdict}" if page.verdict else ""
    head = "\n".join(
        [f"{page.title}: {page.build}{verdict}", *(paragraph(line, prose) for line in page.lines)]
    )
    blocks = [_block(block, width, prose) for block in page.blocks]
    cautions = "\n".join(["Cautions", *(paragraph(c, prose) for c in page.cautions)]) if page.cautions else ""
    return "\n\n".join(part for part in (head, *blocks, cautions) if part) + "\n"


def _block(block: Block, width: int, prose: int) -> str:
    lines = [block.heading] if block.heading else []
    if isinstance(block, Table) and all(column.left for column in block.columns):
        for first, *others in block.rows:
            lines.append(paragraph(f"{first}: {'; '.join(cell for cell in others if cell)}", prose))
    elif isinstance(block, Table):
        columns = [
            TextColumn(tuple(column.heading.split(" ", 1)), column.unit, cells, left=column.left)
            for column, cells in zip(block.columns, zip(*block.rows, strict=True), strict=True)
        ]
        lines.append(render_table(columns, width))
        lines += [paragraph(block.note, prose, first="", later="")] if block.note else []
    elif isinstance(block, Pairs):
        tick = "[ ] " if block.boxes else ""
        lines += [
            paragraph(f"{tick}{label}: {value}" if value else f"{tick}{label}", prose)
            for label, value in block.rows
        ]
    elif isinstance(block, Checks):
        for check in block.rows:
            mend = f" -> {check.mend}" if check.mend else ""
            lines.append(paragraph(f"[{check.mark}] {check.question} {check.figure}{mend}", prose))
    else:
        for number, line in enumerate(block.lines, start=1):
            lines.append(paragraph(f"{number}. {line}" if block.numbered else line, prose))
    return "\n".join(lines)
