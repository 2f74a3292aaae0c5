"""Pulls of a log as JSON, in SI: the pulls with their state and figures, what was not taken, by which rules."""

from __future__ import annotations

import json
import math
from dataclasses import asdict
from typing import Any

from boostwright import __version__
from boostwright.tasks.find_pulls import FoundPulls, NotTaken, PartPulls, Pull

__all__ = ["SCHEMA_VERSION", "pulls_document", "pulls_json"]

SCHEMA_VERSION = 1
"""Goes up by one when a reader of the old form would misread the new one."""


def pulls_json(found: FoundPulls) -> str:
    """The text of the file, with a line feed at its end."""
    return json.dumps(pulls_document(found), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def pulls_document(found: FoundPulls) -> dict[str, Any]:
    """The result as plain lists and tables; null for a number that is not there."""
    return {
        "schema_version": SCHEMA_VERSION,
        "program": f"boostwright {__version__}",
        "log": found.log,
        "folder": found.folder,
        "build": found.build,
        "rules": asdict(found.rules),
        "notes": list(found.notes),
        "questions": list(found.questions),
        "parts": [_part(one) for one in found.parts],
    }


def _part(part: PartPulls) -> dict[str, Any]:
    search = part.search
    return {
        "part": part.part,
        "pulls": [_pull(one) for one in search.pulls],
        "not_taken": [_stretch(one) for one in search.not_taken],
        "ordinary": search.ordinary,
        "throttle": search.throttle,
        "gears": search.gears,
        "notes": list(search.notes),
    }


def _pull(pull: Pull) -> dict[str, Any]:
    return {key: _plain(value) for key, value in asdict(pull).items()}


def _stretch(stretch: NotTaken) -> dict[str, Any]:
    return {key: _plain(value) for key, value in asdict(stretch).items()}


def _plain(value: Any) -> Any:
    """Tuples as lists, no number as null."""
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    return value
