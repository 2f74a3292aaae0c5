"""What the server holds between requests: where builds lie, and which one is open."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any
from urllib.parse import unquote

__all__ = ["Desk"]


class Desk:
    """Where the builds lie and what is kept of them.

    root    folder below which builds are looked for
    opened  name of the build a page gets that names none; None for none
    kept    what a route keeps between requests, by its own name; take ``lock`` to change it
    saving  held while a build is written, so that two pages cannot write at once
    solving held while something is answered live
    """

    def __init__(self, root: Path, opened: str | None) -> None:
        """Nothing is read yet."""
        self.root, self.opened = root.resolve(), opened
        self._folders: dict[str, Path] = {}
        self.kept: dict[str, Any] = {}
        self.lock, self.saving, self.solving = threading.Lock(), threading.Lock(), threading.Lock()

    @property
    def compiling(self) -> bool:
        """True while the solver has still to be compiled for this machine."""
        from boostwright.tasks.compiled import looks_compiled

        return not looks_compiled()

    def warm(self) -> None:
        """Load what the first question would wait for."""
        if self.opened is not None:
            with self.solving:
                self.bench().answer(self.folder(None), {})

    def prime(self) -> None:
        """Make ready what the first change would wait for."""
        if self.opened is not None:
            self.bench().prime()

    def bench(self) -> Any:
        """What answers live, made at the first call."""
        from boostwright.tasks.live import LiveBench

        with self.lock:
            return self.kept.setdefault("bench", LiveBench())

    def named(self, header: str | None) -> Path:
        """Folder of the build that a request's header names, per cent encoded; see ``folder``."""
        return self.folder(None if header is None else unquote(header))

    def name_of(self, header: str | None) -> str:
        """Name of the build that a request means; empty where none is open."""
        return (self.opened or "") if header is None else unquote(header)

    def folder(self, name: str | None) -> Path:
        """Folder of a build by its name; None means the one that is open.

        Raises UnknownPart where there is none of that name: it is compared with the builds there are, and never
        becomes a path by itself.
        """
        from boostwright.tasks.builds_here import build_named, still_there

        wanted = self.opened if name is None else name
        known = self._folders.get(wanted or "")
        if known is None or not still_there(known):
            known = build_named(self.root, wanted)
            self._folders[wanted or ""] = known
        return known
