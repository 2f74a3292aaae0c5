"""Saving a file so that a crash at any moment leaves either the old one or the new one, never half of one."""

from __future__ import annotations

import contextlib
import os
import stat
from pathlib import Path

__all__ = ["ChangedMeanwhile", "save_atomically", "save_new", "sweep"]

_LEFT_BEHIND = 600.0  # seconds; a save takes well under one


class ChangedMeanwhile(OSError):
    """Another program wrote the file while it was being saved; it was left as that program wrote it."""


def save_atomically(path: Path, data: bytes, *, instead_of: bytes | None = None) -> None:
    """Replace the file at ``path`` (or make it) with ``data``.

    instead_of  what the file must still hold in the moment before it is replaced; None asks nothing
    The bytes go to a temporary file in the same folder, are forced to the disk, and take the name in one step.
    A symbolic link is followed, and the old file's permissions are kept. Raises OSError, with the old file whole
    and no temporary file left; ChangedMeanwhile where the file holds something else than ``instead_of``.
    """
    target = path.resolve()
    temporary = _written(target, data)
    try:
        if instead_of is not None and target.read_bytes() != instead_of:
            raise ChangedMeanwhile(f"{target.name} was changed by another program")
        with contextlib.suppress(FileNotFoundError):
            os.chmod(temporary, stat.S_IMODE(target.stat().st_mode))
        os.replace(temporary, target)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    _force_folder(target.parent)


def save_new(path: Path, data: bytes) -> None:
    """Write a file that must not exist yet; raises FileExistsError and changes nothing if it does."""
    temporary = _written(path, data)
    try:
        os.link(temporary, path)  # unlike a rename, this refuses to take the place of a file
    finally:
        temporary.unlink(missing_ok=True)
    _force_folder(path.parent)


def sweep(path: Path) -> None:
    """Take away temporary files that a killed program left beside the file at ``path`` more than ten minutes ago."""
    import time

    for left in path.parent.glob(f".{path.name}.*.part"):
        with contextlib.suppress(OSError):
            if time.time() - left.stat().st_mtime > _LEFT_BEHIND:
                left.unlink()


def _written(target: Path, data: bytes) -> Path:
    """A temporary file beside the target that holds the data, on the disk."""
    import tempfile  # slow to import, and most commands write nothing

    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".part", dir=target.parent)
    temporary = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, 0o666 & ~_umask())
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    return temporary


def _umask() -> int:
    """The permissions new files go without."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _force_folder(folder: Path) -> None:
    """Force the new name to the disk, where the system lets a folder be opened for that."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
