"""ASAM MDF files that the library has to read, read in a process of its own: a damaged file may fell the library.

What that process writes lies in the staging folder; what it has to say comes back through a pipe.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
from pathlib import Path
from typing import Any

from boostwright.logs.importers.mdf import read_mdf
from boostwright.logs.records import LogError, Note, Notes
from boostwright.logs.store.writer import StoredTable, StoreWriter

__all__ = ["main", "read_apart"]

_SECONDS, _SECONDS_A_MEGABYTE = 120.0, 2.0  # a reading that takes longer is a hang


def read_apart(
    path: Path, folder: Path, databases: tuple[Path, ...]
) -> tuple[tuple[Note, ...], tuple[StoredTable, ...]]:
    """Read a measurement file into a folder; raises LogError where it cannot be, or the library falls or hangs."""
    limit = _SECONDS + _SECONDS_A_MEGABYTE * path.stat().st_size / 1e6
    command = [sys.executable, "-m", __name__, str(path), str(folder), *map(str, databases)]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(entry for entry in sys.path if entry)}
    remedy = "the file is damaged: export it again, or export it as CSV"
    try:
        done = subprocess.run(command, capture_output=True, timeout=limit, env=environment, check=False)
    except subprocess.TimeoutExpired:
        raise LogError.of(path.name, "cannot be read: its structure leads nowhere.", remedy) from None
    if done.returncode != 0 or not done.stdout:
        raise LogError.of(path.name, "cannot be read: it felled the ASAM MDF library.", remedy)
    found, notes, tables = pickle.loads(done.stdout)
    if found is not None:
        raise LogError(found)
    return notes, tables


def main() -> None:
    """What the process of its own does: file, folder and databases are its arguments."""
    path, folder, *databases = map(Path, sys.argv[1:])
    notes, writer = Notes(), StoreWriter(folder)
    out = os.dup(1)
    os.dup2(2, 1)  # what a library prints must not get among the answer
    answer: tuple[Any, tuple[Note, ...], tuple[StoredTable, ...]]
    try:
        for rows in read_mdf(path, notes, tuple(databases)):
            writer.add(rows)
        answer = (None, notes.all(), writer.close())
    except LogError as error:
        answer = (error.faults, (), ())
    with os.fdopen(out, "wb") as pipe:
        pipe.write(pickle.dumps(answer))


if __name__ == "__main__":
    main()
