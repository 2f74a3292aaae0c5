"""A table of a map as users have it: any usual delimiter, decimal comma or point, units in a row or in names.

The parsing takes text; opening takes a path. Nothing is refused for its habits, only for what cannot be told.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from boostwright.errors import Fault, UnitError
from boostwright.units import to_si

__all__ = ["MapColumn", "MapTable", "parse_map_csv", "read_map_csv"]

_UNIT_IN_NAME = re.compile(r"^(.*?)\s*[\[(]\s*(.*?)\s*[\])]\s*$")
_DECIMAL_COMMA = re.compile(r"^[+-]?\d+,\d+(?:[eE][+-]?\d+)?$")


@dataclass(frozen=True)
class MapColumn:
    """A column to look for.

    key       name it is handed on by
    kinds     kinds of quantity it may be measured in; empty = a label that need be no number
    words     what it is
    other     further names it is known by (small letters, '_' between words)
    required  whether a table without it is refused
    """

    key: str
    kinds: tuple[str, ...]
    words: str
    other: tuple[str, ...] = ()
    required: bool = True


@dataclass(frozen=True)
class MapTable:
    """What was read: columns in SI (rows,), the kind and unit of each, labels, and the line of each row."""

    columns: Mapping[str, NDArray[np.float64]]
    kinds: Mapping[str, str]
    units: Mapping[str, str]
    labels: Mapping[str, tuple[str, ...]]
    lines: tuple[int, ...]


def read_map_csv(path: Path, columns: Sequence[MapColumn]) -> tuple[MapTable, list[Fault], list[Fault]]:
    """Read the file at ``path``: table, errors, warnings. Raises nothing for bad content."""
    warnings: list[Fault] = []
    try:
        raw = path.read_bytes()
    except OSError as error:
        message = "there is no such file beside the card." if not path.exists() else f"{error.strerror}."
        return _EMPTY, [Fault(path.name, "", "", message, remedy="Put the table there.")], warnings
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        text = raw.decode("utf-16", errors="replace")
    else:
        try:
            text = raw.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = raw.decode("cp1252", errors="replace")
            message = "is not UTF-8; it was read as Western European (Windows)."
            warnings.append(Fault(path.name, "", "", message, remedy="Check special signs in it."))
    table, errors, more = parse_map_csv(text, columns, path.name)
    return table, errors, warnings + more


def parse_map_csv(
    text: str, columns: Sequence[MapColumn], place: str
) -> tuple[MapTable, list[Fault], list[Fault]]:
    """As ``read_map_csv``, from text; ``place`` is the file's name for messages."""
    delimiter = _delimiter(text)
    rows = [
        (number, [cell.strip().strip('"').strip() for cell in row])
        for number, row in enumerate(csv.reader(text.splitlines(), delimiter=delimiter), start=1)
        if any(cell.strip() for cell in row) and not row[0].lstrip().startswith("#")
    ]
    if len(rows) < 2:
        message = "has no data: a row of names, a row of units and rows of numbers are needed."
        return _EMPTY, [Fault(place, "", "", message)], []
    line, names = rows[0]
    names, units = _split_units(names)
    body = rows[1:]
    if not any(_number(cell) is not None for cell in body[0][1]):
        units = [cell or unit for cell, unit in zip(_padded(body[0][1], len(names)), units, strict=True)]
        body = body[1:]
    found, errors, warnings = _find_columns(names, columns, place, line)
    kinds, unit_errors = _find_kinds(found, units, columns, place, line)
    errors += unit_errors
    if errors:
        return _EMPTY, errors, warnings
    if not body:
        return _EMPTY, [Fault(place, "", "", "has names and units but no numbers.")], warnings
    values: dict[str, list[float]] = {key: [] for key in kinds}
    labels: dict[str, list[str]] = {key: [] for key in found if key not in kinds}
    for number, cells in body:
        cells = _padded(cells, len(names))
        for key, at in found.items():
            if key in labels:
                labels[key].append(cells[at])
                continue
            values[key].append(_value(cells[at], key, kinds[key], units[at], place, number, errors))
    table = MapTable(
        {key: np.array(column) for key, column in values.items()},
        kinds,
        {key: units[at] for key, at in found.items()},
        {key: tuple(column) for key, column in labels.items()},
        tuple(number for number, _ in body),
    )
    return table, errors, warnings


