"""Derived quantities beside their log: one Parquet file a time base, whole or not there."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq

from boostwright.logs.derived.catalogue import Derived, WorkedOut
from boostwright.logs.records import LogError

__all__ = ["FOLDER", "bases_of", "keep_derived"]

FOLDER = "derived"
"""Folder beside the log's own files."""


def bases_of(worked: WorkedOut) -> Mapping[str, tuple[Derived, ...]]:
    """Quantities by the channel that sets their pace; '' for those that hang on nothing logged."""
    found: dict[str, list[Derived]] = {}
    for derived in worked.made.values():
        found.setdefault(derived.pace, []).append(derived)
    return {pace: tuple(some) for pace, some in found.items()}


def keep_derived(folder: Path, worked: WorkedOut, texts: Mapping[str, str]) -> tuple[Path, ...]:
    """Write the quantities into ``folder/derived``, in place of what lay there.

    texts  further files by name, such as a JSON document
    Returns the files written. Raises LogError where the folder cannot be written; what was there is then still there.
    """
    target = folder / FOLDER
    try:
        staging = Path(tempfile.mkdtemp(prefix=f".{FOLDER}-", dir=folder))
    except OSError as reason:
        raise LogError.of(
            str(folder), f"cannot be written: {reason.strerror}.", "name another place"
        ) from reason
    try:
        names = [_write(staging, pace, some) for pace, some in bases_of(worked).items()]
        for name, text in texts.items():
            (staging / name).write_text(text, encoding="utf-8")
        _put_in_place(staging, target)
    except OSError as reason:
        raise LogError.of(
            str(target), f"cannot be written: {reason.strerror}.", "name another place"
        ) from reason
    finally:
        shutil.rmtree(staging, ignore_errors=True)
    return tuple(target / name for name in (*names, *texts))


def _put_in_place(staging: Path, target: Path) -> None:
    """The new folder where the old one stood."""
    staging.chmod(0o755)
    if target.exists():
        old = Path(tempfile.mkdtemp(prefix=f".{target.name}-old-", dir=target.parent))
        os.rename(target, old / target.name)
        os.rename(staging, target)
        shutil.rmtree(old, ignore_errors=True)
    else:
        os.rename(staging, target)


def _write(folder: Path, pace: str, some: tuple[Derived, ...]) -> str:
    """One time base: time, and each quantity with the ends of its 90 % band."""
    name = f"{pace or 'stated'}.parquet"
    fields = [pa.field("time", pa.float64(), metadata={"unit": "s"})]
    columns = [pa.array(some[0].time)]
    for derived in some:
        quantity = derived.quantity
        said = {
            "unit": quantity.unit,
            "words": quantity.words,
            "basis": quantity.basis,
            "formula": quantity.formula,
        }
        result = derived.result
        for ending, values in (("", result.value), ("_low", result.low), ("_high", result.high)):
            values = np.where(np.isfinite(values), values, np.nan)
            fields.append(pa.field(f"{quantity.name}{ending}", pa.float32(), metadata=said))
            columns.append(pa.array(values.astype(np.float32)))
    table = pa.Table.from_arrays(columns, schema=pa.schema(fields))
    pq.write_table(table, folder / name, compression="zstd")
    return name
