"""A stored log, opened: columns by name, as they came or as channels in SI."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow.parquet as pq
from numpy.typing import NDArray

from boostwright.logs.records import LogError
from boostwright.logs.store.manifest import LogEntry, TableEntry, read_manifest
from boostwright.logs.store.pyramid import Pyramid
from boostwright.logs.store.writer import parquet_names

__all__ = ["StoredLog", "open_log"]


class StoredLog:
    """What was imported from one file."""

    def __init__(self, entry: LogEntry) -> None:
        """From its manifest; nothing else is read yet."""
        self.entry = entry
        self._time: dict[str, NDArray[np.float64]] = {}  # by file: columns are mostly read one at a time

    @property
    def tables(self) -> tuple[TableEntry, ...]:
        """One for each time base of each part."""
        return self.entry.tables

    def read(
        self, table: TableEntry, names: Sequence[str] | None = None
    ) -> tuple[NDArray[np.float64], dict[str, NDArray[Any]]]:
        """Time [s] (n,) and the raw columns asked for, all where none are named; NaN where nothing stands.

        Raises LogError where a name is not in the table or the file is damaged.
        """
        known = dict(
            zip((c.name for c in table.table.columns), parquet_names(table.table.columns), strict=True)
        )
        wanted = list(known) if names is None else list(names)
        if missing := [name for name in wanted if name not in known]:
            text = f"has no column {missing[0]!r}."
            raise LogError.of(self.entry.file_name, text, f"columns are {', '.join(known)}")
        time = self._time.get(table.parquet)
        columns = [known[name] for name in wanted]
        arrays = self._arrays(table.parquet, columns if time is not None else ["time", *columns])
        if time is None:
            time = self._time[table.parquet] = arrays.pop(0)
        return time, dict(zip(wanted, arrays, strict=True))

    def _arrays(self, file: str, columns: list[str]) -> list[NDArray[Any]]:
        """Columns of a file of the folder."""
        path = self.entry.folder / file
        try:
            # fetched ahead, the whole file would fill fresh memory before the first page is unpacked: twice the time
            with pq.ParquetFile(path, pre_buffer=False) as opened:
                data = opened.read(columns=columns, use_threads=True)
        except (OSError, ValueError) as reason:
            raise LogError.of(
                str(path), f"cannot be read: {reason}.", "import the original again; it lies in original/"
            ) from reason
        # asked for by name, since a name with a point in it brings others of the same beginning along
        return [data.column(name).to_numpy() for name in columns]

    def pyramid(self, table: TableEntry) -> Pyramid:
        """The min/max base of a table. Raises LogError where it is damaged."""
        path = self.entry.folder / table.pyramid
        try:
            return Pyramid.load(path)
        except (OSError, ValueError, KeyError) as reason:
            raise LogError.of(
                str(path), f"cannot be read: {reason}.", "import the original again; it lies in original/"
            ) from reason


def open_log(folder: Path | str) -> StoredLog:
    """The stored log in a folder. Raises LogError."""
    return StoredLog(read_manifest(Path(folder)))
