"""What every part card is: header, values with units and provenance, and the schema of its kind.

A card describes one part in one TOML file. The header (kind, name, source, licence, status ...) is the
same for all kinds; what a kind holds besides is declared once, as ``Field`` and ``Column`` in
``cards/<kind>.py``, and the reader, the plausibility check, the writer and the reference page are all
made from that declaration.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.errors import Fault
from boostwright.units import Quantity

__all__ = ["Card", "CardHeader", "CardSchema", "CardValue", "Column", "Field"]


@dataclass(frozen=True)
class CardHeader:
    """The part of a card that is the same for every kind.

    kind            what the card describes: fuel, pipe, material, sensor, wastegate, turbine, compressor
    schema_version  version of the kind's schema that the file was written for
    name            the name it is asked for by; also the file's stem
    source          where the values come from, in words
    licence         under which terms the values may be passed on
    status          one of ``provenance.source.CARD_STATUS``
    notes           anything a reader should know; may be empty
    """

    kind: str
    schema_version: int
    name: str
    source: str
    licence: str
    status: str
    notes: str = ""


@dataclass(frozen=True)
class CardValue:
    """One value of a card.

    quantity  the number in SI with the text it was written as; None for a value that is a word
    kind      kind of quantity it was read as, 'number', 'integer' or 'word'
    word      the value when it is a word or a choice, else empty
    source    where this very value comes from; the header's source unless the card says otherwise
    status    its status word; the header's unless the card says otherwise
    band      (low, high) in SI within which the true value is believed to lie; None when not stated
    line      line number in the card's file
    """

    quantity: Quantity | None
    kind: str
    word: str
    source: str
    status: str
    band: tuple[float, float] | None = None
    line: int = 0


@dataclass(frozen=True)
class Card:
    """One part, read and checked; all numbers SI.

    header    the card's header
    values    key -> value, only keys that are in the file or have a default in the schema
    columns   column name -> (rows,) array in SI, empty for a kind or a card without a table
    path      file that was read
    found_in  'the build's cards' or 'the shipped library', or the path's folder for a card read directly
    warnings  what looked implausible but may be right; the user is to be asked
    meta      what a kind's own table reader wants to keep beside the columns
    """

    header: CardHeader
    values: Mapping[str, CardValue]
    columns: Mapping[str, NDArray[np.float64]]
    path: Path
    found_in: str
    warnings: tuple[Fault, ...] = ()
    meta: Mapping[str, Any] = field(default_factory=dict)

    @property
    def kind(self) -> str:
        """The header's kind."""
        return self.header.kind

    @property
    def name(self) -> str:
        """The header's name."""
        return self.header.name

    def has(self, key: str) -> bool:
        """True when the card states ``key`` or its schema gives it a default."""
        return key in self.values

    def quantity(self, key: str) -> Quantity:
        """The value of ``key`` with the unit and text it was written in; KeyError when absent or a word."""
        found = self.values[key].quantity
        if found is None:
            raise KeyError(f"{key} of card {self.name} is a word, not a number")
        return found

    def si(self, key: str) -> float:
        """The value of ``key`` in the SI unit of its kind; KeyError when absent or a word."""
        return self.quantity(key).value_si

    def text(self, key: str) -> str:
        """The value of ``key`` that is a word or a choice; KeyError when absent."""
        return self.values[key].word

    def basis(self, key: str) -> str:
        """The basis of ``key`` (gauge, absolute, valve ...), empty when it has none; KeyError when absent."""
        return self.quantity(key).basis or ""

    def band(self, key: str) -> tuple[float, float] | None:
        """(low, high) of ``key`` in SI, None when no band is stated; KeyError when the key is absent."""
        return self.values[key].band


@dataclass(frozen=True)
class Field:
    """Declaration of one value of a kind of card.

    key       name in the file
    kind      kind of quantity (``units``), or 'number', 'integer', 'word'; several, parted by '|', are
              tried in turn
    words     what it is, for the reference page and for messages
    required  whether a card without it is refused
    default   text used when it is not stated (never for a required one)
    low       smallest value accepted, SI
    high      largest value accepted, SI
    low_ask   below this the user is asked (warning), SI
    high_ask  above this the user is asked (warning), SI
    choices   for a word: the words accepted; empty = any
    basis     bases one of which the value must carry; empty = it must carry none
    """

    key: str
    kind: str
    words: str
    required: bool = True
    default: str | float | None = None
    low: float | None = None
    high: float | None = None
    low_ask: float | None = None
    high_ask: float | None = None
    choices: tuple[str, ...] = ()
    basis: tuple[str, ...] = ()


@dataclass(frozen=True)
class Column:
    """Declaration of one column of a kind's table.

    key       name in the header row
    kind      kind of quantity (``units``) or 'number'
    words     what it is
    low       smallest value accepted, SI
    high      largest value accepted, SI
    required  whether a table without the column is refused
    """

    key: str
    kind: str
    words: str
    low: float | None = None
    high: float | None = None
    required: bool = True


@dataclass(frozen=True)
class CardSchema:
    """Declaration of one kind of card.

    kind        the kind's name, which is also the name of the TOML table that holds its values
    words       what a card of this kind describes
    version     schema version the reader understands
    fields      its values
    columns     the columns of its table; empty when the kind has none
    check       looks at a card whose every single value is in order and returns (errors, warnings) about
                how the values stand to each other
    read_table  reads the table instead of the plain reader, for kinds whose tables come in many habits:
                called with the whole parsed file and its path, returns columns in SI, errors, warnings
    """

    kind: str
    words: str
    version: int
    fields: tuple[Field, ...]
    columns: tuple[Column, ...] = ()
    check: Callable[[Card], tuple[list[Fault], list[Fault]]] | None = None
    read_table: (
        Callable[
            [Mapping[str, Any], Path], tuple[Mapping[str, NDArray[np.float64]], list[Fault], list[Fault]]
        ]
        | None
    ) = None
