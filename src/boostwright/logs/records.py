"""What an importer hands over: tables of raw columns, and notes on what was mended or could not be read."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.errors import Fault, FaultyInput, printable

__all__ = ["Column", "LogError", "Note", "Notes", "Rows", "Table"]

_PLACES = 5


class LogError(FaultyInput):
    """A log of which nothing can be read; the file itself is left as it was."""

    @classmethod
    def of(cls, place: str, message: str, remedy: str = "", value: str = "") -> LogError:
        """An error with one fault."""
        return cls([Fault(place, "", value, message, "", remedy)])


@dataclass(frozen=True)
class Note:
    """One kind of thing that was mended, left out or doubted.

    code     stable name of the kind
    text     what it is and what was done about it, a sentence
    count    how often
    places   the first few: "line 12, column MAP: 'abc'"
    harm     True where something in the file could not be read
    """

    code: str
    text: str
    count: int
    places: tuple[str, ...]
    harm: bool


@dataclass
class _Kept:
    text: str
    harm: bool
    count: int = 0
    places: list[str] = field(default_factory=list)


class Notes:
    """Notes as they are gathered: each kind once, with its count and its first places."""

    def __init__(self) -> None:
        """Empty."""
        self._kinds: OrderedDict[tuple[str, str], _Kept] = OrderedDict()

    def add(self, code: str, text: str, place: str = "", count: int = 1, *, harm: bool = False) -> None:
        """Count one more of a kind; the text tells kinds of one code apart."""
        text, place = printable(text), printable(place)
        kept = self._kinds.setdefault((code, text), _Kept(text, harm))
        kept.count += count
        if place and len(kept.places) < _PLACES:
            kept.places.append(place)

    def all(self) -> tuple[Note, ...]:
        """The notes, what could not be read first."""
        notes = [Note(code, k.text, k.count, tuple(k.places), k.harm) for (code, _), k in self._kinds.items()]
        return tuple(sorted(notes, key=lambda note: not note.harm))


@dataclass(frozen=True)
class Column:
    """A raw column, in the words of its file.

    name     as the file has it, told apart from others of that name
    unit     unit as the file has it; '' where there is none
    comment  other words of the file on it (a second header row, a description)
    wide     True where float32 would lose digits, so float64 is kept
    """

    name: str
    unit: str = ""
    comment: str = ""
    wide: bool = False


@dataclass(eq=False)
class Table:
    """Columns on one time base.

    part         number of the stretch of the file, from 1: files glued together, a clock that starts anew
    group        number of the time base within the part, from 1
    name         the file's own name for it, '' for none
    columns      its columns, without the time
    time_name    name of the time column; '' where the file has none and rows are counted
    time_origin  what the time counts from, in words
    start        the time of day or date at which it begins, as the file has it; '' for none
    states       index of a column of words -> the words that its numbers 0, 1, 2 ... stand for; grows while rows come
    """

    part: int
    group: int
    name: str
    columns: tuple[Column, ...]
    time_name: str
    time_origin: str = "first row"
    start: str = ""
    states: dict[int, list[str]] = field(default_factory=dict)


@dataclass(frozen=True)
class Rows:
    """Some rows of a table: time [s] (n,) float64 and a float array (n,) for each column, NaN where nothing stands."""

    table: Table
    time: NDArray[np.float64]
    values: tuple[NDArray[Any], ...]
