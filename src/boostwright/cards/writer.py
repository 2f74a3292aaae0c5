"""Writing a card: a new one, or single values of one that is there, with its comments left as they are.

Whatever is written is read back before it takes the old file's place, so that a faulty value is refused
and the card on disk stays as it was.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.card import Card, CardHeader, Column
from boostwright.cards.reader import parse_card, schema_of
from boostwright.saving import save_atomically
from boostwright.units import convert

__all__ = ["card_text", "change_card", "table_text", "write_card"]

CardInput = str | float | int | Sequence[str] | Sequence[float]


def card_text(
    header: CardHeader,
    values: Mapping[str, CardInput],
    provenance: Mapping[str, tuple[str, str]] | None = None,
    table_file: str = "",
) -> str:
    """TOML text of a card; nothing is checked here.

    header      its header
    values      key -> what is to stand in the file: text with a unit, a plain number, or [low, high]
    provenance  key -> (source, status) where a value's differ from the header's
    table_file  name of the CSV beside it; empty = none
    """
    import tomlkit

    document = tomlkit.document()
    for key in ("kind", "schema_version", "name", "source", "licence", "status"):
        document.add(key, getattr(header, key))
    if header.notes:
        document.add("notes", header.notes)
    table = tomlkit.table()
    for key, value in values.items():
        table.add(key, value if isinstance(value, str | float | int) else list(value))
    document.add(header.kind, table)
    if table_file:
        long_table = tomlkit.table()
        long_table.add("file", table_file)
        document.add("table", long_table)
    if provenance:
        above = tomlkit.table(is_super_table=True)
        for key, (source, status) in provenance.items():
            entry = tomlkit.table()
            entry.update({"source": source, "status": status})
            above.add(key, entry)
        document.add("provenance", above)
    return tomlkit.dumps(document)


def table_text(
    columns: Mapping[str, NDArray[np.float64]], declared: Sequence[Column], units: Mapping[str, str]
) -> str:
    """CSV text of a table: names, units, numbers.

    columns   name -> (rows,) in SI; NaN is written as an empty cell
    declared  the kind's columns, whose order is kept
    units     column -> unit to write it in; not needed for a plain number
    Raises UnitError for a unit that does not measure the column.
    """
    shown = [column for column in declared if column.key in columns]
    lines = [
        ",".join(column.key for column in shown),
        ",".join("-" if column.kind == "number" else units[column.key] for column in shown),
    ]
    for row in range(len(columns[shown[0].key])):
        cells = []
        for column in shown:
            value = float(columns[column.key][row])
            if column.kind != "number":
                value = convert(value, column.kind, units[column.key])
            cells.append("" if np.isnan(value) else f"{value:.9g}")
        lines.append(",".join(cells))
    return "\n".join(lines) + "\n"


def write_card(
    folder: Path,
    header: CardHeader,
    values: Mapping[str, CardInput],
    provenance: Mapping[str, tuple[str, str]] | None = None,
    columns: Mapping[str, NDArray[np.float64]] | None = None,
    units: Mapping[str, str] | None = None,
) -> Card:
    """Write ``<name>.toml``, and ``<name>.csv`` when columns are given; return the card read back.

    folder      made when it is not there
    header      its header; the name becomes the file's
    values      as for ``card_text``
    provenance  as for ``card_text``
    columns     name -> (rows,) in SI
    units       column -> unit to write it in
    Raises CardError with every fault, before anything on disk is changed, and FileExistsError for a name
    that is taken.
    """
    path = folder / f"{header.name}.toml"
    if path.exists():
        raise FileExistsError(f"{path} is there already; choose another name or change its values.")
    folder.mkdir(parents=True, exist_ok=True)
    table_file = f"{header.name}.csv" if columns else ""
    text = card_text(header, values, provenance, table_file)
    with tempfile.TemporaryDirectory(dir=folder) as trial:
        if columns:
            table = table_text(columns, schema_of(header.kind).columns, units or {})
            (Path(trial) / table_file).write_text(table, encoding="utf-8", newline="\n")
        parse_card(text, Path(trial) / path.name)
        if columns:
            os.replace(Path(trial) / table_file, folder / table_file)
    save_atomically(path, text.encode())
    return parse_card(text, path)


def change_card(path: Path, values: Mapping[str, CardInput]) -> Card:
    """Set values of the card at ``path``, leaving its comments and order; return the card read back.

    path    the card's file
    values  key -> as for ``card_text``; keys that are not there yet are added at the end of the kind's table
    Raises CardError with every fault; the file is then as it was.
    """
    import tomlkit

    old = path.read_bytes().decode("utf-8-sig")
    card = parse_card(old, path)
    document = tomlkit.parse(old)
    table = document[card.kind]
    for key, value in values.items():
        table[key] = value if isinstance(value, str | float | int) else list(value)
    text = tomlkit.dumps(document)
    changed = parse_card(text, path)
    save_atomically(path, text.encode())
    return changed
