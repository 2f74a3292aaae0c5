"""The exception tree: every error says where, which value, what is allowed, and what would mend it.

Each class is also the Python exception a caller would expect (``ValueError``, ``KeyError`` ...), so that plain
``except ValueError`` works and ``except BoostwrightError`` catches everything that is ours.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

__all__ = [
    "BoostwrightError",
    "BuildError",
    "CardError",
    "Fault",
    "FaultyInput",
    "OutOfDomain",
    "UnitError",
    "UnknownPart",
    "printable",
]

_CONTROLS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]")


def printable(text: str) -> str:
    """A text from a user's file that is safe to show: control characters, which can drive a terminal, as ``\\x1b``."""
    return _CONTROLS.sub(lambda found: f"\\x{ord(found.group()):02x}", text)


@dataclass(frozen=True)
class Fault:
    """One thing wrong with something the user wrote.

    place    where it stands: file and, where known, line (``build.toml, line 41``), or a channel or argument name
    key      the dotted key (``wastegate.spring_rating``), empty when the whole file is meant
    value    what stands there, as written; empty when nothing stands there
    message  what is wrong, in a sentence
    allowed  what would be accepted, in words
    remedy   what to write or do instead
    line     line number in the file, 0 when not known
    severity ``error`` when it is refused, ``warning`` when it is only asked about
    """

    place: str
    key: str
    value: str
    message: str
    allowed: str = ""
    remedy: str = ""
    line: int = 0
    severity: str = "error"

    def __str__(self) -> str:
        """The fault as the user reads it, three lines at the most."""
        head = ", ".join(part for part in (self.place, self.key) if part)
        if self.value:
            head += f" = {self.value}"
        lines = [f"{head}: {self.message}" if head else self.message]
        if self.allowed:
            lines.append(f"  Allowed: {self.allowed}")
        if self.remedy:
            lines.append(f"  Remedy: {self.remedy}")
        return printable("\n".join(lines))


class BoostwrightError(Exception):
    """Root of every error this package raises on purpose."""


class OutOfDomain(BoostwrightError, ValueError):
    """A physics function was called directly with an argument for which it has no meaning."""


class UnitError(BoostwrightError, ValueError):
    """A quantity has no unit, an unknown unit, or a unit of the wrong kind."""


class FaultyInput(BoostwrightError, ValueError):
    """Base of errors that carry all the faults found in one go."""

    def __init__(self, faults: list[Fault] | tuple[Fault, ...]) -> None:
        """Keep the faults and make one text of them."""
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class CardError(FaultyInput):
    """A part card cannot be used; carries every fault found in it."""


class BuildError(FaultyInput):
    """A build folder cannot be used; carries every fault found in it."""


class UnknownPart(BoostwrightError, KeyError):
    """No part card of that name; the message lists the nearest ones and where they were looked for."""

    def __str__(self) -> str:
        """The message without the quotes that KeyError puts round it."""
        return str(self.args[0]) if self.args else ""
