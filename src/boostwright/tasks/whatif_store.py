"""Rows of a long what-if kept on disk batch by batch, so that a run that was stopped can go on.

One line a batch, each with its check sum, written in one piece and forced to the disk. What a killed run has half
written is cut off when the file is read again, and said.
"""

from __future__ import annotations

import hashlib
import json
import os
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from boostwright import __version__
from boostwright.build import Build
from boostwright.errors import Fault
from boostwright.tasks.whatif_result import FIGURES, Case, Row
from boostwright.tasks.whatif_spec import WhatIfError

__all__ = ["Kept", "RowStore", "key_of_run", "program_digest"]

_FORMAT = 1
_PACKAGE = Path(__file__).resolve().parents[1]


@dataclass(frozen=True)
class Kept:
    """What a store holds: the rows of the first cases, and how many bytes of damage were cut off behind them."""

    rows: tuple[Row, ...]
    cut_off: int


@cache
def program_digest() -> str:
    """Hash of the program and the cards it ships: other code may give other numbers."""
    digest = hashlib.sha256(__version__.encode())
    for path in sorted([*_PACKAGE.rglob("*.py"), *_PACKAGE.rglob("*.toml"), *_PACKAGE.rglob("*.csv")]):
        digest.update(path.relative_to(_PACKAGE).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()


def key_of_run(
    build: Build, speeds: np.ndarray[Any, Any], between: Sequence[float], cases: Sequence[Case]
) -> str:
    """Hash of everything the rows hang on: program, build file, its own cards, settings, speeds and cases."""
    digest = hashlib.sha256(program_digest().encode())
    digest.update(build.source.digest.encode())
    folder = build.folder / "cards"
    for path in sorted(folder.rglob("*")) if folder.is_dir() else ():
        if path.is_file():
            digest.update(path.relative_to(folder).as_posix().encode())
            digest.update(path.read_bytes())
    told = [
        build.source.settings,
        np.asarray(speeds).tolist(),
        list(between),
        [case.settings for case in cases],
    ]
    digest.update(json.dumps(told).encode())
    return digest.hexdigest()[:32]


class RowStore:
    """The file of one run, in the ``whatif`` folder of its build."""

    def __init__(self, folder: Path, key: str, cases: Sequence[Case]) -> None:
        """For a build's folder, the run's key and its cases in order; nothing is touched yet."""
        self.path = folder / "whatif" / f"{key}.rows"
        self._key, self._cases = key, cases

    @property
    def exists(self) -> bool:
        """True when some of this run is there already."""
        return self.path.is_file()

    def begin(self) -> None:
        """Make the file anew. Raises WhatIfError where it cannot be."""
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            self.path.write_bytes(b"")
        except OSError as error:
            raise self._cannot(error) from error
        self._append({"boostwright what-if": _FORMAT, "key": self._key, "cases": len(self._cases)})

    def add(self, rows: Sequence[Row]) -> None:
        """Put a batch behind those that are there. Raises WhatIfError where the disk refuses."""
        self._append({"first": rows[0].number, "rows": [_packed(row) for row in rows]})

    def read(self) -> Kept:
        """The rows that are whole, with whatever lies behind them cut off the file. Raises WhatIfError."""
        try:
            data = self.path.read_bytes()
        except OSError as error:
            raise self._cannot(error) from error
        rows: list[Row] = []
        good = 0
        for line in data.splitlines(keepends=True):
            part = _checked(line)
            if part is None or not self._fits(part, good, len(rows)):
                break
            rows += [_unpacked(packed, self._cases) for packed in part.get("rows", ())]
            good += len(line)
        if good == 0:
            self.begin()
        elif good < len(data):
            try:
                with self.path.open("r+b") as file:
                    file.truncate(good)
                    os.fsync(file.fileno())
            except OSError as error:
                raise self._cannot(error) from error
        return Kept(tuple(rows), len(data) - good)

    def _fits(self, part: dict[str, Any], good: int, have: int) -> bool:
        if good == 0:
            return part.get("key") == self._key and part.get("boostwright what-if") == _FORMAT
        return part.get("first") == have

    def _append(self, part: dict[str, Any]) -> None:
        body = json.dumps(part, separators=(",", ":")).encode()
        line = b"%08x %s\n" % (zlib.crc32(body), body)
        try:
            handle = os.open(self.path, os.O_WRONLY | os.O_APPEND)
            try:
                os.write(handle, line)
                os.fsync(handle)
            finally:
                os.close(handle)
        except OSError as error:
            raise self._cannot(error) from error

    def _cannot(self, error: OSError) -> WhatIfError:
        message = f"cannot be used to keep the results in ({error.strerror})."
        return WhatIfError(
            [Fault(str(self.path), "", "", message, remedy="See to the folder whatif of the build.")]
        )


def _checked(line: bytes) -> dict[str, Any] | None:
    """What a line says; None where it is not whole."""
    if not line.endswith(b"\n") or len(line) < 10 or line[8:9] != b" ":
        return None
    body = line[9:-1]
    try:
        if int(line[:8], 16) != zlib.crc32(body):
            return None
        part = json.loads(body)
    except ValueError:
        return None
    return part if isinstance(part, dict) else None


def _packed(row: Row) -> list[Any]:
    figures = [row.figures[name] for name in FIGURES] if row.figures else []
    return [row.number, figures, dict(row.exceeded), dict(row.unsteady), list(row.asked), row.reason]


def _unpacked(packed: list[Any], cases: Sequence[Case]) -> Row:
    number, figures, exceeded, unsteady, asked, reason = packed
    return Row(
        number,
        cases[number],
        dict(zip(FIGURES, figures, strict=True)) if figures else {},
        {name: (low, high) for name, (low, high) in exceeded.items()},
        {name: (low, high) for name, (low, high) in unsteady.items()},
        tuple(asked),
        reason,
    )
