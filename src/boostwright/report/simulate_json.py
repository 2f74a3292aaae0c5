"""A simulated run as JSON: what was written, the stretches of the run, each log's channels and faults."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from boostwright import __version__
from boostwright.tasks.simulate import Simulated
from boostwright.tasks.simulate_write import WrittenRun

__all__ = ["SCHEMA_VERSION", "simulate_document", "simulate_json"]

SCHEMA_VERSION = 1
"""Goes up by one when a reader of the old form would misread the new one."""


def simulate_json(made: Simulated, written: WrittenRun) -> str:
    """The text of the file, with a line feed at its end."""
    return json.dumps(simulate_document(made, written), indent=1, ensure_ascii=False) + "\n"


def simulate_document(made: Simulated, written: WrittenRun) -> dict[str, Any]:
    """The result as plain lists and tables; the whole truth is in the file named under ``truth``."""
    return {
        "schema_version": SCHEMA_VERSION,
        "program": f"boostwright {__version__}",
        "invented": True,
        "build": made.build,
        "scenario": made.request.scenario,
        "instruments": made.kit.title,
        "seed": made.request.seed,
        "truth_model": made.request.truth,
        "seconds": float(made.run.time[-1]),
        "truth": str(written.truth),
        "true_channels": str(written.channels),
        "samples": str(written.samples),
        "stretches": [asdict(one) for one in made.run.stretches],
        "logs": [
            {
                "file": str(path),
                "logger": log.recorded.logger.name,
                "rows": int(log.recorded.samples.rows.size),
                "columns": [
                    {
                        "name": one.instrument.name,
                        "unit": one.instrument.unit,
                        "channel": one.instrument.channel,
                        "basis": one.instrument.basis,
                        "samples": int(one.taken.size),
                    }
                    for one in log.recorded.readings
                ],
                "faults": [
                    {"code": one.code, "channel": one.channel, "name": one.name, "words": one.words}
                    for one in (*log.recorded.faults, *told)
                ],
            }
            for log, path, told in zip(made.logs, written.logs, written.file_faults, strict=True)
        ],
    }
