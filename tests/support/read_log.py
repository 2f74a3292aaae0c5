"""A log's text or bytes read into memory, for tests: tables as plain arrays, and the notes."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from boostwright.logs.importers.text import NeedsWide, TextOptions, read_text
from boostwright.logs.records import Note, Notes, Table


@dataclass
class Read:
    """A table in memory."""

    table: Table
    time: np.ndarray
    columns: dict[str, np.ndarray]


def read_back(path: Path, options: TextOptions | None = None) -> tuple[list[Read], tuple[Note, ...]]:
    """All tables of a text file."""
    wide: frozenset[int] = frozenset()
    while True:
        notes = Notes()
        found: dict[Table, list] = {}
        try:
            for rows in read_text(path, notes, options or TextOptions(), wide):
                found.setdefault(rows.table, []).append(rows)
            break
        except NeedsWide as more:
            wide |= more.columns
    tables = []
    for table, parts in found.items():
        time = np.concatenate([rows.time for rows in parts])
        names = [column.name for column in table.columns]
        columns = {
            name: np.concatenate([rows.values[k] for rows in parts]).astype(float)
            for k, name in enumerate(names)
        }
        tables.append(Read(table, time, columns))
    return tables, notes.all()


def codes(notes: tuple[Note, ...]) -> set[str]:
    """The codes of the notes."""
    return {note.code for note in notes}


def note(notes: tuple[Note, ...], code: str) -> Note:
    """The one note of a code."""
    (found,) = [one for one in notes if one.code == code]
    return found
