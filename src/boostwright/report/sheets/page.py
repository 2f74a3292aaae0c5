"""A sheet as a page of headed blocks, the same for terminal and paper."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Block", "Check", "Checks", "Column", "Page", "Pairs", "Prose", "Table"]


@dataclass(frozen=True)
class Column:
    """One column: its heading, the unit below it, whether its cells are words (left) or numbers (right), and the share
    of the room that a column of words takes."""

    heading: str
    unit: str = ""
    left: bool = False
    share: float = 1.0


@dataclass(frozen=True)
class Table:
    """Rows of cells under headings."""

    heading: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""


@dataclass(frozen=True)
class Pairs:
    """A label and what stands beside it, line by line; a box to tick before each where ``boxes``."""

    heading: str
    rows: tuple[tuple[str, str], ...]
    boxes: bool = False


@dataclass(frozen=True)
class Check:
    """A question with its verdict: ``mark`` is the word in the box, ``loud`` sets it white on black."""

    mark: str
    loud: bool
    question: str
    figure: str
    mend: str


@dataclass(frozen=True)
class Checks:
    """Questions of one stage."""

    heading: str
    rows: tuple[Check, ...]


@dataclass(frozen=True)
class Prose:
    """Sentences, or numbered steps."""

    heading: str
    lines: tuple[str, ...]
    numbered: bool = False


Block = Table | Pairs | Checks | Prose


@dataclass(frozen=True)
class Page:
    """One sheet.

    title     name of the sheet
    build     whose it is
    lines     below the title: day, table, provenance
    verdict   in a box beside the title; empty for none
    blocks    in their order
    cautions  small, at the foot, once
    columns   how many columns the blocks run in on paper
    """

    title: str
    build: str
    lines: tuple[str, ...]
    blocks: tuple[Block, ...]
    cautions: tuple[str, ...] = ()
    verdict: str = ""
    columns: int = 1
