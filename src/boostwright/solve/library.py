"""A kernel's object file as a library: read from the cache, made first where it is missing."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Mapping, Sequence

from boostwright.numerics.object_code import (
    Library,
    NotSelfContained,
    make_object,
    object_path,
    read_object,
    save_object,
    supported,
)

__all__ = ["library_of", "plain_python"]


def plain_python() -> bool:
    """True where the compiler is switched off and kernels run as Python."""
    return os.environ.get("NUMBA_DISABLE_JIT", "0") not in ("", "0")


def library_of(
    name: str, made: Callable[[], dict[str, tuple[str, str]]], functions: Mapping[str, Sequence[type]]
) -> Library | None:
    """The object file of a kernel; None where its functions are to be called directly.

    name       of the file
    made       makes its intermediate code; called, and the compiler imported, only where the file is missing
    functions  what stands in it, with the kinds of its arguments
    """
    if plain_python() or not supported():
        return None
    path = object_path(name)
    code = read_object(path)
    if code is None:
        try:
            code = make_object(made())
        except NotSelfContained:
            return None
        with contextlib.suppress(OSError):  # a cache that cannot be written only costs the next run its time
            save_object(path, code)
    return Library(code, functions)