_EMPTY = MapTable({}, {}, {}, {}, ())


def _delimiter(text: str) -> str:
    """The sign that parts the cells, told from the first row that is no comment."""
    for line in text.splitlines():
        if line.strip() and not line.lstrip().startswith("#"):
            counts = {sign: line.count(sign) for sign in ("\t", ";", ",")}
            best = max(counts, key=lambda sign: counts[sign])
            return best if counts[best] else ","
    return ","


def _split_units(names: Sequence[str]) -> tuple[list[str], list[str]]:
    """Names without the units that stand in brackets behind them, and those units."""
    plain, units = [], []
    for name in names:
        match = _UNIT_IN_NAME.match(name)
        plain.append(match.group(1) if match else name)
        units.append(match.group(2) if match else "")
    return plain, units


def _padded(cells: Sequence[str], count: int) -> list[str]:
    """Exactly ``count`` cells; missing ones are empty."""
    return [*cells[:count], *[""] * (count - len(cells))]


def _find_columns(
    names: Sequence[str], columns: Sequence[MapColumn], place: str, line: int
) -> tuple[dict[str, int], list[Fault], list[Fault]]:
    """Position of each column that is there, errors for those that are not, warnings for what is left."""
    plain = [re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_") for name in names]
    where = f"{place}, line {line}"
    found: dict[str, int] = {}
    errors, warnings = [], []
    for column in columns:
        hits = [i for i, name in enumerate(plain) if name == column.key or name in column.other]
        if len(hits) > 1:
            errors.append(Fault(where, column.key, "", "stands there more than once.", line=line))
        elif hits:
            found[column.key] = hits[0]
        elif column.required:
            near = get_close_matches(column.key, plain, 1, 0.5)
            remedy = f"Is it the column '{near[0]}'? Then call it {column.key}." if near else ""
            errors.append(Fault(where, column.key, "", "column is missing.", column.words, remedy, line))
    left = [name for i, name in enumerate(names) if name and i not in found.values()]
    if left and not errors:
        message = f"these columns were not used: {', '.join(left)}."
        warnings.append(Fault(where, "", "", message, line=line))
    return found, errors, warnings


def _find_kinds(
    found: Mapping[str, int], units: Sequence[str], columns: Sequence[MapColumn], place: str, line: int
) -> tuple[dict[str, str], list[Fault]]:
    """The kind of quantity each column is measured in, told from its unit."""
    kinds: dict[str, str] = {}
    errors: list[Fault] = []
    where = f"{place}, line {line}"
    for column in columns:
        if column.key not in found or not column.kinds:
            continue
        unit = units[found[column.key]]
        if column.kinds == ("dimensionless",) and unit in ("-", "1"):
            unit = ""
        refusal = ""
        for kind in column.kinds:
            try:
                to_si(1.0, kind, unit)
            except UnitError as error:
                refusal = refusal or str(error)
                continue
            kinds[column.key] = kind
            break
        else:
            message = "has no unit." if not unit else f"{refusal}."
            allowed = f"{column.words}, in a unit of " + " or ".join(column.kinds).replace("_", " ")
            remedy = "Put the unit in a row below the names, or in brackets behind the name."
            errors.append(Fault(where, column.key, unit, message, allowed, remedy, line))
    return kinds, errors


def _number(cell: str) -> float | None:
    """The number in a cell, with decimal point or comma; None when there is none."""
    text = cell.replace(" ", "").replace("\u00a0", "")
    if _DECIMAL_COMMA.match(text):
        text = text.replace(",", ".")
    try:
        value = float(text)
    except ValueError:
        return None
    return value if np.isfinite(value) else None


def _value(cell: str, key: str, kind: str, unit: str, place: str, line: int, errors: list[Fault]) -> float:
    """A cell in SI; NaN and a fault when it is no number."""
    number = _number(cell)
    if number is None:
        message = "is empty." if not cell else "is no number."
        errors.append(Fault(f"{place}, line {line}", key, cell, message, line=line))
        return float("nan")
    return to_si(number, kind, "" if unit in ("-", "1") else unit)
