"""A file into a store: copied, hashed, read, written, described, and only then given its name."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path

from boostwright.logs.importers.kind import MDF, kind_of_file
from boostwright.logs.importers.mdf import all_plain
from boostwright.logs.importers.text import NeedsWide, TextOptions, read_text
from boostwright.logs.records import LogError, Note, Notes, Rows
from boostwright.logs.store.manifest import (
    MANIFEST,
    LogEntry,
    find_by_hash,
    manifest_document,
    read_manifest,
)
from boostwright.logs.store.staging import Staging, clear_remains, copy_with_hash, log_name
from boostwright.logs.store.writer import StoredTable, StoreWriter

__all__ = ["Kept", "keep_log"]


@dataclass(frozen=True)
class Kept:
    """A log in its store.

    entry    what lies there
    new      False where the same file had been imported before, and nothing was written
    samples  some rows of each table for judging its columns; () where it is not new
    cleared  remains of killed imports that were removed
    """

    entry: LogEntry
    new: bool
    samples: tuple[StoredTable, ...]
    cleared: int


def _no_rows(name: str, notes: tuple[Note, ...]) -> LogError:
    """The error of a file that gave no row, with what was said of it while it was read."""
    said = " ".join(note.text for note in notes if note.harm or note.code.startswith("frames-"))
    remedy = "name a DBC that describes these frames with --dbc" if "DBC" in said else "export the log again"
    return LogError.of(name, f"holds no rows that can be read. {said}".strip(), remedy)


def keep_log(
    file: Path, parent: Path, options: TextOptions, databases: tuple[Path, ...] = (), *, again: bool = False
) -> Kept:
    """Import a file into the folder ``parent``, in a folder of its own.

    databases  DBC files for raw CAN frames
    again      read anew a file that is there already; the earlier import stays. So it is where the options say
               something of the file that the earlier import was not told: the answer to what it asked
    Raises LogError, with nothing left behind, where nothing can be read; a killed run leaves a hidden folder that the
    next import removes.
    """
    kind = kind_of_file(file)
    cleared = clear_remains(parent) if parent.is_dir() else 0
    with Staging(parent) as staging:
        original = staging.folder / "original" / file.name
        original.parent.mkdir()
        sha256, size = copy_with_hash(file, original)
        told = {key: value for key, value in asdict(options).items() if value}
        before = find_by_hash(parent, sha256, told)
        if before is not None and not again:
            return Kept(before, False, (), cleared)
        notes, tables = _read_all(original, kind, staging.folder, options, databases)
        if not tables:
            raise _no_rows(file.name, notes)
        if databases:
            told["dbc"] = [path.name for path in databases]
            folder = staging.folder / "original" / "dbc"
            folder.mkdir()
            for path in databases:
                shutil.copy(path, folder / path.name)
        text = manifest_document(file.name, size, sha256, kind, told, tables, notes)
        (staging.folder / MANIFEST).write_text(text, encoding="utf-8")
        folder = staging.keep(log_name(file))
    return Kept(read_manifest(folder), True, tables, cleared)


def _read_all(
    path: Path, kind: str, folder: Path, options: TextOptions, databases: tuple[Path, ...]
) -> tuple[tuple[Note, ...], tuple[StoredTable, ...]]:
    """Read the file into the folder; once more from the start where digits would be lost."""
    if kind == MDF and not all_plain(path):
        from boostwright.logs.store.apart import read_apart

        return read_apart(path, folder, databases)
    wide: frozenset[int] = frozenset()
    while True:
        notes, writer = Notes(), StoreWriter(folder)
        try:
            for rows in _rows(path, kind, notes, options, databases, wide):
                writer.add(rows)
            return notes.all(), writer.close()
        except NeedsWide as more:
            writer.abandon()
            wide |= more.columns
        except BaseException:
            writer.abandon()
            raise


def _rows(
    path: Path,
    kind: str,
    notes: Notes,
    options: TextOptions,
    databases: tuple[Path, ...],
    wide: frozenset[int],
) -> Iterator[Rows]:
    if kind == MDF:
        from boostwright.logs.importers.mdf import read_mdf

        return read_mdf(path, notes, databases)
    if databases:
        notes.add("dbc-not-needed", "A DBC was named, but the file is text: it was not used.")
    return read_text(path, notes, options, wide)
