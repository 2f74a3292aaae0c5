"""Tables of words that lie beside the code as text."""

from __future__ import annotations

from pathlib import Path

__all__ = ["table_lines"]


def table_lines(name: str) -> list[str]:
    """The lines of a table, comments left out, lines that go on joined."""
    lines: list[str] = []
    for line in (Path(__file__).parent / name).read_text(encoding="utf-8").splitlines():
        if line.startswith(" ") and lines:
            lines[-1] += " " + line.strip()
        elif line.strip() and not line.startswith("#"):
            lines.append(line.strip())
    return lines
