"""How a text lies: separator, decimal mark, where the names stand, where the units, where the numbers begin.

Read from the first part of the file, in bytes and lines, before any number is taken; every choice carries a reason.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field

from boostwright.logs.importers.cells import cell_kind, split_line
from boostwright.logs.importers.encoding import Encoding, decode_line, mend_twice_encoded
from boostwright.logs.importers.header import Header, read_header
from boostwright.logs.records import LogError

__all__ = ["COMMENT_MARKS", "Layout", "Line", "find_layout", "lines_of"]

COMMENT_MARKS = ("#", "//", "%", "!", "*", "'")

_SEPARATORS = (",", ";", "\t", "|", " ")
_LINES = 400
_SCORED = 120  # lines that ways of writing are tried on
_TWO_NUMBERS = re.compile(r"\d\s+[-+\d]")
_MOST_COLUMNS = 4000
_FEWEST_ROWS, _FEWEST_COLUMNS = 10, 3  # of a table above another that is kept as a part of its own


@dataclass(frozen=True)
class Line:
    """A line of the file: its number from 1, first byte, byte behind its end, and text."""

    number: int
    start: int
    stop: int
    text: str


@dataclass(frozen=True)
class Layout:
    """How a stretch of text is to be read.

    separator, decimal   one letter each; ``merge`` where runs of blanks separate
    thousands            mark between groups of three digits, '' for none
    header               names, units and other header rows
    data_start           byte at which the rows begin; data_line: its line number
    sample               the first rows, as fields
    preamble             lines before the header, as they are
    reasons              why, a sentence each
    questions            what could not be settled: (name, sentence)
    """

    separator: str
    merge: bool
    decimal: str
    thousands: str
    header: Header
    data_start: int
    data_line: int
    sample: tuple[tuple[str, ...], ...]
    preamble: tuple[str, ...]
    reasons: tuple[str, ...]
    questions: tuple[tuple[str, str], ...] = field(default=())

    @property
    def columns(self) -> int:
        """Fields in a row."""
        return len(self.header.names)


def lines_of(data: bytes, start: int, number: int, encoding: Encoding, most: int) -> list[Line]:
    """The first lines of some bytes that begin at byte ``start`` of the file, on line ``number``."""
    lines: list[Line] = []
    place = 0
    while place < len(data) and len(lines) < most:
        ends = [end for end in (data.find(b"\n", place), data.find(b"\r", place)) if end >= 0]
        stop = min(ends) if ends else len(data)
        text = mend_twice_encoded(decode_line(data[place:stop], encoding))
        behind = stop + (2 if data[stop : stop + 2] == b"\r\n" else 1)
        lines.append(Line(number + len(lines), start + place, start + min(behind, len(data)), text))
        place = behind
    return lines


def find_layout(lines: list[Line], place: str, separator: str = "", decimal: str = "") -> Layout:
    """The layout of the lines; raises LogError where there are no rows of numbers.

    place      the file, for messages
    separator  what the user says, '' where it is to be found out; decimal the same
    """
    marks = [
        (mark, point)
        for mark in ([separator] if separator else _SEPARATORS)
        for point in ([decimal] if decimal else (".", ","))
        if mark != point or any('"' in line.text for line in lines)
    ]
    scored = sorted(((_score(lines, *pair), pair) for pair in marks), key=lambda found: -found[0])
    if not scored or scored[0][0] <= 0:
        raise _no_rows(lines, place)
    mark, point = scored[0][1]
    merge = mark == " "
    rows = [split_line(line.text, mark, merge) for line in lines]
    kinds = [[cell_kind(cell, point) for cell in row] for row in rows]
    width = _width(kinds)
    if width > _MOST_COLUMNS:
        raise LogError.of(
            place, f"has {width} fields in a row; up to {_MOST_COLUMNS} are read.", "split the log"
        )
    first = _first_row(kinds, width, lines)
    own = _rows_of_another_width(rows, kinds, first, width)
    if own:
        return find_layout(lines[: first + own], place, separator, decimal)
    header = read_header(lines, rows, kinds, first, width, point)
    above = _table_above(lines[: header.first_line], place, separator, decimal)
    if above is not None:
        return above
    _refuse_comma_for_both(header, rows, first, width, mark, point, place)
    sample = tuple(
        tuple(row) for row, kind in zip(rows[first:], kinds[first:], strict=True) if _is_data(kind)
    )
    thousands, question = _thousands(sample, mark, point)
    reasons = (
        f"separator {_word(mark)}: {sum(len(k) == width for k in kinds)} of {len(kinds)} lines have {width} fields",
    )
    return Layout(
        mark,
        merge,
        point,
        thousands,
        header,
        lines[first].start,
        lines[first].number,
        sample[:_LINES],
        tuple(line.text for line in lines[: header.first_line]),
        reasons,
        question,
    )


def _rows_of_another_width(rows: list[list[str]], kinds: list[list[str]], first: int, width: int) -> int:
    """Rows at the beginning that are as wide as the names above them and not as wide as most; 0 for few or none."""
    wide = len(rows[first])
    if wide == width or first == 0 or len(rows[first - 1]) != wide or not rows[first - 1][-1]:
        return 0
    count = 0
    while first + count < len(rows) and len(rows[first + count]) == wide and _is_data(kinds[first + count]):
        count += 1
    return count if _FEWEST_ROWS <= count < len(rows) - first else 0


def _table_above(lines: list[Line], place: str, separator: str, decimal: str) -> Layout | None:
    """The table of another recording above this one, as where files were glued; None where only words stand there."""
    if len(lines) < _FEWEST_ROWS:
        return None
    try:
        found = find_layout(lines, place, separator, decimal)
    except LogError:
        return None
    bare = [row for row in found.sample if all(cell_kind(cell, found.decimal) != "text" for cell in row)]
    return found if found.columns >= _FEWEST_COLUMNS and len(bare) >= _FEWEST_ROWS else None


def _word(mark: str) -> str:
    return {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar", " ": "blanks"}.get(mark, mark)


def _no_rows(lines: list[Line], place: str) -> LogError:
    """The error of a text without rows of numbers."""
    first = next((line.text.strip()[:60] for line in lines if line.text.strip("\0 ")), "")
    if not first:
        return LogError.of(place, "holds nothing but blanks or zero bytes.", "export the log again")
    return LogError.of(
        place,
        "has no rows of numbers in its first lines.",
        "export the log as delimited text with one row a sample; --separator and --decimal say how it is written",
        f"'{first}'",
    )


def _is_data(kinds: list[str]) -> bool:
    """True for a row that is mostly numbers, times and gaps, with at least one number or time."""
    some = sum(kind in ("number", "grouped", "dressed", "clock", "date") for kind in kinds)
    words = kinds.count("text")
    return some >= 1 and len(kinds) >= 2 and words <= (len(kinds) - kinds.count("empty")) / 2


def _score(lines: list[Line], mark: str, point: str) -> float:
    """Numbers in rows of the commonest width, as a share of all bytes that are not blank."""
    merge = mark == " "
    read = []
    for line in lines[-_SCORED:]:
        row = split_line(line.text, mark, merge)
        if len(row) > 1:
            kinds = [cell_kind(cell, point) for cell in row]
            if _is_data(kinds):
                read.append((len(row), row, kinds))
    if not read:
        return 0.0
    width = Counter(size for size, _, _ in read).most_common(1)[0][0]
    letters = sum(len(line.text.replace(" ", "")) for line in lines[-_SCORED:]) or 1
    good = sum(
        (len(cell) + 1) * (0.5 if kind in ("grouped", "dressed") else 1.0)
        for size, row, kinds in read
        if abs(size - width) <= 1
        for cell, kind in zip(row, kinds, strict=True)
        if kind not in ("text", "empty")
    )
    split_decimals = _looks_split(read, width) if mark == "," and point == "." else 0.0
    return good / letters - (0.02 if merge else 0.0) - (0.001 if point == "," else 0.0) - split_decimals


def _looks_split(read: list[tuple[int, list[str], list[str]]], width: int) -> float:
    """Something to take off where a comma between numbers has a blank-separated file's decimals for fields."""
    blanks = sum(bool(_TWO_NUMBERS.search(cell)) for size, row, _ in read if size == width for cell in row)
    return 0.5 if blanks > len(read) else 0.0


