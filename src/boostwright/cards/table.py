"""The long table of a card: a CSV file with a row of names, a row of units, then numbers.

Lines that start with ``#`` are comments. An empty cell is a missing value and becomes NaN; what a missing
value means is for the kind of card to say.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.card import Column
from boostwright.errors import Fault
from boostwright.units import QuantityError, convert, parse_quantity

__all__ = ["parse_table", "read_table"]

_NO_UNIT = ("", "-", "1")


def read_table(
    path: Path, columns: Sequence[Column]
) -> tuple[Mapping[str, NDArray[np.float64]], list[Fault]]:
    """Read the file at ``path``; return columns in SI, each (rows,), and every fault found.

    Columns with a cell at fault still have all their rows, with NaN there. Raises nothing for bad content.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        return {}, [
            Fault(path.name, "", "", "there is no such file beside the card.", remedy="Put it there.")
        ]
    except UnicodeDecodeError as error:
        return {}, [
            Fault(
                path.name,
                "",
                "",
                f"is not UTF-8 text (byte {error.start} cannot be read).",
                remedy="Save it as UTF-8; in a spreadsheet that is one of the CSV choices.",
            )
        ]
    return parse_table(text, columns, path.name)


def parse_table(
    text: str, columns: Sequence[Column], place: str
) -> tuple[Mapping[str, NDArray[np.float64]], list[Fault]]:
    """As ``read_table``, from text; ``place`` is the file name used in faults."""
    rows = [
        (number, [cell.strip() for cell in row])
        for number, row in enumerate(csv.reader(text.splitlines()), start=1)
        if row and any(cell.strip() for cell in row) and not row[0].lstrip().startswith("#")
    ]
    if len(rows) < 3:
        message = "has no data: a row of names, a row of units and at least one row of numbers are needed."
        return {}, [Fault(place, "", "", message)]
    (line, names), (unit_line, units), *body = rows
    faults = _check_names(names, columns, place, line)
    if len(units) != len(names):
        faults.append(_wrong_count(place, unit_line, len(units), len(names)))
    if faults:
        return {}, faults
    found: dict[str, NDArray[np.float64]] = {
        c.key: np.full(len(body), np.nan) for c in columns if c.key in names
    }
    for index, (number, cells) in enumerate(body):
        if len(cells) != len(names):
            faults.append(_wrong_count(place, number, len(cells), len(names)))
            continue
        for column in columns:
            if column.key not in names:
                continue
            at = names.index(column.key)
            if cells[at]:
                found[column.key][index] = _cell(cells[at], units[at], column, place, number, faults)
    return found, faults


def _check_names(names: list[str], columns: Sequence[Column], place: str, line: int) -> list[Fault]:
    """Faults of the row of names: missing, doubled and unknown columns."""
    known = [column.key for column in columns]
    where = f"{place}, line {line}"
    faults = [
        Fault(where, column.key, "", "column is missing.", allowed=column.words, line=line)
        for column in columns
        if column.required and column.key not in names
    ]
    for name in sorted(set(names)):
        if name not in known:
            near = get_close_matches(name, known, 1)
            remedy = f"Did you mean {near[0]}?" if near else f"Known columns: {', '.join(known)}."
            faults.append(Fault(where, name, "", "is no column of this table.", remedy=remedy, line=line))
        elif names.count(name) > 1:
            faults.append(Fault(where, name, "", "stands there more than once.", line=line))
    return faults


def _wrong_count(place: str, line: int, found: int, wanted: int) -> Fault:
    """Fault of a row with the wrong number of cells."""
    return Fault(
        f"{place}, line {line}", "", "", f"has {found} cells where the row of names has {wanted}.", line=line
    )


def _cell(cell: str, unit: str, column: Column, place: str, line: int, faults: list[Fault]) -> float:
    """One cell in SI; a fault is added and NaN returned when it cannot be had."""
    where = f"{place}, line {line}"
    try:
        if column.kind == "number":
            if unit not in _NO_UNIT:
                message = f"is a plain number, yet the row of units says '{unit}'."
                faults.append(Fault(where, column.key, cell, message, line=line))
                return float("nan")
            value = float(cell)
        else:
            value = parse_quantity(f"{cell} {unit}", column.kind, place=where, key=column.key).value_si
    except QuantityError as error:
        faults.append(error.fault)
        return float("nan")
    except ValueError:
        faults.append(Fault(where, column.key, cell, "is no number.", line=line))
        return float("nan")
    low = -np.inf if column.low is None else column.low
    high = np.inf if column.high is None else column.high
    if not low <= value <= high:
        ends = [end if column.kind == "number" else convert(end, column.kind, unit) for end in (low, high)]
        allowed = f"from {ends[0]:g} to {ends[1]:g} {unit} ({column.words})"
        faults.append(
            Fault(
                where,
                column.key,
                f"{cell} {unit}".strip(),
                "lies outside what is possible.",
                allowed,
                line=line,
            )
        )
    return value
