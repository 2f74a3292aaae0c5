"""What lies in a log's folder, as JSON: written last, so that a folder with one is whole."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from boostwright import __version__
from boostwright.logs.records import Column, LogError, Note, Table
from boostwright.logs.store.writer import StoredTable

__all__ = [
    "FORMAT",
    "MANIFEST",
    "LogEntry",
    "TableEntry",
    "find_by_hash",
    "manifest_document",
    "read_manifest",
]

FORMAT = 1
"""Goes up by one when a reader of the old form would misread the new one."""
MANIFEST = "manifest.json"


@dataclass(frozen=True)
class TableEntry:
    """A table of a stored log.

    table    its columns and what its time counts
    parquet  file name; pyramid: file name
    rows     how many; end: last stamp [s]; step: usual time between rows [s], NaN where there is one row
    low      smallest value of each column, high: largest, NaN where there is none
    """

    table: Table
    parquet: str
    pyramid: str
    rows: int
    end: float
    step: float
    low: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True)
class LogEntry:
    """A stored log: its folder, the file it came from, and what was said on the way."""

    folder: Path
    file_name: str
    size: int
    sha256: str
    kind: str
    options: dict[str, Any]
    tables: tuple[TableEntry, ...]
    notes: tuple[Note, ...]

    @property
    def original(self) -> Path:
        """The file as it came; where none was kept, the path is not there."""
        return self.folder / "original" / self.file_name


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None


def manifest_document(
    file_name: str,
    size: int,
    sha256: str,
    kind: str,
    options: dict[str, Any],
    tables: tuple[StoredTable, ...],
    notes: tuple[Note, ...],
) -> str:
    """The text of the manifest."""
    return (
        json.dumps(
            {
                "format": FORMAT,
                "program": f"boostwright {__version__}",
                "file": {"name": file_name, "size": size, "sha256": sha256, "kind": kind},
                "options": options,
                "tables": [_table(one) for one in tables],
                "notes": [
                    {
                        "code": n.code,
                        "text": n.text,
                        "count": n.count,
                        "places": list(n.places),
                        "harm": n.harm,
                    }
                    for n in notes
                ],
            },
            indent=1,
            ensure_ascii=False,
        )
        + "\n"
    )


def _table(one: StoredTable) -> dict[str, Any]:
    table = one.table
    return {
        "part": table.part,
        "group": table.group,
        "name": table.name,
        "parquet": one.parquet,
        "minmax": one.pyramid,
        "rows": one.rows,
        "time": {
            "name": table.time_name,
            "origin": table.time_origin,
            "start": table.start,
            "unit": "s",
            "end": one.end,
            "step": _number(one.step),
        },
        "columns": [
            {
                "name": column.name,
                "unit": column.unit,
                "comment": column.comment,
                "states": table.states.get(k, []),
                "low": _number(one.low[k]),
                "high": _number(one.high[k]),
            }
            for k, column in enumerate(table.columns)
        ],
    }


def read_manifest(folder: Path) -> LogEntry:
    """The log in a folder; raises LogError where there is none, or of a later form."""
    path = folder / MANIFEST
    try:
        document = json.loads(path.read_text(encoding="utf-8"))
        if document["format"] > FORMAT:
            raise LogError.of(str(path), "was written by a later boostwright.", "update boostwright")
        file = document["file"]
        return LogEntry(
            folder,
            file["name"],
            file["size"],
            file["sha256"],
            file["kind"],
            document["options"],
            tuple(_entry(one) for one in document["tables"]),
            tuple(
                Note(n["code"], n["text"], n["count"], tuple(n["places"]), n["harm"])
                for n in document["notes"]
            ),
        )
    except FileNotFoundError:
        raise LogError.of(
            str(folder), "holds no imported log.", "import it with boostwright import"
        ) from None
    except (OSError, ValueError, KeyError, TypeError) as reason:
        text = f"cannot be read: {reason}."
        raise LogError.of(str(path), text, "import the original again; it lies in original/") from reason


def _entry(one: dict[str, Any]) -> TableEntry:
    columns = tuple(Column(c["name"], c["unit"], c["comment"]) for c in one["columns"])
    states = {k: c["states"] for k, c in enumerate(one["columns"]) if c["states"]}
    time = one["time"]
    table = Table(
        one["part"], one["group"], one["name"], columns, time["name"], time["origin"], time["start"], states
    )

    def numbers(key: str) -> tuple[float, ...]:
        return tuple(math.nan if c[key] is None else c[key] for c in one["columns"])

    step = math.nan if time["step"] is None else time["step"]
    return TableEntry(
        table, one["parquet"], one["minmax"], one["rows"], time["end"], step, numbers("low"), numbers("high")
    )


def find_by_hash(parent: Path, sha256: str, told: Mapping[str, Any] | None = None) -> LogEntry | None:
    """The log among those in a folder that came from a file with this hash; broken ones are passed over.

    told  options it must have been read with; of several the one that was told most
    """
    found: LogEntry | None = None
    for path in sorted(parent.glob(f"*/{MANIFEST}")):
        try:
            entry = read_manifest(path.parent)
        except LogError:
            continue
        fits = entry.sha256 == sha256 and (told or {}).items() <= entry.options.items()
        if fits and (found is None or len(entry.options) > len(found.options)):
            found = entry
    return found
