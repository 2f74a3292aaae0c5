"""TOML with the line on which each key stands.

The standard library's reader gives values without places, and an error without a line is of little use to
whoever has to mend the file. The values come from ``tomllib``; this file adds a second, much simpler pass
that only follows keys and table headers.
"""

from __future__ import annotations

import re
import tomllib
from typing import Any

__all__ = ["TomlFault", "key_lines", "read_toml"]

_KEY_PART = re.compile(r"""\s*(?:"((?:[^"\\]|\\.)*)"|'([^']*)'|([A-Za-z0-9_-]+))\s*""")
_PLACE_IN_MESSAGE = re.compile(r"\(at line (\d+), column (\d+)\)")


class TomlFault(ValueError):
    """The text is no TOML; ``line`` is where the reader stopped (0 when at the end), ``what`` says why."""

    def __init__(self, what: str, line: int) -> None:
        """Keep both parts."""
        self.what = what
        self.line = line
        super().__init__(f"line {line}: {what}" if line else what)


def read_toml(text: str) -> tuple[dict[str, Any], dict[tuple[str, ...], int]]:
    """Parse ``text``; return its data and the line number of every key and table, by path of names.

    Entries of an array of tables have their index, as text, in the path: ``("probe", "0", "diameter")``.
    Raises TomlFault.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        place = _PLACE_IN_MESSAGE.search(message)
        line = int(place.group(1)) if place else text.count("\n") + 1
        raise TomlFault(
            _PLACE_IN_MESSAGE.sub("", message).replace("(at end of document)", "").strip(), line
        ) from error
    return data, key_lines(text)


def key_lines(text: str) -> dict[tuple[str, ...], int]:
    """Line number (from 1) of every key and table header of a text that is known to be valid TOML."""
    lines: dict[tuple[str, ...], int] = {}
    counts: dict[tuple[str, ...], int] = {}
    table: tuple[str, ...] = ()
    inside = ""  # what a value of several lines waits for: a triple quote, or brackets
    depth = 0
    for number, line in enumerate(text.splitlines(), start=1):
        if inside:
            depth, inside = _skip(line, depth, inside)
            continue
        bare = line.strip()
        if not bare or bare.startswith("#"):
            continue
        if bare.startswith("[["):
            path = _names(bare[2:])
            index = counts.get(path, 0)
            counts[path] = index + 1
            lines.setdefault(path, number)
            table = (*path, str(index))
            lines[table] = number
        elif bare.startswith("["):
            table = _names(bare[1:])
            lines.setdefault(table, number)
        else:
            path = table + _names(bare)
            for length in range(len(table) + 1, len(path) + 1):
                lines.setdefault(path[:length], number)
            depth, inside = _skip(bare[_equals(bare) + 1 :], 0, "")
    return lines


def _names(text: str) -> tuple[str, ...]:
    """The dotted names at the start of ``text``."""
    names: list[str] = []
    position = 0
    while found := _KEY_PART.match(text, position):
        names.append(next(part for part in found.groups() if part is not None))
        position = found.end()
        if text[position : position + 1] != ".":
            break
        position += 1
    return tuple(names)


def _equals(text: str) -> int:
    """Position of the equals sign that ends the key at the start of ``text``."""
    position = 0
    while found := _KEY_PART.match(text, position):
        position = found.end()
        if text[position : position + 1] != ".":
            break
        position += 1
    return text.index("=", position)


def _skip(text: str, depth: int, inside: str) -> tuple[int, str]:
    """Follow a value through one line; return the open brackets and what is still waited for after it."""
    position = 0
    quote = inside if inside in ('"""', "'''") else ""
    while position < len(text):
        if quote:
            end = text.find(quote, position)
            while quote.startswith('"') and end > 0 and _escaped(text, end):
                end = text.find(quote, end + 1)
            if end < 0:
                return depth, quote
            position = end + len(quote)
            quote = ""
            continue
        here = text[position]
        if here == "#":
            break
        if text.startswith(('"""', "'''"), position):
            quote = text[position : position + 3]
            position += 3
            continue
        if here in "\"'":
            quote = here
        elif here in "[{":
            depth += 1
        elif here in "]}":
            depth -= 1
        position += 1
    return depth, quote or ("brackets" if depth > 0 else "")


def _escaped(text: str, position: int) -> bool:
    """True when an odd number of backslashes stands before ``position``."""
    before = text[:position]
    return (len(before) - len(before.rstrip("\\"))) % 2 == 1
