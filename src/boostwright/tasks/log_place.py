"""Find the log a command is asked about: its folder, its name in a build, or a file read on the fly."""

from __future__ import annotations

import shutil
import tempfile
import weakref
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from boostwright.build.build import Build
from boostwright.build.reader import BUILD_FILE, check_build, read_build
from boostwright.logs.mapping.channels import LogChannels, open_channels
from boostwright.logs.mapping.kept import read_mapping
from boostwright.logs.mapping.proposal import ASKED, Proposal
from boostwright.logs.records import LogError
from boostwright.logs.store.manifest import MANIFEST, LogEntry, find_by_hash, read_manifest
from boostwright.logs.store.staging import log_name
from boostwright.tasks.import_log import ImportOptions, import_logs

__all__ = ["LogPlace", "logs_of_build", "open_log_place"]

LOGS = "logs"


@dataclass(frozen=True)
class LogPlace:
    """A log that is open for questions.

    folder    where it is stored
    build     the build it belongs to, None where there is none or it cannot be read
    channels  the channels of one part of it, in SI
    part      number of that part, from 1
    parts     numbers of all its parts: files glued together, a clock that starts anew
    entry     what lies in the folder: file name, tables, what was mended on import
    questions columns that wait for an answer and are no channel until then
    notes     what a reader of the answer must know of the place, in sentences
    kept      False where the file was read on the fly; its folder is gone when this is
    """

    folder: Path
    build: Build | None
    channels: LogChannels
    part: int
    parts: tuple[int, ...]
    entry: LogEntry
    questions: tuple[Proposal, ...] = ()
    notes: tuple[str, ...] = ()
    kept: bool = True
    _holder: Any = field(default=None, repr=False, compare=False)

    @property
    def timed(self) -> bool:
        """False where the file left its times open: rows are counted, or nothing says what its clock counts in."""
        return not _asked_of_time(self.entry)

    @property
    def name(self) -> str:
        """What to call the log: the name of the file it came from."""
        return self.entry.file_name

    def of_part(self, part: int) -> LogPlace:
        """The same log, another part of it. Raises LogError where it has no such part."""
        if part not in self.parts:
            raise LogError.of(
                self.name, f"has no part {part}.", f"it has {', '.join(map(str, self.parts))}", str(part)
            )
        return replace(self, channels=_channels(self.folder, part, self._holder), part=part)


def open_log_place(
    what: Path | str, build: Path | None = None, options: ImportOptions | None = None, part: int = 0
) -> LogPlace:
    """Open the log that was named.

    what     the folder of an imported log; the name of one in the build; a build that has one log only; or a file,
             which is read to a temporary place where the build does not hold it already
    build    the build to look in and to take facts from; without it a log in a build's ``logs`` belongs to that build
    options  what the user says of a file that is read on the fly
    part     which part of the log; 0: the one with the most rows
    Raises LogError where there is no such log, BuildError where the build that was named cannot be used.
    """
    what = Path(what)
    home = None if build is None else _folder_of_build(build)
    known = None if home is None else read_build(home)
    if home is None and (what / BUILD_FILE).is_file():
        home = what
    if (what / MANIFEST).is_file():
        return _stored(what, known, part)
    if home is not None and (folder := _in_build(what, home)) is not None:
        return _stored(folder, known, part)
    if what.is_file():
        if home is not None and (entry := find_by_hash(home / LOGS, _sha256(what))) is not None:
            return _stored(entry.folder, known, part)
        return _on_the_fly(what, known, options, part)
    raise _no_log(what, home)


def logs_of_build(build: Path) -> tuple[LogEntry, ...]:
    """The logs that were imported into a build; those that cannot be read are passed over."""
    found = []
    for path in sorted((build / LOGS).glob(f"*/{MANIFEST}")):
        try:
            found.append(read_manifest(path.parent))
        except LogError:
            continue
    return tuple(found)


def _folder_of_build(build: Path) -> Path:
    return build.parent if build.name == BUILD_FILE and not build.is_dir() else build


