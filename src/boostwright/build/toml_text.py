"""TOML text -> values with line numbers, going on after a fault so that all of them are found at once.

The standard library's reader stops at the first fault and gives no lines. Here the text is cut into
statements (a header, or a key with its value, which may run over lines), each is read by the standard
library alone, and what it says is kept with its line. A text without faults is read once more as a whole,
which is what counts.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from boostwright.errors import Fault

__all__ = ["TOKEN", "KeyPath", "ParsedText", "as_written", "has_giant", "parse_text", "statement_spans"]

KeyPath = tuple[str, ...]

_MOST_FAULTS = 40
_LARGEST_WHOLE = 2**63
TOKEN = re.compile(
    r'"""(?:[^\\]|\\.)*?"""|\'\'\'.*?\'\'\'|"(?:[^"\\\n]|\\[^\n])*"|\'[^\'\n]*\''
    r'|#[^\n]*|[^"\'#\[\]{}\n]+|.',
    re.DOTALL,
)
"""One piece of a text: a string, a comment, a bracket, a line end, or whatever lies between them."""

_STARTS_STATEMENT = re.compile(
    r'[ \t]*(?:\[{1,2}[ \t]*[A-Za-z_"\'][^\n]*\]|[A-Za-z0-9_-]+(?:[ \t]*\.[ \t]*[A-Za-z0-9_-]+)*[ \t]*=)'
)
_KEY = re.compile(r"\s*([A-Za-z0-9_-]+(?:[ \t]*\.[ \t]*[A-Za-z0-9_-]+)*)[ \t]*=[ \t]*(.*)", re.DOTALL)
_HEADER = re.compile(r"\s*\[([A-Za-z0-9_.\s-]+)\]?\s*(?:#.*)?$")
_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)")
_DECIMAL_COMMA = re.compile(r"[+-]?\d+,\d+")


@dataclass
class ParsedText:
    """What was read from a text.

    data    the values, nested as TOML nests them
    lines   path of a key or table -> the line it stands on, from 1
    broken  paths whose value stands there but could not be read
    texts   path of a key -> its value as it stands there, letter by letter
    faults  everything wrong with the text as TOML
    """

    data: dict[str, Any] = field(default_factory=dict)
    lines: dict[KeyPath, int] = field(default_factory=dict)
    broken: set[KeyPath] = field(default_factory=set)
    texts: dict[KeyPath, str] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)


def parse_text(text: str, file: str) -> ParsedText:
    """Read the whole text; ``file`` names it in the faults. Nothing is raised for bad text."""
    return _Reader(text.replace("\r\n", "\n"), file).read()


def as_written(value: Any) -> str:
    """A value as TOML would have it, shortened for a message."""
    if isinstance(value, str):
        text = f'"{value}"'
    elif isinstance(value, bool):
        text = "true" if value else "false"
    elif isinstance(value, dict):
        text = "{ " + ", ".join(f"{key} = {as_written(inner)}" for key, inner in value.items()) + " }"
    elif isinstance(value, list):
        text = "[" + ", ".join(as_written(inner) for inner in value) + "]"
    else:
        text = str(value)
    return text if len(text) <= 90 else text[:87] + "..."


def has_giant(value: Any) -> bool:
    """Whether a whole number stands in the value that is larger than TOML has any."""
    if isinstance(value, dict):
        return any(has_giant(inner) for inner in value.values())
    if isinstance(value, list):
        return any(has_giant(inner) for inner in value)
    return isinstance(value, int) and not -_LARGEST_WHOLE <= value < _LARGEST_WHOLE


class _Reader:
    """One reading of one text."""

    def __init__(self, text: str, file: str) -> None:
        self.text = text
        self.file = file
        self.result = ParsedText()
        self.table: KeyPath = ()
        self.headers: dict[KeyPath, int] = {}

    def read(self) -> ParsedText:
        """Statement by statement; then once more as a whole when nothing was wrong."""
        for line, statement, closed in _statements(self.text):
            if len(self.result.faults) >= _MOST_FAULTS:
                self._fault(line, "", "", "is where reading stopped: too much above it is wrong.")
                return self.result
            if not closed:
                self._not_closed(line, statement)
            elif statement.startswith("["):
                self._header(line, statement)
            else:
                self._key_and_value(line, statement)
        if not self.result.faults:
            try:
                self.result.data = tomllib.loads(self.text)
            except (ValueError, RecursionError) as error:
                found = _PLACE.search(str(error))
                line = int(found.group(1)) if found and found.group(1) else 0
                self._fault(line, "", "", f"is no valid TOML: {_plain(error)}.")
        return self.result

    def _fault(
        self, line: int, key: str, value: str, message: str, allowed: str = "", remedy: str = ""
    ) -> None:
        place = f"{self.file}, line {line}" if line else self.file
        self.result.faults.append(Fault(place, key, value, message, allowed, remedy, line))

    def _header(self, line: int, statement: str) -> None:
        """[section] or [section.table]: where the following keys belong."""
        shown = _first_line(statement)
        if statement.startswith("[["):
            message = f"{shown} begins a list of tables, and there are none in this file."
            self._fault(line, "", "", message, remedy="Write single brackets.")
            return
        try:
            path = _only_path(tomllib.loads(statement))
        except (tomllib.TOMLDecodeError, RecursionError) as error:
            message = f"{shown} is no section header ({_plain(error)})."
            self._fault(line, "", "", message, "[name], alone on its line")
            match = _HEADER.match(statement)
            if match is None:
                return
            path = tuple(part.strip() for part in match.group(1).split("."))
        if path in self.headers:
            message = f"{shown} stands here a second time; first on line {self.headers[path]}."
            self._fault(line, "", "", message, remedy="Put all keys of the section under one header.")
        self.headers.setdefault(path, line)
        self.table = path
        self._place(path, {}, line)

    def _key_and_value(self, line: int, statement: str) -> None:
        """key = value."""
        try:
            found = tomllib.loads(statement)
        except (ValueError, RecursionError) as error:
            self._not_readable(line, statement, error)
            return
        if has_giant(found):
            name, _, value = self._mark_broken(line, statement)
            message = "holds a whole number of more than 19 digits, which no file of this kind can."
            self._fault(line, name, _first_line(value), message, "whole numbers between -2^63 and 2^63")
            return
        for key, value in found.items():
            self._place((*self.table, key), value, line)
            self._lines_below((*self.table, key), value, line, statement)

    def _place(self, path: KeyPath, value: Any, line: int) -> None:
        """Put a value into the data; a key that is already there is a fault and the first one stands."""
        place: dict[str, Any] = self.result.data
        for depth, name in enumerate(path[:-1], start=1):
            inner = place.setdefault(name, {})
            first = self.result.lines.setdefault(path[:depth], line)
            if not isinstance(inner, dict):
                above = ".".join(path[:depth])
                message = f"stands under {above}, which is a value already, on line {first}."
                self._fault(line, ".".join(path), "", message)
                return
            place = inner
        last = path[-1]
        first = self.result.lines.setdefault(path, line)
        if last not in place:
            place[last] = value
        elif isinstance(place[last], dict) and isinstance(value, dict):
            for name, inner in value.items():
                self._place((*path, name), inner, line)
        else:
            message = f"stands here a second time; first on line {first}."
            shown = as_written(value) if value != {} else ""
            self._fault(line, ".".join(path), shown, message, remedy="Keep one of the two.")

    def _lines_below(self, path: KeyPath, value: Any, line: int, statement: str) -> None:
        """Lines of the keys inside an inline table that runs over several lines."""
        if not isinstance(value, dict):
            return
        for name, inner in value.items():
            below = (*path, name)
            found = re.search(rf"(?:^|[\s{{,.])[\"']?{re.escape(name)}[\"']?\s*[=.]", statement)
            at = line + statement.count("\n", 0, found.end()) if found else line
            self.result.lines.setdefault(below, at)
            self._lines_below(below, inner, at, statement)

    def _mark_broken(self, line: int, statement: str) -> tuple[str, str, str]:
        """Remember that a key stands there, so that it is not called missing as well; return its parts."""
        match = _KEY.match(statement)
        if match is None:
            return "", "", statement
        path = (*self.table, *(part.strip() for part in match.group(1).split(".")))
        self.result.broken.add(path)
        for depth in range(1, len(path) + 1):
            self.result.lines.setdefault(path[:depth], line)
        return ".".join(path), match.group(1), match.group(2)

    def _not_closed(self, line: int, statement: str) -> None:
        """A quote or a bracket without its partner."""
        name, _, value = self._mark_broken(line, statement)
        shown = _first_line(value)
        message = "is not closed: a quote or a bracket is missing."
        if name:
            self._fault(line, name, shown, message)
        else:
            self._fault(line, "", "", f"{shown} {message}")

    def _not_readable(self, line: int, statement: str, error: Exception) -> None:
        """The commonest slips have words of their own; the rest is said as the reader says it."""
        name, key, value = self._mark_broken(line, statement)
        if not name:
            message = f"{_first_line(statement)} is neither a key with a value nor a section."
            self._fault(line, "", "", message, 'key = "value", [section], or a comment after #')
            return
        bare = value.split("#")[0].strip()
        if not bare:
            self._fault(line, name, "", "has no value.")
        elif value.startswith("{") and "\n" in value:
            message = "runs over several lines, which a value in braces may not."
            remedy = f"Write it on one line, or as a section [{name}] with one key a line."
            self._fault(line, name, _first_line(value), message, remedy=remedy)
        elif _DECIMAL_COMMA.fullmatch(bare):
            remedy = f"Use a decimal point: {key} = {bare.replace(',', '.')}."
            self._fault(line, name, bare, "has a comma in the number.", remedy=remedy)
        elif not re.search(r"[\"'\[\]{}=\n]", bare):
            allowed = "text and quantities in double quotes, plain numbers without"
            self._fault(line, name, bare, "is not in quotes.", allowed, f'Write {key} = "{bare}".')
        else:
            found = _PLACE.search(str(error))
            at = line + int(found.group(1)) - 1 if found and found.group(1) else line
            self._fault(at, name, _first_line(value), f"cannot be read: {_plain(error)}.")


def _statements(text: str) -> Iterator[tuple[int, str, bool]]:
    """(line, text, closed) of every statement; one that is not closed ends where the next seems to begin."""
    line = 1
    for position, end, closed in statement_spans(text):
        statement = text[position:end]
        bare = statement.lstrip()
        if bare and not bare.startswith("#"):
            lead = statement[: len(statement) - len(bare)]
            yield line + lead.count("\n"), bare.rstrip(), closed
        line += statement.count("\n")


def statement_spans(text: str) -> Iterator[tuple[int, int, bool]]:
    """(start, end, closed) of every statement, blank line and comment, end to end from the text's first character to
    its last; a statement that is not closed ends where the next one seems to begin."""
    position = 0
    while position < len(text):
        end, closed = _statement_end(text, position)
        if not closed:
            end = _next_start(text, position)
        yield position, end, closed
        position = end


def _statement_end(text: str, start: int) -> tuple[int, bool]:
    """End of the statement that starts at ``start``, its line break included, and whether it is closed."""
    depth, position = 0, start
    while position < len(text) and (match := TOKEN.match(text, position)):
        token = match.group()
        position = match.end()
        if token in ('"', "'"):
            return position, False
        if token in ("[", "{"):
            depth += 1
        elif token in ("]", "}"):
            depth -= 1
        elif token == "\n" and depth <= 0:
            return position, True
    return position, depth <= 0


def _next_start(text: str, start: int) -> int:
    """The start of the first later line that looks like a header or a key, or the end of the text."""
    position = text.find("\n", start) + 1
    while 0 < position < len(text):
        if _STARTS_STATEMENT.match(text, position):
            return position
        position = text.find("\n", position) + 1
    return len(text)


def _only_path(table: dict[str, Any]) -> KeyPath:
    """The path of a header that was read alone."""
    path: list[str] = []
    while table:
        name, table = next(iter(table.items()))
        path.append(name)
    return tuple(path)


def _plain(error: Exception) -> str:
    """The reader's words without its place, which counts from the statement."""
    if isinstance(error, RecursionError):
        return "nested too deeply"
    return _PLACE.sub("", str(error))


def _first_line(statement: str) -> str:
    """The first line of a statement, shortened for a message."""
    line = statement.strip().split("\n")[0]
    return line if len(line) <= 60 else line[:57] + "..."
