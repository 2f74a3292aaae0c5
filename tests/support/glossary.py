"""Reads the table of quantities in docs/reference/names.md."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

PAGE = Path(__file__).resolve().parents[2] / "docs" / "reference" / "names.md"
_HEAD = "| name | words | unit | station | basis |"


@dataclass(frozen=True)
class Entry:
    """One row."""

    name: str
    words: str
    unit: str
    station: str
    basis: str


def quantities() -> dict[str, Entry]:
    """The rows of every table with that head, by name; a name that stands twice is an error."""
    entries: dict[str, Entry] = {}
    inside = False
    for line in PAGE.read_text(encoding="utf-8").splitlines():
        if line == _HEAD:
            inside = True
        elif inside and line.startswith("|"):
            cells = [cell.strip() for cell in line.strip("|").split("|")]
            if set(cells[0]) <= set("-"):
                continue
            entry = Entry(cells[0].strip("`"), *cells[1:5])
            if entry.name in entries:
                raise AssertionError(f"{entry.name} stands twice in {PAGE.name}")
            entries[entry.name] = entry
        else:
            inside = False
    return entries