def _in_build(what: Path, home: Path) -> Path | None:
    """The folder of a log by its name in the build, by the name of its file, or as the build's only one."""
    logs = logs_of_build(home)
    if what == home:
        return logs[0].folder if len(logs) == 1 else None
    if what.is_file() or len(what.parts) != 1:
        return None
    for entry in logs:
        if what.name in (entry.folder.name, entry.file_name):
            return entry.folder
    return next((e.folder for e in logs if e.folder.name == log_name(what)), None)


def _stored(folder: Path, build: Build | None, part: int) -> LogPlace:
    """A log in its folder; the build round it, where none was named."""
    notes: tuple[str, ...] = ()
    around = folder.resolve().parent
    if build is None and around.name == LOGS and (around.parent / BUILD_FILE).is_file():
        checked = check_build(around.parent)
        build = checked.build
        if build is None:
            notes = (
                f"The build round this log cannot be read ({len(checked.faults)} faults; see boostwright check "
                f"{around.parent.name}): nothing of it is used.",
            )
    return _open(folder, build, notes, part)


def _on_the_fly(file: Path, build: Build | None, options: ImportOptions | None, part: int) -> LogPlace:
    """A file into a temporary folder that lives as long as what is returned."""
    holder = _Holder()
    result = import_logs([file], holder.folder, options)
    for failed in result.failed:
        raise LogError(failed.faults)
    log = result.logs[0]
    if log.faults:
        raise LogError(log.faults)
    notes = ("Read from the file for this answer only; boostwright import keeps it, with what you settle.",)
    return _open(log.entry.folder, build, notes, part, holder)


def _channels(folder: Path, part: int, holder: _Holder | None) -> LogChannels:
    """The channels of a part; those of a temporary folder keep it there as long as they live."""
    channels = open_channels(folder, part)
    if holder is not None:
        weakref.finalize(
            channels, _let_go, holder
        )  # the finalizer holds the folder until the channels are gone
    return channels


def _open(
    folder: Path, build: Build | None, notes: Sequence[str], part: int, holder: _Holder | None = None
) -> LogPlace:
    entry = read_manifest(folder)
    proposals, _ = read_mapping(folder)
    rows: dict[int, int] = {}
    for table in entry.tables:
        rows[table.table.part] = max(rows.get(table.table.part, 0), table.rows)
    parts = tuple(sorted(rows))
    taken = part or max(parts, key=lambda one: (rows[one], -one), default=1)
    questions = tuple(p for p in proposals if p.status == ASKED)
    said = [
        *notes,
        *(f"Its times are not known, nor what goes by them: {text}" for text in _asked_of_time(entry)),
    ]
    if len(parts) > 1:
        said.append(
            f"The log has {len(parts)} parts on clocks of their own; this is part {taken}"
            f"{'' if part else ', the longest'}."
        )
    place = LogPlace(
        folder,
        build,
        _channels(folder, taken, holder),
        taken,
        parts,
        entry,
        questions,
        tuple(said),
        holder is None,
        holder,
    )
    return place if taken in parts else place.of_part(taken)


def _asked_of_time(entry: LogEntry) -> tuple[str, ...]:
    """What the import asked about the time, and was not told."""
    return tuple(note.text for note in entry.notes if note.code == "ask-time")


def _let_go(_holder: _Holder) -> None:
    """Nothing: that nobody refers to it any more is what removes the folder."""


class _Holder:
    """A temporary folder that goes when nobody holds this any more, at the latest with the program."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="boostwright-log-"))
        weakref.finalize(self, shutil.rmtree, self.folder, ignore_errors=True)


def _sha256(file: Path) -> str:
    import hashlib

    with open(file, "rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _no_log(what: Path, home: Path | None) -> LogError:
    if home is None:
        return LogError.of(
            str(what),
            "is no imported log and no file.",
            "name a log's folder, a file, or a log of a build with --build BUILD",
        )
    names = ", ".join(entry.folder.name for entry in logs_of_build(home))
    if what == home:
        text = "has several logs." if names else "has no logs."
        remedy = f"name one of them: {names}" if names else "import one with boostwright import"
        return LogError.of(str(what), text, remedy)
    remedy = f"the build has {names}" if names else "import one with boostwright import"
    return LogError.of(str(what), f"is no log of {home.name or home}, and no file.", remedy)
