"""Saving changes of a build: through the comment-keeping writer, in one step, and never over what others wrote."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from boostwright.build.encoding import LARGEST_FILE, decode
from boostwright.build.reader import BUILD_FILE, check_bytes
from boostwright.build.settings import apply_settings, split_setting
from boostwright.build.toml_spots import setting_text
from boostwright.build.toml_text import KeyPath, parse_text
from boostwright.build.writer import edited_bytes
from boostwright.errors import BuildError, Fault
from boostwright.saving import ChangedMeanwhile, save_atomically, sweep
from boostwright.tasks.check_build import faults_of_meaning
from boostwright.tasks.form import settings_of

__all__ = ["Conflict", "ConflictKey", "Saved", "read_stamped", "save_changes", "stamp_of"]


@dataclass(frozen=True)
class Saved:
    """A save that was made; ``stamp`` is that of the file as it now is, ``data`` its bytes."""

    stamp: str
    data: bytes


@dataclass(frozen=True)
class ConflictKey:
    """A key on which the file and the changes do not agree, or that others changed.

    mine    what the changes would put there; None takes it out
    theirs  what stands in the file now; None for nothing
    was     what stood there when the form was read; None for nothing, or where that is not known
    both    True where the changes touch it too
    """

    key: str
    mine: str | None
    theirs: str | None
    was: str | None
    both: bool


@dataclass(frozen=True)
class Conflict:
    """The file is not the one that was read, and nothing was written; ``stamp`` is that of the file as it now is."""

    keys: tuple[ConflictKey, ...]
    stamp: str
    data: bytes


def stamp_of(data: bytes) -> str:
    """SHA-256 of a file's bytes, hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def read_stamped(folder: Path) -> tuple[bytes, str]:
    """Bytes of the build's file and their stamp. Raises BuildError where it cannot be read."""
    path = folder / BUILD_FILE
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise BuildError([Fault(BUILD_FILE, "", "", "is larger than any build file.")])
        data = path.read_bytes()
    except OSError as error:
        message = f"cannot be read ({error.strerror})."
        remedy = "Put it back; the page keeps what you have changed."
        raise BuildError([Fault(BUILD_FILE, "", "", message, remedy=remedy)]) from error
    return data, stamp_of(data)


def save_changes(
    folder: Path, changes: Mapping[str, str | None], stamp: str, as_read: bytes | None = None
) -> Saved | Conflict:
    """Write changes into a build's file, if it is still the one that was read.

    changes  dotted key -> text as it would stand in the file without quotes; None takes the key out
    stamp    that of the file the changes were made on
    as_read  that file's bytes where they are known, to say what others changed since
    A build without fault must stay so; one with faults may be mended fault by fault, but no changed key may have one.
    Raises BuildError with every fault; nothing on disk is changed then, nor in a conflict, nor when the disk is full.
    """
    data, now = read_stamped(folder)
    if now != stamp:
        return _conflict(changes, data, now, as_read)
    settings = settings_of(changes)
    if not settings:
        return Saved(now, data)
    path = folder / BUILD_FILE
    new = edited_bytes(data, settings)
    if new == data:
        return Saved(now, data)
    _refuse(path, changes, data, new)
    try:
        sweep(path)
        save_atomically(path, new, instead_of=data)
    except ChangedMeanwhile:
        data, now = read_stamped(folder)
        return _conflict(changes, data, now, as_read)
    except OSError as error:
        message = f"cannot be written ({error.strerror or error})."
        remedy = (
            "Make room on the disk, or let the folder be written to, and save again. Nothing was changed."
        )
        raise BuildError([Fault(BUILD_FILE, "", "", message, remedy=remedy)]) from error
    return Saved(stamp_of(new), new)


def _refuse(path: Path, changes: Mapping[str, str | None], data: bytes, new: bytes) -> None:
    """Raise BuildError where the changes bring faults into the file."""
    after = _faults(path, new)
    if not after:
        return
    if not _faults(path, data):
        raise BuildError(after)
    if own := [fault for fault in after if _is_changed(fault, changes)]:
        raise BuildError(own)


def _faults(path: Path, data: bytes) -> tuple[Fault, ...]:
    """Everything wrong with a build file of these bytes."""
    checked = check_bytes(data, path)
    return checked.faults if checked.build is None else faults_of_meaning(checked.build)


def _is_changed(fault: Fault, changes: Mapping[str, str | None]) -> bool:
    """Whether a fault is that of a text in the changes."""
    return any(
        text and (fault.key == key or fault.key.startswith(f"{key}.")) for key, text in changes.items()
    )


def _conflict(changes: Mapping[str, str | None], data: bytes, stamp: str, as_read: bytes | None) -> Conflict:
    """What the file, the changes and the file as it was read say of each key that is not the same in all."""
    theirs = _leaves(_data(data))
    was = None if as_read is None else _leaves(_data(as_read))
    mine = _mine(changes, _data(data))
    keys: dict[KeyPath, None] = dict.fromkeys(path for path, text in mine.items() if theirs.get(path) != text)
    if was is not None:
        keys |= dict.fromkeys(path for path in {**was, **theirs} if was.get(path) != theirs.get(path))
    found = [
        ConflictKey(
            ".".join(path),
            mine.get(path),
            theirs.get(path),
            None if was is None else was.get(path),
            path in mine,
        )
        for path in keys
    ]
    return Conflict(tuple(found), stamp, data)


def _data(data: bytes) -> dict[str, Any]:
    text, _ = decode(data, BUILD_FILE)
    return parse_text(text, BUILD_FILE).data


def _mine(changes: Mapping[str, str | None], data: Mapping[str, Any]) -> dict[KeyPath, str | None]:
    """What the changes put at each key."""
    found: dict[KeyPath, str | None] = {}
    for setting in settings_of(changes):
        try:
            path, text = split_setting(setting)
        except ValueError:
            continue
        value = _leaves(apply_settings(data, [setting]).data)
        found[path] = value.get(path, text or None) if text else None
    return found


def _leaves(data: Mapping[str, Any]) -> dict[KeyPath, str]:
    """Section and key -> the value's text."""
    found: dict[KeyPath, str] = {}
    for name, value in data.items():
        if not isinstance(value, Mapping):
            found[name,] = setting_text(value)
            continue
        for key, inner in value.items():
            found[name, key] = setting_text(inner)
    return found
