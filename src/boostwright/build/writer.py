"""Writing settings into build.toml: comments, order and every line that is not meant stay as they are."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from boostwright.build.build import Build
from boostwright.build.encoding import decode
from boostwright.build.reader import BUILD_FILE, read_build, with_settings
from boostwright.build.settings import apply_settings
from boostwright.build.text_edit import CannotEdit, changed_text
from boostwright.build.toml_text import parse_text
from boostwright.errors import BuildError, Fault
from boostwright.saving import save_atomically

__all__ = ["edited_bytes", "edited_text", "save_settings"]

_MARK = b"\xef\xbb\xbf"


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
    save_atomically(build.path, edited_bytes(data, settings))
    return read_build(build.path.parent)


def edited_bytes(data: bytes, settings: Sequence[str]) -> bytes:
    """The bytes of a build file with settings written into it; see ``edited_text``. A byte-order mark stays.

    Raises BuildError when the bytes are no UTF-8 text.
    """
    text, faults = decode(data, BUILD_FILE)
    if faults:
        raise BuildError(faults)
    mark = _MARK if data.startswith(_MARK) else b""
    return mark + edited_text(text, settings).encode("utf-8")


def edited_text(text: str, settings: Sequence[str]) -> str:
    """The text of a build file with settings written into it.

    A key that is there keeps its place and the comment behind it; a new one goes to the end of its section. What cannot
    be read in the file stays as it is, unless it is that very value that is set.
    Raises BuildError for a setting without an equals sign, and where a setting cannot be written.
    """
    if not settings:
        return text
    before = parse_text(text, BUILD_FILE).data
    applied = apply_settings(before, settings)
    if applied.faults:
        raise BuildError(applied.faults)
    written = {path: setting.partition("=")[2].strip() for path, setting in applied.settings.items()}
    try:
        return changed_text(text, before, applied.data, written)
    except CannotEdit as error:
        remedy = "Make the change in a text editor. Nothing was changed."
        raise BuildError(
            [Fault(BUILD_FILE, "", "", f"cannot be changed here: {error}.", remedy=remedy)]
        ) from error
