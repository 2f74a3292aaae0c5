"""Import a log: kept whole with its hash, read into columns, each proposed as a channel or asked about."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from boostwright.errors import Fault
from boostwright.logs.importers.text import TextOptions
from boostwright.logs.mapping.answers import (
    Answer,
    apply_answers,
    apply_earlier,
    read_answer_file,
    read_answers,
)
from boostwright.logs.mapping.facts import Raw, facts_of
from boostwright.logs.mapping.kept import earlier_of_shape, read_mapping, save_mapping
from boostwright.logs.mapping.names import CHANNELS
from boostwright.logs.mapping.proposal import ASKED, NO_NUMBER, Proposal
from boostwright.logs.mapping.propose import propose, shape_of
from boostwright.logs.records import LogError
from boostwright.logs.store.keep import Kept, keep_log
from boostwright.logs.store.manifest import LogEntry
from boostwright.logs.store.reader import StoredLog, open_log
from boostwright.logs.store.writer import StoredTable

__all__ = [
    "CHANNELS",
    "NO_NUMBER",
    "FailedImport",
    "ImportOptions",
    "ImportResult",
    "ImportedLog",
    "Proposal",
    "TextOptions",
    "import_logs",
    "logs_folder",
]

_SAMPLE = 20_000


@dataclass(frozen=True)
class ImportOptions:
    """What the user says of the files.

    text       encoding, separator, decimal mark, unit of the time, rate; found out where not said
    databases  DBC files for raw CAN frames in ASAM MDF
    maps       "COLUMN=CHANNEL"; units: "COLUMN=UNIT BASIS" or "temperature=degC" for all that are asked
    answers    TOML file with the same
    again      read a file anew that was imported before
    """

    text: TextOptions = field(default_factory=TextOptions)
    databases: tuple[Path, ...] = ()
    maps: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    answers: Path | None = None
    again: bool = False


@dataclass(frozen=True)
class ImportedLog:
    """One file that was imported.

    entry     what lies in its folder; new: False where the same file was there before
    proposals its columns and what they are taken for
    shape     key of its names and units
    reused    name of the earlier log of the same shape whose mapping was taken, '' for none
    cleared   remains of killed imports that were removed
    faults    answers that fit no column of it; the log itself is kept
    """

    entry: LogEntry
    new: bool
    proposals: tuple[Proposal, ...]
    shape: str
    reused: str
    cleared: int
    faults: tuple[Fault, ...]

    @property
    def questions(self) -> tuple[Proposal, ...]:
        """Columns that wait for an answer."""
        return tuple(p for p in self.proposals if p.status == ASKED)


@dataclass(frozen=True)
class FailedImport:
    """A file of which nothing could be read, and why; nothing of it was kept."""

    file: Path
    faults: tuple[Fault, ...]


@dataclass(frozen=True)
class ImportResult:
    """What became of the files, in their order."""

    folder: Path
    logs: tuple[ImportedLog, ...]
    failed: tuple[FailedImport, ...]


def logs_folder(build: Path) -> Path:
    """The folder of a build's logs; raises LogError where there is no build."""
    folder = build.parent if build.name == "build.toml" else build
    if not (folder / "build.toml").is_file():
        raise LogError.of(
            str(build),
            "is no build: it has no build.toml.",
            "make one with boostwright new, or name a folder with --to",
        )
    return folder / "logs"


def import_logs(
    files: Sequence[Path | str], folder: Path, options: ImportOptions | None = None
) -> ImportResult:
    """Import files into a folder of logs, each into a folder of its own.

    files   logs as text or ASAM MDF
    folder  ``logs_folder(build)``, or any folder
    A file that cannot be read stands in ``failed``; the others are imported all the same. Raises LogError where the
    options themselves cannot be.
    """
    options = options or ImportOptions()
    answers = read_answers(options.maps, options.units)
    if options.answers is not None:
        answers = (*read_answer_file(options.answers), *answers)
    logs, failed = [], []
    for file in map(Path, files):
        try:
            logs.append(_import_one(file, folder, options, answers, strict=len(files) == 1))
        except LogError as error:
            failed.append(FailedImport(file, error.faults))
    return ImportResult(folder, tuple(logs), tuple(failed))


def _import_one(
    file: Path, folder: Path, options: ImportOptions, answers: tuple[Answer, ...], *, strict: bool
) -> ImportedLog:
    """One file; ``strict`` where an answer that fits no column of it is an error and not meant for another file."""
    kept = keep_log(file, folder, options.text, options.databases, again=options.again)
    raws = _raws(kept)
    facts = [facts_of(raw) for raw in raws]
    shape = shape_of(raws)
    before, _ = read_mapping(kept.entry.folder)
    reused = ""
    proposals = propose(raws)
    if before and not kept.new:
        said = {(p.part, p.group, p.column): p for p in before if p.status != ASKED}
        proposals = tuple(said.get((p.part, p.group, p.column), p) for p in proposals)
    else:
        earlier, reused = earlier_of_shape(folder, shape, kept.entry.folder)
        proposals = apply_earlier(proposals, earlier, facts, reused)
    known = {raw.name.lower() for raw in raws}
    wanted = answers if strict else tuple(a for a in answers if a.column.lower() in known)
    faults: tuple[Fault, ...] = ()
    try:
        proposals = apply_answers(proposals, wanted)
    except LogError as error:
        faults = error.faults
    save_mapping(kept.entry.folder, proposals, shape)
    return ImportedLog(kept.entry, kept.new, proposals, shape, reused, kept.cleared, faults)


def _raws(kept: Kept) -> tuple[Raw, ...]:
    """The raw columns with some rows each: from memory where they were just read, else from the store."""
    if kept.samples:
        return tuple(raw for one in kept.samples for raw in _from_memory(one))
    log = open_log(kept.entry.folder)
    return tuple(raw for one in range(len(log.tables)) for raw in _from_store(log, one))


def _from_memory(one: StoredTable) -> list[Raw]:
    time, values = one.sample.arrays()
    table = one.table
    return [
        Raw(
            table.part,
            table.group,
            c.name,
            c.unit,
            c.comment,
            tuple(table.states.get(k, ())),
            time,
            values[k],
        )
        for k, c in enumerate(table.columns)
    ]


def _from_store(log: StoredLog, index: int) -> list[Raw]:
    entry = log.tables[index]
    stride = max(1, entry.rows // _SAMPLE)
    table = entry.table
    raws = []
    for k, column in enumerate(table.columns):
        time, columns = log.read(entry, [column.name])
        values = np.asarray(columns[column.name][::stride], dtype=np.float64)
        words = tuple(table.states.get(k, ()))
        raws.append(
            Raw(
                table.part,
                table.group,
                column.name,
                column.unit,
                column.comment,
                words,
                time[::stride],
                values,
            )
        )
    return raws