def _width(kinds: list[list[str]]) -> int:
    """Fields in most rows of numbers."""
    sizes = Counter(len(kind) for kind in kinds if _is_data(kind))
    best = max(sizes.values())
    return max(size for size, count in sizes.items() if count == best)


def _first_row(kinds: list[list[str]], width: int, lines: list[Line]) -> int:
    """Index of the first row of numbers: the width of the table, or a last separator more or less."""
    for index, kind in enumerate(kinds):
        near = abs(len(kind) - width) <= 1 and _is_data(kind)
        if near and not _is_numbered_header(kinds, index) and not lines[index].text.startswith(COMMENT_MARKS):
            return index
    return next(index for index, kind in enumerate(kinds) if _is_data(kind))


def _is_numbered_header(kinds: list[list[str]], index: int) -> bool:
    """True for a row of numbers above the names: numbers of channels, rates."""

    def words(row: list[str]) -> bool:
        return len(row) == len(kinds[index]) and row.count("text") > len(row) / 2

    above = any(words(row) for row in kinds[:index])
    return not above and index + 1 < len(kinds) and words(kinds[index + 1])


def _refuse_comma_for_both(
    header: Header, rows: list[list[str]], first: int, width: int, mark: str, point: str, place: str
) -> None:
    """Raise LogError where the comma separates fields and stands in the numbers."""
    if mark != "," or point != "." or first == 0:
        return
    above = [cell for cell in rows[first - 1] if cell]
    words = sum(cell_kind(cell, point) == "text" for cell in above)
    named = len(above) if words > len(above) / 2 else header.width
    sizes = {len(row) for row in rows[first : first + 50] if len(row) > 1}
    if 1 < named < width <= 2 * named and (width >= 2 * named - 1 or len(sizes) > 2) and width - named > 1:
        raise LogError.of(
            place,
            f"uses the comma between fields and within numbers: {named} names stand over {width} fields.",
            "export it again with a semicolon or tab between fields, or with decimal points",
        )


