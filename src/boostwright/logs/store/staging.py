"""A folder that appears whole or not at all: filled under a name nobody looks at, then renamed in one step."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import shutil
import tempfile
import time
import unicodedata
from pathlib import Path
from types import TracebackType
from typing import IO

from boostwright.logs.records import LogError

__all__ = ["Staging", "clear_remains", "copy_with_hash", "log_name", "sync_folder"]

_PREFIX = ".import-"
_OLD = 86400.0  # a remnant without a lock to ask is taken for dead after a day [s]


def log_name(file: Path) -> str:
    """A folder name for a log: small letters, digits and dashes of the file's name."""
    plain = unicodedata.normalize("NFKD", file.stem).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:80] or "log"


def copy_with_hash(source: Path, target: Path) -> tuple[str, int]:
    """Copy a file, forced to the disk; its SHA-256 and size. Raises LogError where it cannot be read."""
    digest, size = hashlib.sha256(), 0
    try:
        with open(source, "rb") as file, open(target, "wb") as out:
            while chunk := file.read(1 << 20):
                digest.update(chunk)
                out.write(chunk)
                size += len(chunk)
            out.flush()
            os.fsync(out.fileno())
    except OSError as reason:
        raise LogError.of(
            source.name, f"cannot be copied: {reason.strerror}.", "check the disk, and the room on it"
        ) from reason
    with contextlib.suppress(OSError):
        shutil.copystat(source, target)
    return digest.hexdigest(), size


def sync_folder(folder: Path) -> None:
    """Force the names in a folder to the disk, where the system lets a folder be opened for that."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


class Staging:
    """The folder in the making; ``keep`` gives it its name. Left without that, it is removed."""

    def __init__(self, parent: Path) -> None:
        """Make it within ``parent``, which is made where it is missing. Raises LogError where that fails."""
        try:
            parent.mkdir(parents=True, exist_ok=True)
            self.folder = Path(tempfile.mkdtemp(prefix=_PREFIX, dir=parent))
            os.chmod(self.folder, 0o777 & ~_umask())
        except OSError as reason:
            raise LogError.of(
                str(parent), f"cannot be written to: {reason.strerror}.", "name another place"
            ) from reason
        self._parent = parent
        self._lock: IO[bytes] | None = _lock(self.folder)
        self._kept = False

    def __enter__(self) -> Staging:
        """Itself."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Remove what was not kept."""
        self._release()
        if not self._kept:
            shutil.rmtree(self.folder, ignore_errors=True)

    def _release(self) -> None:
        if self._lock is not None:
            self._lock.close()
            self._lock = None
        if not self._kept:
            (self.folder / ".lock").unlink(missing_ok=True)

    def keep(self, name: str) -> Path:
        """Give the folder its name, or that with a number where it is taken; the whole folder appears in one step."""
        for path in sorted(self.folder.rglob("*")):
            if path.is_file():
                _sync_file(path)
        for path in (self.folder, *(p for p in self.folder.rglob("*") if p.is_dir())):
            sync_folder(path)
        number = 1
        while True:
            target = self._parent / (name if number == 1 else f"{name}-{number}")
            number += 1
            if target.exists():
                continue
            try:
                self._release()
                os.rename(self.folder, target)
            except OSError as reason:
                if target.exists():
                    continue  # somebody was quicker
                text = f"cannot be made: {reason.strerror}."
                raise LogError.of(str(target), text, "check the disk it lies on") from reason
            self._kept = True
            sync_folder(self._parent)
            return target


def _sync_file(path: Path) -> None:
    with contextlib.suppress(OSError), open(path, "rb") as file:
        os.fsync(file.fileno())


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _lock(folder: Path) -> IO[bytes] | None:
    """A lock that the system lets go when the process ends, however it ends."""
    try:
        import fcntl
    except ImportError:
        return None
    file = open(folder / ".lock", "wb")  # noqa: SIM115  held until the folder is kept or removed
    fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    return file


def clear_remains(parent: Path) -> int:
    """Remove folders that a killed import left; those of an import still running stay. Returns how many went."""
    gone = 0
    for folder in parent.glob(f"{_PREFIX}*"):
        if folder.is_dir() and _is_dead(folder):
            shutil.rmtree(folder, ignore_errors=True)
            gone += not folder.exists()
    return gone


def _is_dead(folder: Path) -> bool:
    try:
        import fcntl

        with open(folder / ".lock", "rb") as file:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        return True
    except BlockingIOError:
        return False
    except (ImportError, OSError):
        pass
    try:
        return time.time() - folder.stat().st_mtime > _OLD
    except OSError:
        return False
