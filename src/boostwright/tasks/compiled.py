"""Whether the solver is there as machine code, looked up without loading anything of it."""

from __future__ import annotations

from boostwright.numerics.code_cache import cache_directory

__all__ = ["looks_compiled"]


def looks_compiled() -> bool:
    """True where machine code of this very source lies in the user's cache folder.

    A quick look, for a page that wants to say what a wait is for; ``predict.needs_compiling`` reads the file itself.
    """
    folder = cache_directory()
    return any(folder.glob("kernel-*.code")) or any(folder.rglob("point.solve_batch*.nbi"))
