"""Changing values in the text of a build file: every letter that is not meant stays as it is, comments too.

The new text is read again before anybody gets it. Where it does not say exactly what it should, it is refused.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from boostwright.build.toml_spots import Spot, key_text, spots_of, toml_text
from boostwright.build.toml_text import KeyPath, parse_text

__all__ = ["CannotEdit", "changed_text"]


class CannotEdit(ValueError):
    """The text is written in a way in which the change cannot be made without touching something else."""


@dataclass(frozen=True)
class _Edit:
    """A value to put at a path, None to take it out; ``written`` is its text where that is known."""

    path: KeyPath
    value: Any
    written: str = ""


def changed_text(
    text: str, before: Mapping[str, Any], after: Mapping[str, Any], written: Mapping[KeyPath, str]
) -> str:
    """The text of a file that says ``before``, changed so that it says ``after``.

    written  path of a key -> its new value as somebody wrote it, kept where it is what TOML would read
    A comment behind a value that is taken out stays, on a line of its own. Raises CannotEdit.
    """
    new = text
    line_end = "\r\n" if "\r\n" in text else "\n"
    for path, value in _differences(before, after, ()):
        edit = _Edit(path, value, written.get(path, ""))
        new = _edited(new, edit, after, line_end)
    found, old = parse_text(new, ""), parse_text(text, "")
    worse = not found.broken <= old.broken or len(found.faults) > len(old.faults)
    if worse or not _same(_pruned(found.data), _pruned(after)):
        raise CannotEdit("the file is written in a way that this change would disturb")
    return new


def _differences(before: Any, after: Any, path: KeyPath) -> Iterator[tuple[KeyPath, Any]]:
    """Paths where the two differ with what is to stand there, what goes out first."""
    for name in before:
        if name not in after:
            yield (*path, name), None
    for name, value in after.items():
        here = (*path, name)
        old = before.get(name)
        if isinstance(old, Mapping) and isinstance(value, Mapping):
            yield from _differences(old, value, here)
        elif name in before and _same(old, value):
            continue
        elif isinstance(value, Mapping) and len(here) == 1:
            yield from _differences({}, value, here)
        else:
            yield here, value


def _edited(text: str, edit: _Edit, after: Mapping[str, Any], line_end: str) -> str:
    """The text with one value changed."""
    spots = spots_of(text)
    path = edit.path
    exact = next((spot for spot in spots if spot.path == path and not spot.header), None)
    if exact is not None and edit.value is None:
        return _without(text, [exact], line_end)
    if exact is not None:
        return text[: exact.value] + _written(edit) + text[exact.value_end :]
    for depth in range(len(path) - 1, 0, -1):
        above = next((spot for spot in spots if spot.path == path[:depth] and not spot.header), None)
        if above is not None:  # inside a value in braces, which is written anew
            return text[: above.value] + toml_text(_at(after, path[:depth])) + text[above.value_end :]
    below = [spot for spot in spots if spot.path[: len(path)] == path]
    if below:
        text = _without(text, below, line_end)
    if edit.value is None:
        return text
    return _with_line(text, path, f"{key_text(path[-1:])} = {_written(edit)}", line_end)


def _written(edit: _Edit) -> str:
    """The new value's text: as somebody wrote it where that says the same."""
    try:
        if edit.written and _same(tomllib.loads(f"value = {edit.written}"), {"value": edit.value}):
            return edit.written
    except (ValueError, RecursionError):
        pass
    return toml_text(edit.value)


def _without(text: str, spots: list[Spot], line_end: str) -> str:
    """The text without some statements; the comments behind them stay."""
    for spot in sorted(spots, key=lambda spot: -spot.start):
        rest = text[max(spot.value_end, spot.start) : spot.end]
        if spot.header:
            rest = rest.partition("]")[2].lstrip("]")
        comment = rest.strip()
        kept = f"{comment}{line_end}" if comment.startswith("#") else ""
        text = text[: spot.start] + kept + text[spot.end :]
    return text


def _with_line(text: str, path: KeyPath, line: str, line_end: str) -> str:
    """The text with a key's line at the end of its section, which is made where there is none."""
    spots = spots_of(text)
    home = path[:-1]
    last = None
    for index, spot in enumerate(spots):
        if spot.header and spot.path == home:
            last = spot
            for follower in spots[index + 1 :]:
                if follower.header:
                    break
                last = follower
    if not home:
        heads = [spot for spot in spots if spot.header]
        own = [spot for spot in spots if not heads or spot.start < heads[0].start]
        place = own[-1].end if own else 0
        return _inserted(text, place, line, line_end)
    if last is not None:
        return _inserted(text, last.end, line, line_end)
    table: KeyPath = ()
    for spot in spots:
        if spot.header:
            table = spot.path
        elif spot.path[: len(home)] == home and len(table) < len(home):
            # a section that is written as dotted keys goes on as dotted keys
            dotted = f"{key_text(path[len(table) :])} = {line.partition(' = ')[2]}"
            return _inserted(text, spot.end, dotted, line_end)
    gap = "" if not text.strip() else line_end
    return _inserted(text, len(text), f"{gap}[{key_text(home)}]{line_end}{line}", line_end)


def _inserted(text: str, place: int, line: str, line_end: str) -> str:
    before = text[:place]
    if before and not before.endswith("\n"):
        before += line_end
    return f"{before}{line}{line_end}{text[place:]}"


def _at(data: Mapping[str, Any], path: KeyPath) -> Any:
    place: Any = data
    for name in path:
        place = place[name]
    return place


def _pruned(data: Any) -> Any:
    """Data without empty tables: a section without a key says nothing."""
    if not isinstance(data, Mapping):
        return data
    inner = {name: _pruned(value) for name, value in data.items()}
    return {name: value for name, value in inner.items() if value != {}}


def _same(one: Any, other: Any) -> bool:
    """Whether two values are the same, kinds of number included."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(_same(one[name], other[name]) for name in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_same, one, other))
    return type(one) is type(other) and (one == other or repr(one) == repr(other))
