"""The rows above the numbers: which holds the names, which the units, and what else is said of a column."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from boostwright.logs.mapping.unit_words import find_unit

if TYPE_CHECKING:
    from boostwright.logs.importers.layout import Line

__all__ = ["Header", "name_and_unit", "read_header", "unique_names"]

_BRACKETS = re.compile(
    r"^(.*?)[\s_]*[\[\(\{<]\s*([^\[\]\(\)\{\}<>]*(?:\([^()]*\)[^\[\]\(\)]*)?)\s*[\]\)\}>]\s*$"
)
_MARKS = re.compile(r"^\s*(?:#+|//|%+|!)\s*")
_TAIL = re.compile(r"^(.+?)\s*[,;/:|]\s*([^,;/:|]{1,12})$")
_LAST_WORD = re.compile(r"^(.+?)[\s_]+([^\s_]{1,10})$")


@dataclass(frozen=True)
class Header:
    """Names and units of the columns.

    names        one for each field, told apart, never empty
    units        one for each, '' where none is written
    comments     other header rows, joined
    rows         the header's rows as fields, to know them again further down
    first_line   index of the first header line among the lines looked at
    found        False where the file has no names and columns are numbered
    width        names written
    doubles      names that stood more than once
    unnamed      fields without a name
    """

    names: tuple[str, ...]
    units: tuple[str, ...]
    comments: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    first_line: int
    found: bool
    width: int
    doubles: tuple[str, ...]
    unnamed: int


def read_header(
    lines: list[Line], rows: list[list[str]], kinds: list[list[str]], first: int, width: int, decimal: str
) -> Header:
    """The header of a table whose numbers begin at line index ``first``."""
    above: list[int] = []
    index, blanks = first - 1, 0
    while index >= 0 and len(above) < 6 and blanks < 2:
        row = rows[index]
        filled = sum(bool(cell) for cell in row)
        if filled == 0:
            blanks += 1
        elif max(2, 0.6 * width) <= len(row) <= width + 1 and (filled >= min(2, width) or _one_unit(row)):
            above.insert(0, index)
        else:
            break
        index -= 1
    texts = [[*map(str.strip, rows[k]), *[""] * width][:width] for k in above]
    if texts and lines[above[0]].text.lstrip().startswith(("#", "%", "//", "!")):
        texts[0][0] = _MARKS.sub("", texts[0][0])
    names_at, units_at = _roles(texts)
    return _assemble(texts, names_at, units_at, above, first, width, rows)


def _one_unit(row: list[str]) -> bool:
    """True for a row of units in which only one column has any."""
    return all(find_unit(cell) is not None for cell in row if cell)


def _roles(texts: list[list[str]]) -> tuple[int | None, int | None]:
    """Index of the row of names and of the row of units."""
    units_at = None
    for index, row in enumerate(texts):
        filled = [cell for cell in row if cell]
        known = sum(find_unit(cell) is not None or _is_bracketed_unit(cell) for cell in filled)
        if (
            filled
            and known >= 0.6 * len(filled)
            and (index or len(texts) > 1)
            and known >= min(2, len(filled))
        ):
            units_at = index
    candidates = [
        (len({c for c in row if c and _has_letters(c)}), -index)
        for index, row in enumerate(texts)
        if index != units_at
    ]
    candidates = [found for found in candidates if found[0]]
    if not candidates:
        return None, units_at
    return -max(candidates)[1], units_at


def _is_bracketed_unit(cell: str) -> bool:
    return bool(re.fullmatch(r"[\[\(\{].*[\]\)\}]", cell))


def _has_letters(cell: str) -> bool:
    return any(letter.isalpha() for letter in cell)


def _assemble(
    texts: list[list[str]],
    names_at: int | None,
    units_at: int | None,
    above: list[int],
    first: int,
    width: int,
    rows: list[list[str]],
) -> Header:
    if names_at is None:
        names = [f"column {k + 1}" for k in range(width)]
        units = texts[units_at] if units_at is not None else [""] * width
        kept = tuple(tuple(t) for t in texts)
        return Header(
            tuple(names), tuple(map(_strip_brackets, units)), ("",) * width, kept, first, False, 0, (), width
        )
    spans = _spanned(texts, names_at, units_at)
    names, units = [], []
    for k, cell in enumerate(texts[names_at]):
        name, unit = name_and_unit(cell)
        if units_at is not None and texts[units_at][k]:
            below = _strip_brackets(texts[units_at][k])
            name, unit = (cell, below) if below and not unit else (name, below or unit)
        names.append(f"{spans[k]} {name}".strip() if spans else name)
        units.append(unit)
    others = [
        " / ".join(
            t[k] for index, t in enumerate(texts) if index not in (names_at, units_at) and t[k] and not spans
        )
        for k in range(width)
    ]
    width_named = len(rows[above[names_at]])
    told, doubles, unnamed = unique_names(names)
    start = above[0]
    kept = tuple(tuple(t) for t in texts)
    return Header(
        tuple(told), tuple(units), tuple(others), kept, start, True, width_named, tuple(doubles), unnamed
    )


def _spanned(texts: list[list[str]], names_at: int, units_at: int | None) -> list[str]:
    """Names of groups that stand over several columns: a row above the names with gaps to be filled from the left."""
    for index in range(names_at):
        if index == units_at:
            continue
        row = texts[index]
        filled = sum(bool(cell) for cell in row)
        if 1 < filled < 0.7 * len(row) and not any(cell and not _has_letters(cell) for cell in row):
            out, last = [], ""
            for cell in row:
                last = cell or last
                out.append(last)
            return out
    return []


def _strip_brackets(text: str) -> str:
    text = text.strip()
    return text[1:-1].strip() if _is_bracketed_unit(text) else text


def name_and_unit(cell: str) -> tuple[str, str]:
    """Name and unit of a header cell such as ``MAP [kPa]``, ``MAP (kPa abs)``, ``MAP, kPa`` or ``map_kpa``."""
    match = _BRACKETS.match(cell)
    if match:
        name, unit = match.group(1).strip(), match.group(2).strip()
        if name and (not unit or find_unit(unit) is not None or cell.rstrip().endswith("]")):
            return name, unit
        return cell.strip(), ""
    for pattern in (_TAIL, _LAST_WORD):
        match = pattern.match(cell)
        if match and find_unit(match.group(2), strict=True) is not None:
            return cell.strip(), match.group(2).strip()  # the name stays as the user knows it
    return cell.strip(), ""


def unique_names(names: list[str]) -> tuple[list[str], list[str], int]:
    """Names told apart: a second MAP is "MAP (2)", an empty one "column 7"; the doubled ones, and how many empty."""
    seen: Counter[str] = Counter()
    out, doubles, unnamed = [], [], 0
    for place, name in enumerate(names, start=1):
        clean = re.sub(r"\s+", " ", "".join(c if c.isprintable() else " " for c in name)).strip()
        if not clean or set(clean) <= set("?-_*�"):
            clean = f"column {place}"
            unnamed += 1
        seen[clean] += 1
        if seen[clean] > 1:
            doubles.append(clean)
            number = seen[clean]
            while f"{clean} ({number})" in seen or f"{clean} ({number})" in names:
                number += 1
            clean = f"{clean} ({number})"
            seen[clean] += 1
        out.append(clean)
    return out, doubles, unnamed
