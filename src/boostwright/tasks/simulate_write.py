"""Writing a simulated run: each log as its file, and the truth beside it."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from pathlib import Path

from boostwright import __version__
from boostwright.logs.made.faults import SimulationError
from boostwright.logs.made.recorded import RecordedFault
from boostwright.logs.made.write_mdf import mdf_bytes
from boostwright.logs.made.write_text import text_bytes
from boostwright.logs.made.write_truth import (
    INVENTED,
    samples_parquet,
    true_parquet,
    truth_document,
    truth_text,
)
from boostwright.saving import save_atomically
from boostwright.tasks.simulate import MadeLog, Simulated

__all__ = ["WrittenRun", "log_bytes", "write_simulated"]

_TRUE_STEP = 0.01  # s between two values of the true channels that are kept


@dataclass(frozen=True)
class WrittenRun:
    """What was written: the logs, the truth's JSON file and its two Parquet files, and the faults of the files."""

    logs: tuple[Path, ...]
    truth: Path
    channels: Path
    samples: Path
    file_faults: tuple[tuple[RecordedFault, ...], ...]


def log_bytes(made: Simulated, log: MadeLog) -> tuple[bytes, str, tuple[RecordedFault, ...]]:
    """The bytes of a log's file, the ending of its name, and the faults of the file that are in it."""
    about = _about(made, log)
    if log.recorded.logger.writing == "mdf":
        return mdf_bytes(log.recorded, about), ".mf4", ()
    data, told = text_bytes(log.recorded, about)
    return data, ".csv", told


def _about(made: Simulated, log: MadeLog) -> tuple[str, ...]:
    """What stands first in each file. No comma: it is a sign between fields in most of them."""
    request = made.request
    return (
        INVENTED.replace(",", ";"),
        f"boostwright {__version__}; build {made.build}; scenario {request.scenario}; seed {request.seed}; "
        f"truth {made.run.facts.get('truth', request.truth)}; logger {log.recorded.logger.name}".replace(
            ",", ";"
        ),
    )


def write_simulated(made: Simulated, folder: Path) -> WrittenRun:
    """Write the logs and the truth into a folder, which is made where it is missing.

    Where files of the same run by other instruments lie there already, these are named after their instruments too.
    Files of the same names are replaced. Raises SimulationError where that cannot be done.
    """
    if not made.request.kit_in_name and _of_another_kit(
        folder / f"{made.request.stem}.truth.json", made.kit.title
    ):
        made = _named_after_its_kit(made)
    files: list[tuple[Path, bytes]] = []
    told: list[tuple[RecordedFault, ...]] = []
    for log in made.logs:
        data, ending, faults = log_bytes(made, log)
        files.append((folder / f"{log.stem}{ending}", data))
        told.append(faults)
    stem = made.request.stem
    truth, channels, samples = (
        folder / f"{stem}.truth{end}" for end in (".json", ".parquet", ".samples.parquet")
    )
    files.append((channels, true_parquet(made.run, _TRUE_STEP)))
    files.append((samples, samples_parquet([log.recorded for log in made.logs])))
    files.append((truth, _truth(made, files, told).encode()))
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path, data in files:
            save_atomically(path, data)
    except OSError as reason:
        words = f"cannot be written: {reason.strerror}."
        raise SimulationError.of("--to", words, "name another folder", str(folder)) from reason
    return WrittenRun(tuple(p for p, _ in files[: len(made.logs)]), truth, channels, samples, tuple(told))


def _of_another_kit(truth: Path, title: str) -> bool:
    """True where a truth lies there that was logged by other instruments."""
    try:
        found = json.loads(truth.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(found, dict) and "instruments" in found and found["instruments"] != title


def _named_after_its_kit(made: Simulated) -> Simulated:
    request = replace(made.request, kit_in_name=True)
    behind = len(made.request.stem)
    logs = tuple(replace(log, stem=request.stem + log.stem[behind:]) for log in made.logs)
    return replace(made, request=request, logs=logs)


def _truth(made: Simulated, files: list[tuple[Path, bytes]], told: list[tuple[RecordedFault, ...]]) -> str:
    request = made.request
    asked = {
        "program": f"boostwright {__version__}",
        "build": made.build,
        "scenario": request.scenario,
        "instruments": made.kit.title,
        "seed": request.seed,
        "truth": made.run.facts.get("truth", request.truth),
        "settings": list(request.settings),
        "faults_asked": list(request.faults),
    }
    names = [path.name for path, _ in files]
    logs = [(log.recorded, name, faults) for log, name, faults in zip(made.logs, names, told, strict=False)]
    held = {
        "true_channels": f"{request.stem}.truth.parquet",
        "samples": f"{request.stem}.truth.samples.parquet",
    }
    return truth_text(truth_document(made.run, logs, asked, held))
