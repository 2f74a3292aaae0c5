"""Lines of prose on a terminal: wrapped paragraphs, and lists that do not break inside an entry."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

__all__ = ["assumptions", "counted", "paragraph", "sentence"]

_HANGING = "    "
_NARROWEST = 40
_NO_BREAK = "\u00a0"


def paragraph(text: str, width: int, first: str = "  ", later: str = _HANGING) -> str:
    """``text`` wrapped at spaces to ``width`` characters, its lines indented by ``first`` and then ``later``."""
    return textwrap.fill(
        text,
        width=max(width, _NARROWEST),
        initial_indent=first,
        subsequent_indent=later,
        break_long_words=False,
        break_on_hyphens=False,
    )


def assumptions(entries: Iterable[tuple[str, str, str]], width: int) -> list[str]:
    """Keys left to their default, gathered by the status of the default; one wrapped paragraph a status.

    entries  (key, value as text, status words)
    """
    by_status: dict[str, list[str]] = {}
    for key, value, status in entries:
        # a value must not part from its unit at the end of a line
        by_status.setdefault(status or "no status", []).append(f"{key} = {value}".replace(" ", _NO_BREAK))
    return [
        paragraph(f"{status}: {', '.join(listed)}", width).replace(_NO_BREAK, " ")
        for status, listed in by_status.items()
    ]


def counted(count: int, word: str) -> str:
    """``1 fault``, ``2 faults``."""
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def sentence(text: str) -> str:
    """``text`` with a capital in front and a full stop at its end; several may then stand one after the other."""
    stripped = text.strip()
    ending = "" if not stripped or stripped[-1] in ".!?" else "."
    return stripped[:1].upper() + stripped[1:] + ending
