"""Where machine code is kept between runs: a folder of the user's cache, named after the source it was made from.

The compiler does not notice when a function in *another* file changes, so the folder's name carries a hash of every
source file of the package that holds compiled code: an edit anywhere starts a fresh cache.
"""

from __future__ import annotations

import functools
import hashlib
import os
from pathlib import Path

__all__ = ["cache_directory"]

_PACKAGE = Path(__file__).resolve().parent.parent
_COMPILED_FOLDERS = ("numerics", "physics", "solve")


def _compiler_version() -> bytes:
    """Contents of the compiler's own version file, found without importing it (that takes longer than a prediction)."""
    import importlib.util

    found = importlib.util.find_spec("numba")
    for folder in (found.submodule_search_locations or []) if found else []:
        path = Path(folder) / "_version.py"
        if path.is_file():
            return path.read_bytes()
    return b""


def _source_hash() -> str:
    digest = hashlib.sha256(_compiler_version())
    for folder in _COMPILED_FOLDERS:
        for path in sorted((_PACKAGE / folder).rglob("*.py")):
            digest.update(path.relative_to(_PACKAGE).as_posix().encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def _user_cache() -> Path:
    if configured := os.environ.get("BOOSTWRIGHT_CACHE"):
        return Path(configured)
    if os.name == "nt":
        return Path(os.environ.get("LOCALAPPDATA", str(Path.home()))) / "boostwright" / "cache"
    return Path(os.environ.get("XDG_CACHE_HOME", str(Path.home() / ".cache"))) / "boostwright"


@functools.cache
def cache_directory() -> Path:
    """Folder that holds the machine code of this very source; it need not exist yet."""
    return _user_cache() / f"compiled-{_source_hash()}"
