"""Plain tables for a terminal: right-aligned numbers under headings, cut into blocks on a narrow screen.

Written here, and not taken from a library, because a prediction has to appear within the time it takes to
import the solver, and a table library costs a tenth of that on its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

__all__ = ["TextColumn", "render_table"]

_GAP = "  "


@dataclass(frozen=True)
class TextColumn:
    """One column of a table, already turned into text.

    heading  what the column shows, one word or two, printed on the first line of the head
    unit     its unit with the basis, printed on the second line of the head; empty where there is none
    cells    one text a row
    left     True for words (aligned to the left), False for numbers
    """

    heading: tuple[str, ...]
    unit: str
    cells: tuple[str, ...]
    left: bool = False

    def width(self) -> int:
        """Characters needed by the widest of head and cells."""
        return max(len(text) for text in (*self.heading, self.unit, *self.cells))


def _blocks(columns: Sequence[TextColumn], width: int) -> list[list[TextColumn]]:
    """Cut the columns into blocks no wider than ``width``; every block starts with the first column."""
    first, rest = columns[0], columns[1:]
    blocks: list[list[TextColumn]] = [[first]]
    used = first.width()
    for column in rest:
        needed = len(_GAP) + column.width()
        if used + needed > width and len(blocks[-1]) > 1:
            blocks.append([first])
            used = first.width()
        blocks[-1].append(column)
        used += needed
    return blocks


def _line(cells: Sequence[str], columns: Sequence[TextColumn]) -> str:
    return _GAP.join(
        cell.ljust(column.width()) if column.left else cell.rjust(column.width())
        for cell, column in zip(cells, columns, strict=True)
    ).rstrip()


def _render_block(columns: Sequence[TextColumn]) -> list[str]:
    depth = max(len(column.heading) for column in columns)
    lines = []
    for row in range(depth):
        # headings of fewer lines stand at the bottom of the head, next to their numbers
        texts = []
        for column in columns:
            index = row - (depth - len(column.heading))
            texts.append(column.heading[index] if index >= 0 else "")
        lines.append(_line(texts, columns))
    if any(column.unit for column in columns):
        lines.append(_line([column.unit for column in columns], columns))
    lines.append(_line(["-" * column.width() for column in columns], columns))
    lines += [
        _line([column.cells[row] for column in columns], columns) for row in range(len(columns[0].cells))
    ]
    return lines


def render_table(columns: Sequence[TextColumn], width: int) -> str:
    """The table as text no wider than ``width`` characters where that is possible.

    columns  the first one names the rows and is repeated when the table has to be cut into blocks
    width    characters on a line; one column beside the first is always printed, however narrow the screen
    Returns the text without a newline at its end. Raises ValueError where columns have unequal lengths.
    """
    if not columns:
        return ""
    blocks = _blocks(columns, width)
    return "\n\n".join("\n".join(_render_block(block)) for block in blocks)
