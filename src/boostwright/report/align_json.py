"""A log in time as JSON, in SI."""

from __future__ import annotations

import json
import math
from typing import Any

from boostwright import __version__
from boostwright.tasks.align_log import AlignedLog, ClockBound, ClockOffset, Clocks, LagUndone, NoOffset

__all__ = ["SCHEMA_VERSION", "align_document", "align_json"]

SCHEMA_VERSION = 1
"""Goes up by one when a reader of the old form would misread the new one."""


def align_json(log: AlignedLog, clocks: Clocks | None) -> str:
    """The text of the file, with a line feed at its end."""
    return json.dumps(align_document(log, clocks), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def align_document(log: AlignedLog, clocks: Clocks | None) -> dict[str, Any]:
    """The result as plain lists and tables; null for a number that is not there."""
    aligned = log.aligned
    return {
        "schema_version": SCHEMA_VERSION,
        "program": f"boostwright {__version__}",
        "log": log.log,
        "folder": log.folder,
        "build": log.build,
        "part": log.part,
        "notes": list(log.notes),
        "exhaust_flow": aligned.flow_words,
        "channels": [_channel(log, name) for name in aligned.sampled],
        "clock": None if clocks is None else _clocks(clocks),
    }


def _number(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def _channel(log: AlignedLog, name: str) -> dict[str, Any]:
    sampling, treatment = log.aligned.sampled[name], log.aligned.treatments[name]
    made: dict[str, Any] = {
        "channel": name,
        "sampled": sampling.kind,
        "samples": int(sampling.time.size),
        "period": _number(sampling.period),
        "jitter": _number(sampling.jitter),
        "rows_a_sample": _number(sampling.cycle),
        "slips": sampling.slips,
        "stamp_error": _number(sampling.stamp_error),
        "gaps": [[begin, end] for begin, end in sampling.gaps],
        "treatment": treatment.code,
        "words": treatment.words,
    }
    found = log.aligned.undone.get(name) or log.aligned.bounds.get(name)
    if isinstance(found, LagUndone):
        made["lag"] = {
            "reading_peak": _number(found.reading_peak),
            "peak": _number(found.peak),
            "peak_error": _number(found.peak_error),
            "noise": _number(found.noise),
            "noise_gain": _number(found.gain),
            "smoothed_over": _number(found.width),
        }
    elif found is not None:
        made["lag"] = {
            "reading_peak": _number(found.reading_peak),
            "highest": _number(found.highest),
            "lasting": _number(found.lasting),
            "why": found.why,
        }
    return made


def _clocks(clocks: Clocks) -> dict[str, Any]:
    return {
        "file": clocks.other,
        "found": clocks.best is not None,
        "bounded": clocks.bound is not None,
        "stored": clocks.stored,
        "notes": list(clocks.notes),
        "tried": [
            {"channel": one.first, "channel_of_file": one.second, **_result(one.result)}
            for one in clocks.tried
        ],
    }


def _result(result: ClockOffset | ClockBound | NoOffset) -> dict[str, Any]:
    """What one pair says; a bound has "low" and "high" but no "offset", so that nobody takes its middle for one."""
    if isinstance(result, NoOffset):
        return {"reason": result.reason, "words": result.words, "shifts": list(result.shifts)}
    keys: tuple[str, ...] = (
        "low", "high", "drift", "drift_error", "middle", "common", "period", "unexplained", "scale",
    )  # fmt: skip
    more: dict[str, Any] = (
        {"reason": f"bound-{result.why}", "shifts": []} if isinstance(result, ClockBound) else {}
    )
    if isinstance(result, ClockOffset):
        keys = ("offset", "standard_error", *keys, "lag", "unseen_lag")
    numbers = {key: _number(getattr(result, key)) for key in keys}
    return {**numbers, **more, "relation": result.relation, "words": result.words}
