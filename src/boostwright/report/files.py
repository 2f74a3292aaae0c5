"""Writing what the user asked for: the whole file or nothing, and never over what describes the car."""

from __future__ import annotations

from pathlib import Path

from boostwright.errors import Fault, FaultyInput
from boostwright.saving import save_atomically

__all__ = ["OutputError", "check_output_file", "check_output_folder", "make_output_folder", "write_whole"]

_INPUT_SUFFIXES = frozenset({".toml"})


class OutputError(FaultyInput):
    """A file or folder the user named for output cannot be written; nothing was written."""


def _refuse(option: str, path: Path, message: str, remedy: str) -> OutputError:
    return OutputError([Fault(place=option, key="", value=str(path), message=message, remedy=remedy)])


def check_output_file(path: Path, option: str) -> None:
    """Refuse, before any work is done, a file that could not be written at its end.

    path    the file the user named
    option  the option it was named with, for the message
    Raises OutputError: a folder stands there, a file stands where its folder should be, or it is an input (a
    .toml file). A folder that is missing is made when the file is written.
    """
    if path.suffix.lower() in _INPUT_SUFFIXES:
        raise _refuse(
            option, path, "is the kind of file that describes a car or a part", "name a file of another kind"
        )
    if path.is_dir():
        raise _refuse(option, path, "is a folder", "name a file in it")
    check_output_folder(path.absolute().parent, option)


def check_output_folder(path: Path, option: str) -> None:
    """Refuse, before any work is done, a folder that could not be made. Raises OutputError."""
    standing = next(place for place in (path.absolute(), *path.absolute().parents) if place.exists())
    if not standing.is_dir():
        raise _refuse(
            option, path, "is a file, not a folder", "name a folder; it is made where it is missing"
        )


def make_output_folder(path: Path, option: str) -> None:
    """Make the folder and those above it where they are missing. Raises OutputError."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as reason:
        raise _refuse(option, path, f"cannot be made: {reason.strerror}", "name another place") from reason


def write_whole(path: Path, content: bytes | str, option: str) -> None:
    """Write a file in one step: a killed program leaves the old file or the new one, never half of one.

    path     the file; its folder is made where it is missing
    content  bytes as they are, text as UTF-8 with plain line feeds
    option   the option the file was named with, for the message
    Raises OutputError with the reason of the operating system.
    """
    data = content.encode("utf-8") if isinstance(content, str) else content
    if path.exists() and not path.is_file():
        _write_into(path, data, option)
        return
    make_output_folder(path.absolute().parent, option)
    try:
        save_atomically(path, data)
    except OSError as reason:
        raise _refuse(option, path, f"cannot be written: {reason.strerror}", "name another place") from reason


def _write_into(path: Path, data: bytes, option: str) -> None:
    """Write into a pipe or a device, which cannot be replaced."""
    try:
        path.write_bytes(data)
    except OSError as reason:
        raise _refuse(option, path, f"cannot be written: {reason.strerror}", "name another place") from reason
