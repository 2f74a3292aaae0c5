"""Text with one value a row: time, name, value and perhaps unit. Each name becomes a table on its own time base."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.importers.cells import cell_kind
from boostwright.logs.importers.layout import Layout
from boostwright.logs.mapping.unit_words import find_unit
from boostwright.logs.records import Column, Rows, Table

__all__ = ["LongForm", "find_long_form", "pivot"]

_FEW = 0.5  # different names, as a share of rows, up to which a column of words is one of names


@dataclass
class LongForm:
    """Fields that hold the name, the value and the unit (-1 for none); the tables made so far."""

    name: int
    value: int
    unit: int
    wide: set[int] = field(default_factory=set)
    tables: dict[tuple[int, str], Table] = field(default_factory=dict)


def find_long_form(layout: Layout) -> LongForm | None:
    """The fields of a text with one value a row; None where it is none."""
    if not 3 <= layout.columns <= 6 or len(layout.sample) < 6:
        return None
    words, numbers = [], []
    for k in range(layout.columns):
        cells = [row[k] for row in layout.sample if k < len(row) and row[k]]
        kinds = [cell_kind(cell, layout.decimal) for cell in cells]
        if cells and kinds.count("text") > 0.9 * len(kinds):
            words.append((k, cells))
        elif cells and kinds.count("number") > 0.9 * len(kinds):
            numbers.append(k)
    units = [k for k, cells in words if all(find_unit(cell) is not None for cell in set(cells))]
    names = [
        k
        for k, cells in words
        if k not in units and 2 <= len(set(cells)) <= _FEW * len(cells) and _changes(cells)
    ]
    values = [k for k in numbers if k != 0] if names else []
    if len(names) != 1 or len(values) != 1:
        return None
    return LongForm(names[0], values[0], units[0] if units else -1)


def _changes(cells: list[str]) -> bool:
    """True where the word changes from row to row, as names do and states do not."""
    return sum(a != b for a, b in pairwise(cells)) > 0.5 * (len(cells) - 1)


def pivot(
    form: LongForm, table: Table, time: NDArray[np.float64], values: list[NDArray[Any]], kept: list[int]
) -> Iterator[Rows]:
    """The rows of each name in a block, as a table of one column.

    table   the table as it lies, for its words; kept: the field of each array in ``values``
    """
    codes = values[kept.index(form.name)]
    words = table.states[kept.index(form.name)]
    units = table.states[kept.index(form.unit)] if form.unit >= 0 else []
    unit_codes = values[kept.index(form.unit)] if form.unit >= 0 else codes
    numbers = values[kept.index(form.value)]
    for code in np.unique(codes[np.isfinite(codes)]).tolist():
        rows = np.flatnonzero(codes == code)
        name = _word(words, code)
        key = (table.part, name)
        if key not in form.tables:
            seen = unit_codes[rows][np.isfinite(unit_codes[rows])] if form.unit >= 0 else np.empty(0)
            unit = _word(units, float(seen[0])) if seen.size else ""
            group = 1 + sum(part == table.part for part, _ in form.tables)
            form.tables[key] = Table(table.part, group, name, (Column(name, unit),), table.time_name)
        order = rows[np.argsort(time[rows], kind="stable")]
        yield Rows(form.tables[key], time[order], (numbers[order],))


def _word(words: list[str], code: float) -> str:
    """The word a number stands for; the number itself where a field of words held one."""
    return words[int(code)] if code == int(code) and 0 <= code < len(words) else f"{code:g}"
