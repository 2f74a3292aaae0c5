"""Imported logs as JSON: what was proposed, asked, taken, mended, and where it lies."""

from __future__ import annotations

import json
import math
from typing import Any

from boostwright import __version__
from boostwright.tasks.import_log import ImportedLog, ImportResult

__all__ = ["SCHEMA_VERSION", "import_document", "import_json"]

SCHEMA_VERSION = 1
"""Goes up by one when a reader of the old form would misread the new one."""


def import_json(result: ImportResult) -> str:
    """The text of the file, with a line feed at its end."""
    return json.dumps(import_document(result), indent=1, ensure_ascii=False) + "\n"


def import_document(result: ImportResult) -> dict[str, Any]:
    """The result as plain lists and tables."""
    return {
        "schema_version": SCHEMA_VERSION,
        "program": f"boostwright {__version__}",
        "folder": str(result.folder),
        "logs": [_log(log) for log in result.logs],
        "failed": [
            {
                "file": str(one.file),
                "faults": [{"message": f.message, "remedy": f.remedy, "place": f.place} for f in one.faults],
            }
            for one in result.failed
        ],
    }


def _log(log: ImportedLog) -> dict[str, Any]:
    entry = log.entry
    return {
        "file": entry.file_name,
        "size": entry.size,
        "sha256": entry.sha256,
        "folder": str(entry.folder),
        "new": log.new,
        "kind": entry.kind,
        "shape": log.shape,
        "reused_from": log.reused,
        "tables": [
            {
                "part": t.table.part,
                "group": t.table.group,
                "name": t.table.name,
                "time": t.table.time_name,
                "rows": t.rows,
                "seconds": t.end,
                "step": t.step if math.isfinite(t.step) else None,
                "parquet": t.parquet,
            }
            for t in entry.tables
        ],
        "columns": [
            {
                "part": p.part,
                "group": p.group,
                "column": p.column,
                "raw_unit": p.raw_unit,
                "status": p.status,
                "channel": p.choice.channel if p.choice else None,
                "unit": p.choice.unit if p.choice else None,
                "basis": p.choice.basis if p.choice else None,
                "confidence": p.confidence,
                "reason": p.reason,
                "question": p.question,
                "choices": [{"channel": c.channel, "unit": c.unit, "basis": c.basis} for c in p.choices],
            }
            for p in log.proposals
        ],
        "notes": [
            {"code": n.code, "text": n.text, "count": n.count, "places": list(n.places), "harm": n.harm}
            for n in entry.notes
        ],
        "faults": [{"message": f.message, "remedy": f.remedy, "place": f.place} for f in log.faults],
    }
