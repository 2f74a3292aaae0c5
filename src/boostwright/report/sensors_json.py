"""Sensor checks of a log as JSON, in SI: the faults with their evidence, and the checks that were and were not made."""

from __future__ import annotations

import json
import math
from typing import Any

from boostwright import __version__
from boostwright.tasks.check_sensors import CheckedSensors, PartSensors, SensorFault

__all__ = ["SCHEMA_VERSION", "sensors_document", "sensors_json"]

SCHEMA_VERSION = 1
"""Goes up by one when a reader of the old form would misread the new one."""


def sensors_json(checked: CheckedSensors) -> str:
    """The text of the file, with a line feed at its end."""
    return json.dumps(sensors_document(checked), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def sensors_document(checked: CheckedSensors) -> dict[str, Any]:
    """The result as plain lists and tables; null for a number that is not there."""
    return {
        "schema_version": SCHEMA_VERSION,
        "program": f"boostwright {__version__}",
        "log": checked.log,
        "folder": checked.folder,
        "build": checked.build,
        "notes": list(checked.notes),
        "questions": list(checked.questions),
        "parts": [_part(one) for one in checked.parts],
    }


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _part(part: PartSensors) -> dict[str, Any]:
    report = part.report
    return {
        "part": part.part,
        "faults": [_fault(fault) for fault in report.faults],
        "made": list(report.made),
        "not_made": [{"check": n.check, "missing": list(n.missing), "why": n.why} for n in report.not_made],
        "notes": list(report.notes),
    }


def _fault(fault: SensorFault) -> dict[str, Any]:
    where = fault.where
    return {
        "code": fault.code,
        "channels": list(fault.channels),
        "what": fault.what,
        "certainty": round(fault.certainty, 4),
        "sure": fault.sure,
        "where": {
            "start": _number(where.start),
            "end": _number(where.end),
            "engine_speed_low": _number(where.speed_low),
            "engine_speed_high": _number(where.speed_high),
        },
        "evidence": [
            {"words": e.words, "value": _number(e.value), "unit": e.unit, "difference": e.step}
            for e in fault.evidence
        ],
        "physics": fault.physics,
        "others": list(fault.others),
        "check": fault.check,
    }