def _thousands(
    sample: tuple[tuple[str, ...], ...], mark: str, point: str
) -> tuple[str, tuple[tuple[str, str], ...]]:
    """The mark between groups of three digits, where there is one, and a question where that cannot be told."""
    signs = ("," if point == "." else ".", "'", "\u2019", " ", "\u00a0", "\u202f")
    found: Counter[str] = Counter()
    for row in sample:
        for cell in row:
            for sign in signs:
                if sign not in cell:
                    continue
                digits = cell.lstrip("+-")
                groups = digits.split(point)[0].split(sign)
                threes = len(groups) > 1 and all(len(g) == 3 and g.isdecimal() for g in groups[1:])
                if threes and groups[0].isdecimal() and len(groups[0]) <= 3 and groups[0] != "0":
                    found[sign] += 1
    if not found:
        return "", _doubtful_comma(sample, point)
    return found.most_common(1)[0][0], ()


def _doubtful_comma(sample: tuple[tuple[str, ...], ...], point: str) -> tuple[tuple[str, str], ...]:
    """A question where each decimal mark has three digits behind it and some cells have none: thousands, perhaps."""
    for column in range(max((len(row) for row in sample), default=0)):
        cells = [row[column].lstrip("+-") for row in sample if column < len(row) and row[column]]
        marked = [cell for cell in cells if point in cell]
        plain = [cell for cell in cells if cell.isdecimal()]
        if not marked or not plain:
            continue
        grouped = all(
            len(cell.split(point)[1]) == 3 and not cell.startswith("0")
            for cell in marked
            if cell.count(point) == 1
        )
        if grouped and all(int(cell) < 1000 for cell in plain):
            word = "point" if point == "." else "comma"
            text = (
                f"Column {column + 1}: is the {word} in {marked[0]} a decimal mark or does it part thousands?"
            )
            return (("decimal", text),)
    return ()
