"""Where things stand in the text of a build file, to the letter, and values as text again.

What reads the file (``toml_text``) gives values and lines; to change one value and leave every other letter alone, the
place of each value is needed.
"""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from boostwright.build.toml_text import TOKEN, KeyPath, statement_spans

__all__ = ["Spot", "key_text", "setting_text", "spots_of", "toml_text"]

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_KEY = re.compile(
    r'[ \t]*((?:[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'|[ \t]*\.[ \t]*)+?)[ \t]*=[ \t]*'
)
_OPENS_TOML = "\"'[{"


@dataclass(frozen=True)
class Spot:
    """A section's header, or a key with its value.

    path        of the section or of the key
    header      true for a header
    start, end  the whole statement, its line end included
    value       where the value begins, and ``value_end`` where it ends, the comment behind it not counted
    """

    path: KeyPath
    header: bool
    start: int
    end: int
    value: int
    value_end: int


def spots_of(text: str) -> list[Spot]:
    """Every header and key of a text, in their order; what is neither is passed by."""
    found: list[Spot] = []
    table: KeyPath = ()
    for start, end, closed in statement_spans(text):
        statement = text[start:end]
        bare = statement.strip()
        if not bare or bare.startswith("#"):
            continue
        if bare.startswith("["):
            path = _path_of(bare)
            if path:
                table = path
                found.append(Spot(path, True, start, end, start, start))
            continue
        match = _KEY.match(statement)
        path = _path_of(f"{match.group(1)} = 0") if match else ()
        if match and path:
            value = start + match.end()
            shown = end if closed else start + len(statement.partition("\n")[0])
            found.append(
                Spot((*table, *path), False, start, end, value, _value_end(text, value, shown, closed))
            )
    return found


def _value_end(text: str, start: int, end: int, closed: bool) -> int:
    """Where the value ends: before the comment behind it, spaces not counted."""
    position, depth = start, 0
    while closed and position < end and (match := TOKEN.match(text, position)):
        token = match.group()
        if token.startswith("#") and depth == 0:
            break
        depth += (token in ("[", "{")) - (token in ("]", "}"))
        position = match.end()
    stop = min(position, end) if closed else end
    return start + len(text[start:stop].rstrip())


def _path_of(statement: str) -> KeyPath:
    """The path that a header or a key alone names; () where it names none."""
    try:
        table: Any = tomllib.loads(statement)
    except (ValueError, RecursionError):
        return ()
    path: list[str] = []
    while isinstance(table, dict) and len(table) == 1:
        name, table = next(iter(table.items()))
        path.append(name)
    return tuple(path)


def key_text(path: Sequence[str]) -> str:
    """A dotted key as TOML writes it."""
    return ".".join(part if _BARE.fullmatch(part) else _quoted(part) for part in path)


def toml_text(value: Any) -> str:
    """A value as TOML writes it on one line."""
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        inner = ", ".join(f"{key_text((key,))} = {toml_text(one)}" for key, one in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, list):
        return f"[{', '.join(toml_text(one) for one in value)}]"
    if isinstance(value, float):
        return repr(value)
    return str(value)


def setting_text(value: Any) -> str:
    """A value as a setting gives it: text without its quotes where that cannot be taken for something else."""
    if isinstance(value, str):
        plain = value == value.strip() and value and value[0] not in _OPENS_TOML
        return value if plain and value.isprintable() else _quoted(value)
    return toml_text(value)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
