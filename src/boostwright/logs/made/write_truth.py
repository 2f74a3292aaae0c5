"""The truth beside a made log: a JSON file that says what it is made of, and the true channels as Parquet."""

from __future__ import annotations

import io
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq

from boostwright.logs.made.recorded import Recorded, RecordedFault
from boostwright.logs.made.true_run import Stretch, TrueRun

__all__ = [
    "INVENTED",
    "SCHEMA_VERSION",
    "fault_document",
    "samples_parquet",
    "true_parquet",
    "truth_document",
    "truth_text",
]

SCHEMA_VERSION = 1
"""Goes up by one when a reader of the old form would misread the new one."""

INVENTED = "Invented data, made by a model: no measurement, no evidence about any engine."
"""What every made log says of itself first."""


def truth_text(document: Mapping[str, Any]) -> str:
    """The JSON file's text."""
    return json.dumps(document, indent=1, ensure_ascii=False) + "\n"


def truth_document(
    run: TrueRun,
    logs: Sequence[tuple[Recorded, str, Sequence[RecordedFault]]],
    asked: Mapping[str, Any],
    files: Mapping[str, str],
) -> dict[str, Any]:
    """The truth of a run and what was logged of it, times in s and all else in SI.

    logs   each log with its file's name and the faults of the file
    asked  what it was made from: build, scenario, seed, which truth
    files  the Parquet files beside it, by what they hold
    """
    return {
        "schema_version": SCHEMA_VERSION,
        "what": INVENTED,
        **asked,
        "files": dict(files),
        "facts": dict(run.facts),
        "stretches": [_stretch(one) for one in run.stretches],
        "logs": [_log(run, log, name, told) for log, name, told in logs],
    }


def _stretch(one: Stretch) -> dict[str, Any]:
    return asdict(one)


def fault_document(fault: RecordedFault) -> dict[str, Any]:
    """A fault as a table; ``stretches`` is empty where it is so throughout."""
    return {
        "code": fault.code,
        "words": fault.words,
        "channel": fault.channel,
        "name": fault.name,
        **{f"{name}": value for name, value in fault.numbers.items()},
        **dict(fault.texts),
        "stretches": [list(pair) for pair in fault.stretches],
    }


def _log(run: TrueRun, log: Recorded, name: str, told: Sequence[RecordedFault]) -> dict[str, Any]:
    logger = log.logger
    return {
        "file": name,
        "logger": logger.name,
        "sampling": logger.sampling,
        "rate": logger.rate,
        "between": logger.between,
        "clock": {
            "offset": logger.offset,
            "drift": logger.drift,
            "first_row": float(log.samples.rows[0]),
            "words": "seconds from the first row = (true time - offset) * (1 + drift) - first_stamp",
            "first_stamp": float(log.stamps[0]),
        },
        "pulls": [
            {"start": a, "stop": b, "gear": one.gear, "ramp": one.ramp}
            for one in run.stretches
            if one.pull
            for a, b in [log.log_time(np.array([one.start, one.stop])).tolist()]
        ],
        "instruments": [_instrument(log, index) for index in range(len(log.readings))],
        "faults": [fault_document(one) for one in (*log.faults, *told)],
    }


def _instrument(log: Recorded, index: int) -> dict[str, Any]:
    """An instrument with what it does to its channel; what is not there is left out."""
    reading = log.readings[index]
    entry = {key: value for key, value in asdict(reading.instrument).items() if value not in (None, "")}
    for key in ("low", "high"):
        if not np.isfinite(entry[key]):
            del entry[key]
    entry["samples"] = int(reading.taken.size)
    return entry


def true_parquet(run: TrueRun, every: float) -> bytes:
    """The true channels as Parquet, a value each ``every`` seconds at least: float32, time float64."""
    stride = max(1, round(every / run.step))
    columns = {"time": pa.array(run.time[::stride])}
    for name, value in run.channels.items():
        columns[name] = pa.array(np.asarray(value[::stride], dtype=np.float32))
    return _parquet(pa.table(columns))


def samples_parquet(logs: Sequence[Recorded]) -> bytes:
    """Every sample as Parquet, one a row: logger, channel, true time, what was stored, what it would be without faults,
    and what was true; SI on the instrument's basis.
    """
    parts: dict[str, list[Any]] = {"logger": [], "channel": []}
    times, stored, clean, true = [], [], [], []
    for log in logs:
        for reading in log.readings:
            parts["logger"] += [log.logger.name] * reading.taken.size
            parts["channel"] += [reading.instrument.channel] * reading.taken.size
            times.append(reading.taken)
            stored.append(reading.value)
            clean.append(reading.clean)
            true.append(reading.at)
    words = {name: pa.array(column).dictionary_encode() for name, column in parts.items()}
    floats = {"stored": stored, "without_faults": clean, "true": true}
    columns = {"true_time": pa.array(np.concatenate(times))}
    columns |= {name: pa.array(np.concatenate(v).astype(np.float32)) for name, v in floats.items()}
    return _parquet(pa.table({**words, **columns}))


def _parquet(table: Any) -> bytes:
    table = table.replace_schema_metadata({"what": INVENTED})
    out = io.BytesIO()
    pq.write_table(table, out, compression="zstd")
    return out.getvalue()
