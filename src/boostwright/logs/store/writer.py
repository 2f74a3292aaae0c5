"""Rows into Parquet and the min/max base, as they come: memory holds no more than a row group of each table."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
from numpy.typing import NDArray

from boostwright.logs.records import Column, Rows, Table
from boostwright.logs.store.pyramid import PyramidWriter
from boostwright.logs.store.sample import Sample

__all__ = ["StoreWriter", "StoredTable", "parquet_names"]

_GROUP = 100_000
_PACKED = "lz4"
"""How columns are packed: a quarter to a half larger than with zstd, unpacked and written in half the time."""


@dataclass(frozen=True)
class StoredTable:
    """A table as it was written.

    parquet, pyramid  file names within the folder
    end               last stamp [s]; step: usual time between rows [s], NaN for one row
    low, high         extremes of each column, NaN where it holds no number
    sample            some of its rows, for judging
    """

    table: Table
    parquet: str
    pyramid: str
    rows: int
    end: float
    step: float
    low: tuple[float, ...]
    high: tuple[float, ...]
    sample: Sample


class StoreWriter:
    """Takes rows of any number of tables."""

    def __init__(self, folder: Path) -> None:
        """Write into ``folder``."""
        self._folder = folder
        self._open: dict[Table, _TableWriter] = {}

    def add(self, rows: Rows) -> None:
        """Write some rows."""
        writer = self._open.get(rows.table)
        if writer is None:
            writer = self._open[rows.table] = _TableWriter(self._folder, rows.table)
        writer.add(rows)

    def close(self) -> tuple[StoredTable, ...]:
        """Finish all files; the tables in their order."""
        done = [writer.close() for writer in self._open.values()]
        return tuple(sorted(done, key=lambda one: (one.table.part, one.table.group)))

    def abandon(self) -> None:
        """Let go of the files without finishing them, before the folder is removed or begun again."""
        for writer in self._open.values():
            writer.abandon()
        self._open.clear()


def parquet_names(columns: tuple[Column, ...]) -> list[str]:
    """Names of the Parquet columns: the raw names; one that is called time itself gets a number."""
    return ["time (2)" if column.name == "time" else column.name for column in columns]


class _TableWriter:
    def __init__(self, folder: Path, table: Table) -> None:
        self._table = table
        self._name = f"part-{table.part}-group-{table.group}"
        self._folder = folder
        kinds = [pa.float64() if column.wide else pa.float32() for column in table.columns]
        fields = [pa.field("time", pa.float64(), nullable=False)]
        fields += [
            pa.field(name, kind, nullable=False, metadata={"unit": column.unit, "comment": column.comment})
            for name, kind, column in zip(parquet_names(table.columns), kinds, table.columns, strict=True)
        ]
        self._schema = pa.schema(fields)
        self._file: IO[bytes] = open(folder / f"{self._name}.parquet", "wb")  # noqa: SIM115  closed in close()
        self._parquet: Any = pq.ParquetWriter(
            self._file,
            self._schema,
            compression=_PACKED,
            use_dictionary=False,
            use_byte_stream_split=True,
            write_statistics=False,
        )
        self._pyramid = PyramidWriter(len(table.columns))
        self.sample = Sample(len(table.columns))
        self._waiting: list[Rows] = []
        self._count = 0
        self.rows = 0
        self.end = 0.0

    def add(self, rows: Rows) -> None:
        """Take some rows."""
        self._waiting.append(rows)
        self._count += rows.time.size
        self.sample.add(rows)
        if self._count >= _GROUP:
            self._flush()

    def _flush(self) -> None:
        """Write what waits as one row group."""
        if not self._count:
            return
        time = _joined([rows.time for rows in self._waiting], np.float64)
        arrays = [
            _joined([rows.values[k] for rows in self._waiting], np.float64 if column.wide else np.float32)
            for k, column in enumerate(self._table.columns)
        ]
        batch = pa.record_batch([pa.array(time), *map(pa.array, arrays)], schema=self._schema)
        self._parquet.write_batch(batch, row_group_size=max(self._count, 1))
        self._pyramid.add(time, arrays)
        self.rows += self._count
        self.end = float(time[-1])
        self._waiting, self._count = [], 0

    def close(self) -> StoredTable:
        """Write what waits, and the min/max base; force both to the disk."""
        self._flush()
        self._parquet.close()
        self._file.flush()
        os.fsync(self._file.fileno())
        self._file.close()
        pyramid = f"{self._name}.minmax.npz"
        low, high = self._pyramid.save(self._folder / pyramid)
        return StoredTable(
            self._table,
            f"{self._name}.parquet",
            pyramid,
            self.rows,
            self.end,
            self.sample.step,
            tuple(low.tolist()),
            tuple(high.tolist()),
            self.sample,
        )

    def abandon(self) -> None:
        """Let go of the file."""
        self._file.close()


def _joined(parts: list[NDArray[Any]], kind: Any) -> NDArray[Any]:
    """One array of several."""
    whole = parts[0] if len(parts) == 1 else np.concatenate(parts)
    return np.ascontiguousarray(whole, dtype=kind)
