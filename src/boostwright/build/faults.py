"""Collecting faults and warnings with their place while a build is checked."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from boostwright.build.toml_text import KeyPath, as_written
from boostwright.errors import Fault

__all__ = ["Report", "in_file_order", "nearest"]


@dataclass
class Report:
    """Everything found wrong so far, and where keys stand.

    file      name of the file, for the place
    lines     path of a key -> its line
    broken    paths that stand there but could not be read: nothing more is said of them
    settings  path of a key -> the option it was given with, which is its place then
    """

    file: str
    lines: Mapping[KeyPath, int]
    broken: frozenset[KeyPath] = frozenset()
    settings: Mapping[KeyPath, str] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    warnings: list[Fault] = field(default_factory=list)

    def fault(self, path: KeyPath, value: Any, message: str, allowed: str = "", remedy: str = "") -> None:
        """Note something that is refused; ``value`` None when nothing stands there."""
        self.faults.append(self._made("error", path, value, message, allowed, remedy))

    def warn(self, path: KeyPath, value: Any, message: str, allowed: str = "", remedy: str = "") -> None:
        """Note something that is taken, but asked about."""
        self.warnings.append(self._made("warning", path, value, message, allowed, remedy))

    def line(self, path: KeyPath) -> int:
        """The line a key stands on; 0 when it does not."""
        return self.lines.get(path, 0)

    def _made(
        self, severity: str, path: KeyPath, value: Any, message: str, allowed: str, remedy: str
    ) -> Fault:
        place, line = self.place(path)
        shown = "" if value is None else as_written(value)
        return Fault(place, ".".join(path), shown, message, allowed, remedy, line, severity)

    def place(self, path: KeyPath) -> tuple[str, int]:
        """Where a key stands, in words, and its line; one that stands nowhere has its section named."""
        for depth in range(len(path), 0, -1):
            if path[:depth] in self.settings:
                return f"--set {self.settings[path[:depth]]}", 0
            line = self.line(path[:depth])
            if line and (depth > 1 or len(path) == 1):
                return f"{self.file}, line {line}", line
        for below, setting in self.settings.items():
            if path and below[: len(path)] == path:  # a section that only settings have made
                return f"--set {setting}", 0
        section = self.line(path[:1]) if path else 0
        if section:
            return f"{self.file}, section on line {section}", 0
        return self.file, 0


def nearest(word: str, words: Iterable[str]) -> str:
    """The known word most like this one, or nothing."""
    lower = {known.lower(): known for known in words}
    found = difflib.get_close_matches(word.lower(), lower, n=1, cutoff=0.6)
    return lower[found[0]] if found else ""


def in_file_order(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """In the order of the file; those of the whole file first, of missing keys last."""
    indexed = list(enumerate(faults))
    indexed.sort(key=lambda pair: (pair[1].line == 0 and bool(pair[1].key), pair[1].line, pair[0]))
    return tuple(fault for _, fault in indexed)
