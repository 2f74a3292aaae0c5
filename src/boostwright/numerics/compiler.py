"""The one door to the compiler.

``compiled`` turns a function of floats and arrays into machine code and keeps the result in the user's cache
folder. The compiler does not notice when a function in *another* file changes, so the cache folder's name carries a
hash of every source file of the package that holds compiled code: an edit anywhere starts a fresh cache.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import numba

__all__ = ["cache_directory", "compiled"]

_PACKAGE = Path(__file__).resolve().parent.parent
_COMPILED_FOLDERS = ("numerics", "physics", "solve")
_Function = TypeVar("_Function", bound=Callable[..., Any])


def _source_hash() -> str:
    digest = hashlib.sha256(numba.__version__.encode())
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


def cache_directory() -> Path:
    """Folder that holds the machine code of this very source; it need not exist yet."""
    return _user_cache() / f"compiled-{_source_hash()}"


numba.config.CACHE_DIR = str(cache_directory())


def compiled(function: _Function) -> _Function:
    """Compile ``function`` for floats and arrays, cached between runs, releasing the interpreter lock.

    Division by zero and overflow follow IEEE arithmetic (no exceptions inside kernels); a kernel that can meet them
    must test for them itself.
    """
    dispatcher: _Function = numba.njit(cache=True, nogil=True, error_model="numpy")(function)
    return dispatcher
