"""Writing settings into build.toml: comments, order and every line that is not meant stay as they are."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from typing import Any

from boostwright.build.build import Build
from boostwright.build.reader import read_build, with_settings
from boostwright.build.settings import apply_settings, split_setting
from boostwright.errors import BuildError, Fault
from boostwright.saving import save_atomically

__all__ = ["edited_text", "save_settings"]


def save_settings(build: Build, settings: Sequence[str]) -> Build:
    """Write ``section.key=value`` into the build's file and return the build as it then is.

    The settings are checked with the whole build first; an empty value takes the key out. Raises BuildError
    when a setting is refused, or when the file was changed by someone else since the build was read; nothing on
    disk is changed then. Raises OSError when it cannot be written.
    """
    with_settings(build, settings)
    data = build.path.read_bytes()
    if hashlib.sha256(data).hexdigest() != build.source.digest:
        message = "was changed by another program since it was read."
        raise BuildError(
            [Fault(build.path.name, "", "", message, remedy="Read it again. Nothing was changed.")]
        )
    mark = b"\xef\xbb\xbf" if data.startswith(b"\xef\xbb\xbf") else b""
    text = edited_text(data.decode("utf-8-sig"), settings)
    save_atomically(build.path, mark + text.encode("utf-8"))
    return read_build(build.path.parent)


def edited_text(text: str, settings: Sequence[str]) -> str:
    """The text of a build file with settings written into it.

    A key that is there keeps its place and the comment behind it; a new one goes to the end of its section.
    Raises BuildError for a setting without an equals sign.
    """
    import tomlkit

    document = tomlkit.parse(text)
    for setting in settings:
        try:
            path, value_text = split_setting(setting)
        except ValueError as error:
            raise BuildError([Fault(f"--set {setting}", "", "", str(error), "section.key=value")]) from None
        value: Any = apply_settings({}, [setting]).data
        for name in path if value_text else ():
            value = value[name]
        _put(document, path, value if value_text else None)
    return tomlkit.dumps(document)


def _put(document: Any, path: Sequence[str], value: Any) -> None:
    """One value into the document; None takes the key out."""
    import tomlkit

    place = document
    for name in path[:-1]:
        if name not in place:
            if value is None:
                return
            place[name] = tomlkit.table()
        place = place[name]
    last = path[-1]
    if value is None:
        if last in place:
            del place[last]
        return
    item = tomlkit.item(_inline(value))
    if last in place and hasattr(place[last], "trivia"):
        item.trivia.comment_ws = place[last].trivia.comment_ws
        item.trivia.comment = place[last].trivia.comment
        item.trivia.trail = place[last].trivia.trail
    place[last] = item


def _inline(value: Any) -> Any:
    """A curve on one line, as people write it."""
    import tomlkit

    if not isinstance(value, dict):
        return value
    table = tomlkit.inline_table()
    table.update(value)
    return table
