"""What one cell of a log says: a number, a time, a date, nothing, or words."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from functools import lru_cache

from boostwright.logs.mapping.unit_words import find_unit

__all__ = ["MISSING", "STATE_WORDS", "cell_kind", "read_number", "read_stamp", "split_line", "with_unit"]

MISSING = frozenset(
    {
        "#div/0!", "#n/a", "#num!", "#ref!", "#value!", "*", "**", "***", "****", "*****", "+inf", "-1.#ind",
        "-1.#inf", "-inf", "-infinity", "1.#ind", "1.#inf", "1.#qnan", "?", "??", "???", "err", "error", "inf",
        "infinity", "invalid", "invalide", "missing", "n/a", "na", "nan", "nil", "no data", "no_data", "none",
        "not available", "null", "off-line", "offline", "open circuit", "open_circuit", "out of range",
        "over range", "overflow", "overrange", "underrange", "ungueltig", "ungültig",
    }
)  # fmt: skip
"""Words that stand for "no value", in small letters; dashes do as well."""

STATE_WORDS = {
    "off": 0.0, "on": 1.0, "false": 0.0, "true": 1.0, "no": 0.0, "yes": 1.0, "aus": 0.0, "ein": 1.0, "nein": 0.0,
    "ja": 1.0, "inactive": 0.0, "active": 1.0, "low": 0.0, "high": 1.0, "closed": 0.0, "open": 1.0, "non": 0.0,
    "oui": 1.0, "falsch": 0.0, "wahr": 1.0,
}  # fmt: skip
"""Words of two-valued channels and what they count as."""

_POINT = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$")
_COMMA = re.compile(r"[+-]?(?:\d+,?\d*|,\d+)(?:[eE][+-]?\d+)?$")
_CLOCK = re.compile(r"[+-]?\d{1,4}:\d{1,2}(?::\d{1,2})?(?:[.,]\d+)?$")
_CLOCK_12 = re.compile(r"(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,:](\d+))?)?\s*([aApP])\.?[mM]\.?$")
_CLOCK_FRAMES = re.compile(r"(\d{1,2}):(\d{2}):(\d{2}):(\d{1,6})$")
_DATE = re.compile(r"(\d{1,4})([-/.])(\d{1,2})\2(\d{1,4})(?:[T ,]+(.+?))?\s*(Z|[+-]\d{2}:?\d{2})?$")
_GROUPED_POINT = re.compile(r"[+-]?[1-9]\d{0,2}(?:([, '\u2019\u00a0\u202f])\d{3})(?:\1\d{3})*(?:\.\d*)?$")
_GROUPED_COMMA = re.compile(r"[+-]?[1-9]\d{0,2}(?:([. '\u2019\u00a0\u202f])\d{3})(?:\1\d{3})*(?:,\d*)?$")
_HEX = re.compile(r"0[xX][0-9A-Fa-f]{1,12}$")
_UNIT = re.compile(r"([+-]?\d[\d.,' ]*(?:[eE][+-]?\d+)?)\s*([^\d\s].{0,11})$")


def split_line(line: str, separator: str, merge: bool) -> list[str]:
    """The fields of one line, quotes taken off; a separator within quotes separates nothing."""
    if merge:
        return _split_blanks(line)
    if '"' not in line:
        return [
            field.strip(" \t\0") if separator != "\t" else field.strip(" \0")
            for field in line.split(separator)
        ]
    fields, start, inside = [], 0, False
    for place, letter in enumerate(line):
        if letter == '"':
            inside = not inside
        elif letter == separator and not inside:
            fields.append(line[start:place])
            start = place + 1
    fields.append(line[start:])
    return [_bare(field) for field in fields]


def _split_blanks(line: str) -> list[str]:
    """Fields between runs of blanks, quoted ones whole."""
    if '"' not in line:
        return line.split()
    return [_bare(field) for field in re.findall(r'"[^"]*"|[^\s"]+', line)]


def _bare(field: str) -> str:
    field = field.strip()
    if len(field) >= 2 and field[0] == '"' and field[-1] == '"':
        field = field[1:-1].replace('""', '"').strip()
    return field.replace('"', "").strip()


@lru_cache(maxsize=1 << 16)  # the same cells are asked about by layout, clock and words in turn
def cell_kind(cell: str, decimal: str) -> str:
    """One of ``empty``, ``number``, ``grouped``, ``dressed``, ``clock``, ``date``, ``missing``, ``text``.

    A grouped number has thousands marks, a dressed one its unit behind it.
    """
    if not cell:
        return "empty"
    if (_POINT if decimal == "." else _COMMA).match(cell):
        return "number"
    first = cell[0]
    if first.isdigit() or first in "+-":
        if _CLOCK.match(cell) or _CLOCK_12.match(cell) or _CLOCK_FRAMES.match(cell):
            return "clock"
        if _DATE.match(cell) and read_stamp(cell) is not None:
            return "date"
        if _HEX.match(cell):
            return "number"
        if not cell.strip("- "):
            return "missing"
        if (_GROUPED_POINT if decimal == "." else _GROUPED_COMMA).match(cell):
            return "grouped"
        pair = with_unit(cell, decimal)
        if pair is not None and pair[1][0] != "/" and find_unit(pair[1]) is not None:
            return "dressed"
    return "missing" if cell.lower() in MISSING else "text"


def read_number(cell: str, decimal: str, thousands: str = "") -> float | None:
    """The number in a cell that the fast reader left over: thousands marks, many digits, hexadecimal, a % behind it."""
    text = cell.replace("\u00a0", " ").replace("\u202f", " ").replace("\u2212", "-").replace("\u2019", "'")
    text = text.strip(" \0")
    if _HEX.match(text):
        return float(int(text, 16))
    if text.endswith("%"):
        text = text[:-1].rstrip()
    if thousands or " " in text or "'" in text:
        thousands = {"\u00a0": " ", "\u202f": " ", "\u2019": "'"}.get(thousands, thousands)
        mark = re.escape(thousands) if thousands.strip() else "[ ']"
        if re.match(rf"[+-]?\d{{1,3}}(?:{mark}\d{{3}})+(?!\d)", text):
            text = re.sub(mark, "", text)
    if not (_POINT if decimal == "." else _COMMA).match(text):
        return None
    number = float(text.replace(",", "."))
    return number if abs(number) < 1e300 else None


def with_unit(cell: str, decimal: str, thousands: str = "") -> tuple[float, str] | None:
    """Number and unit of a cell such as ``95 kPa``."""
    match = _UNIT.match(cell.strip())
    if match is None:
        return None
    number = read_number(match.group(1).strip(), decimal, thousands)
    return None if number is None else (number, match.group(2).strip())


@lru_cache(maxsize=4096)
def _day(first: int, second: int, third: int, day_first: bool) -> datetime | None:
    """The day of three numbers; the year is the one of four digits, or the last."""
    try:
        if first > 31:
            return datetime(first, second, third)
        year = third if third > 99 else third + 2000
        if second > 12 or (not day_first and first <= 12):
            first, second = second, first
        return datetime(year, second, first)
    except ValueError:
        return None


def read_stamp(cell: str) -> float | None:
    """Seconds of a date with or without a time, or of a time of day in a form the fast reader does not know.

    A date counts from the year 1970, a time of day from midnight. None where it is neither.
    """
    match = _CLOCK_12.match(cell)
    if match:
        hour, minute = int(match.group(1)) % 12, int(match.group(2))
        hour += 12 if match.group(5) in "pP" else 0
        second = float(f"{match.group(3) or 0}.{match.group(4) or 0}")
        return hour * 3600.0 + minute * 60.0 + second
    match = _CLOCK_FRAMES.match(cell)
    if match:  # a colon before the fraction
        parts = [float(match.group(k)) for k in (1, 2, 3)]
        return parts[0] * 3600.0 + parts[1] * 60.0 + parts[2] + float(f"0.{match.group(4)}")
    if _CLOCK.match(cell):
        total = 0.0
        for text in cell.replace(",", ".").split(":"):
            total = total * 60.0 + float(text)
        return total
    match = _DATE.match(cell)
    if match is None:
        return None
    day = _day(int(match.group(1)), int(match.group(3)), int(match.group(4)), match.group(2) != "/")
    if day is None:
        return None
    seconds = (day - datetime(1970, 1, 1)) / timedelta(seconds=1)
    rest = match.group(5)
    if not rest:
        return seconds
    if _DATE.match(rest):
        return None
    time = read_stamp(rest.strip())
    return None if time is None else seconds + time
