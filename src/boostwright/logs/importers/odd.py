"""What the fast reader left over: repeated headers, comments, broken rows, words, and numbers in unusual dress.

Each is put right, left out with a note that names line and column, or found to begin another table.
"""

from __future__ import annotations

from collections import Counter

import numpy as np

from boostwright.logs.importers.blocks import Block
from boostwright.logs.importers.cells import (
    MISSING,
    STATE_WORDS,
    cell_kind,
    read_number,
    read_stamp,
    split_line,
    with_unit,
)
from boostwright.logs.importers.encoding import Encoding, decode_line
from boostwright.logs.importers.layout import COMMENT_MARKS, Layout, find_layout, lines_of
from boostwright.logs.mapping.unit_words import find_unit
from boostwright.logs.records import LogError, Notes
from boostwright.numerics.delimited import ROW_IS_ODD

__all__ = ["OddReader", "Other"]

_MOST_STATES = 500
_MOST_TRIES = 50


class Other(Exception):  # a signal between two files of the reader, never shown
    """Another table begins: at this row of the block, at this byte of the file, on this line."""

    def __init__(self, row: int, byte: int, line: int) -> None:
        """Keep the place."""
        self.row, self.byte, self.line = row, byte, line
        super().__init__()


class OddReader:
    """Deals with the odd entries of the blocks of one table."""

    def __init__(
        self,
        layout: Layout,
        encoding: Encoding,
        notes: Notes,
        words: set[int],
        states: dict[int, list[str]],
        begin: int,
    ) -> None:
        """For a layout.

        words   columns of words rather than numbers
        states  column -> its words in the order met, filled here
        begin   byte of the file at which this table begins; another one can only begin behind it
        """
        self._begin = begin
        self._layout, self._encoding, self._notes = layout, encoding, notes
        self._words, self._states = words, states
        self._known: dict[tuple[int, bytes], float | None] = {}
        self._heads = [self._folded(row) for row in layout.header.rows]
        self._tries = 0
        self.cell_units: dict[int, Counter[str]] = {}

    def _folded(self, row: tuple[str, ...] | list[str]) -> list[str]:
        return [cell.strip().strip("[](){}# ").lower() for cell in row]

    def mend(self, block: Block, wide_of: np.ndarray, first_line: int) -> np.ndarray:
        """Put the block right in place; returns which of its rows are kept. Raises Other where another table begins."""
        keep = np.ones(block.narrow.shape[1], dtype=bool)
        odd = block.odd
        if odd.shape[0] == 0:
            return keep
        cuts = np.flatnonzero(np.diff(odd[:, 0])) + 1
        for entries in np.split(odd, cuts):
            self._row(block, entries, wide_of, first_line, keep)
        return keep

    def _row(self, block, entries, wide_of, first_line, keep) -> None:  # type: ignore[no-untyped-def]
        row, line = int(entries[0, 0]), first_line + int(entries[0, 4])
        if int(entries[0, 1]) == ROW_IS_ODD:
            start, stop = int(entries[0, 2]), int(entries[0, 3])
            keep[row] = self._odd_row(block, wide_of, row, start, stop, line)
            return
        if len(entries) >= max(2, 0.5 * self._layout.columns) and len(entries) > len(self._words):
            start, stop = _line_around(block.text, int(entries[0, 2]))
            cells = split_line(self._text(block, start, stop), self._layout.separator, self._layout.merge)
            if self._is_words(cells):
                keep[row] = False
                self._header_or_words(block, cells, row, start, line)
                return
        for _, column, start, stop, _ in entries.tolist():
            value = self._cell(block.text[start:stop].tobytes(), column, line)
            if value is not None:
                self._put(block, wide_of, column, row, value)

    def _put(self, block, wide_of, column: int, row: int, value: float) -> None:  # type: ignore[no-untyped-def]
        if wide_of[column] >= 0:
            block.wide[wide_of[column], row] = value
        else:
            block.narrow[column, row] = value
            if value == int(value) if abs(value) < 1e15 else False:
                block.big[column] = max(int(block.big[column]), int(value))

    def _text(self, block: Block, start: int, stop: int) -> str:
        return decode_line(block.text[start:stop].tobytes(), self._encoding)

    def _is_words(self, cells: list[str]) -> bool:
        kinds = [cell_kind(cell, self._layout.decimal) for cell in cells]
        filled = len(kinds) - kinds.count("empty")
        return (
            filled > 0
            and kinds.count("text") + kinds.count("missing") > 0.6 * filled
            and kinds.count("number") < 0.4 * filled
        )

    def _odd_row(self, block, wide_of, row: int, start: int, stop: int, line: int) -> bool:  # type: ignore[no-untyped-def]
        """A row with another count of fields; True where it is kept."""
        raw = block.text[start:stop].tobytes()
        if not raw.strip(b"\0 \t\x1a\x0c"):
            if raw:
                text = "Zero bytes or blanks where rows should be, as a power cut leaves them; left out."
                self._notes.add("zero-bytes", text, f"line {line}: {len(raw)} bytes", harm=b"\0" in raw)
            return False
        text = decode_line(raw, self._encoding)
        cells = split_line(text, self._layout.separator, self._layout.merge)
        filled = [cell for cell in cells if cell]
        if self._is_words(cells) or (len(cells) == 1 and not self._is_number(cells[0])):
            self._header_or_words(block, cells, row, start, line)
            return False
        width = self._layout.columns
        if len(cells) > width and not any(cells[width:]):
            return True  # separators too many at its end
        if len(cells) > width:
            known = f"{len(cells)} fields instead of {width}"
            self._notes.add(
                "row-too-long",
                "Rows with more fields than names; left out, since no field can be placed.",
                f"line {line}: {known}: '{text[:40]}'",
                harm=True,
            )
            return False
        cut = block.last and stop >= block.text.size
        if cut and len(cells) < width:
            self._notes.add(
                "last-row-cut",
                "The last row is cut off; its last field is not trusted.",
                f"line {line}: {len(cells)} of {width} fields",
                harm=True,
            )
            self._put(block, wide_of, len(cells) - 1, row, np.nan)
            cells = cells[:-1]
        else:
            self._notes.add(
                "row-too-short",
                "Rows with fewer fields than names; the fields that are there were kept.",
                f"line {line}: {len(filled)} of {width} fields",
                harm=True,
            )
        for column, cell in enumerate(cells):
            if cell and cell_kind(cell, self._layout.decimal) not in ("number", "empty", "clock"):
                value = self._cell(cell.encode(), column, line)
                self._put(block, wide_of, column, row, np.nan if value is None else value)
        return True

    def _is_number(self, cell: str) -> bool:
        return cell_kind(cell, self._layout.decimal) in ("number", "grouped", "dressed", "clock", "date")

    def _header_or_words(self, block: Block, cells: list[str], row: int, start: int, line: int) -> None:
        """A row of words: the header again, a comment or event, or the header of another table (raises Other)."""
        folded = self._folded(cells)
        for head in self._heads:
            same = sum(a == b for a, b in zip(folded, head, strict=False) if a)
            if same >= 0.7 * sum(bool(cell) for cell in folded):
                self._notes.add(
                    "header-repeated", "The header stands again among the rows; left out.", f"line {line}"
                )
                return
        behind = block.start + start > self._begin
        if behind and len(cells) == 1 and self._other_table(block, start):
            raise Other(row, block.start + start, line)
        comment = cells[0].startswith(COMMENT_MARKS) if cells else False
        several = sum(bool(cell) for cell in cells) >= 2
        if (
            behind
            and several
            and (not comment or len(cells) >= self._layout.columns * 0.6)
            and not self._goes_on(block, start)
        ):
            raise Other(row, block.start + start, line)
        text = "Lines of words among the rows (comments, events, ends of a recording); left out."
        self._notes.add("words-between-rows", text, f"line {line}: '{' '.join(cells)[:50]}'")

    def _other_table(self, block: Block, start: int) -> bool:
        """True where a line of one field is the header of a table that is written in another way."""
        if self._tries >= _MOST_TRIES:
            return False
        self._tries += 1
        data = block.text[start : start + 20_000].tobytes()
        lines = lines_of(data, 0, 1, self._encoding, 30)
        if len(lines) < 3 or not any(mark in lines[0].text for mark in ",;\t|"):
            return False
        try:
            layout = find_layout(lines, "")
        except LogError:
            return False
        return layout.separator != self._layout.separator and layout.header.found and layout.data_line <= 3

    def _goes_on(self, block: Block, start: int) -> bool:
        """True where the rows behind are of this table: as many fields, and fields of words stay words."""
        behind = block.text[start : start + 20_000].tobytes().splitlines()[1:6]
        rows = [
            split_line(decode_line(line, self._encoding), self._layout.separator, self._layout.merge)
            for line in behind
            if line.strip()
        ]
        rows = [row for row in rows if not self._is_words(row)]
        return (
            bool(rows)
            and len(rows[0]) == self._layout.columns
            and len(
                split_line(
                    decode_line(block.text[start : start + 20_000].tobytes().splitlines()[0], self._encoding),
                    self._layout.separator,
                    self._layout.merge,
                )
            )
            != self._layout.columns
        )

    def _cell(self, raw: bytes, column: int, line: int) -> float | None:
        """The value of one odd cell; None leaves it without one."""
        key = (column, raw)
        if key in self._known:
            value = self._known[key]
            if value is not None and value == value:
                return value
            if value is None:
                return None
        value = self._read(decode_line(raw, self._encoding).strip().strip('"').strip(), column, line)
        if len(self._known) < 100_000 and not (value is not None and value != value):
            self._known[key] = value
        return None if value is None or value != value else value

    def _read(self, cell: str, column: int, line: int) -> float | None:
        """The value of a cell: a number, NaN where it could not be read, None where it says that there is none."""
        layout = self._layout
        if column in self._words and cell_kind(cell, layout.decimal) != "number":
            return self._state(cell, column, line)
        kind = cell_kind(cell, layout.decimal)
        if kind == "missing" or cell.lower() in MISSING or not cell.strip("\0 -"):
            if "\0" in cell:
                self._notes.add(
                    "zero-bytes",
                    "Zero bytes within rows; those fields have no value.",
                    f"line {line}",
                    harm=True,
                )
            return None
        number = read_number(cell, layout.decimal, layout.thousands)
        if number is not None:
            return number
        if kind in ("clock", "date"):
            return read_stamp(cell)
        pair = with_unit(cell, layout.decimal, layout.thousands)
        if pair is not None and find_unit(pair[1]) is not None:
            self.cell_units.setdefault(column, Counter())[pair[1]] += 1
            return pair[0]
        if cell.lower() in STATE_WORDS and len(cell) > 1:
            return STATE_WORDS[cell.lower()]
        name = layout.header.names[column]
        text = f"Fields of {name} that are no number; they have no value."
        self._notes.add(
            "not-a-number", text, f"line {line}, column {column + 1} ({name}): '{cell[:30]}'", harm=True
        )
        return np.nan

    def _state(self, cell: str, column: int, line: int) -> float | None:
        """The number that stands for a word of a column of words."""
        if not cell or cell.lower() in MISSING:
            return None
        words = self._states.setdefault(column, [])
        if cell in words:
            return float(words.index(cell))
        if len(words) >= _MOST_STATES:
            name = self._layout.header.names[column]
            text = f"{name} holds free text; only the first {_MOST_STATES} different words were kept."
            self._notes.add("free-text", text, f"line {line}", harm=True)
            return None
        words.append(cell)
        return float(len(words) - 1)


def _line_around(text: np.ndarray, place: int) -> tuple[int, int]:
    """First byte of the line that a byte lies in, and the byte behind its last."""
    begin = place
    while begin > 0 and text[begin - 1] not in (10, 13):
        begin -= 1
    stop = place
    while stop < text.size and text[stop] not in (10, 13):
        stop += 1
    return begin, stop
