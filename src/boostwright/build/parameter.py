"""How one key of build.toml is declared: once, with its unit, bounds, words and default.

The check messages, the page that describes the file, and the file that ``new`` writes are all made from these
declarations, so none of them can say something else than the others.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

__all__ = ["NUMBER_KINDS", "Parameter", "SectionSchema", "When"]

NUMBER_KINDS: tuple[str, ...] = ("integer", "dimensionless")
"""Kinds that are written as plain numbers; every other kind of quantity is text with a unit."""

Bound = str | float | None


@dataclass(frozen=True)
class When:
    """A condition on another key of the same section: it holds one of ``values``, or with none "
    "named, it is given."""

    key: str
    values: tuple[str, ...] = ()

    def __str__(self) -> str:
        """The condition in words."""
        if not self.values:
            return f"{self.key} is given"
        return f"{self.key} is {' or '.join(self.values)}"


@dataclass(frozen=True)
class Parameter:
    """One key of a section.

    name            the key
    kind            a kind of quantity of the units table, or ``text``, ``choice``, ``integer``, ``speeds``
    words           what it is, for people: one or two sentences
    curve           True where a curve over engine speed may stand (a single value is taken as constant)
    axis            kind of quantity over which a curve may stand instead, ``pressure`` or ``voltage``; empty for none
    axis_basis      what the numbers of that axis are counted from, which has to be said; empty for none
    axis_only       True where a single value has no meaning without its place on the axis
    many            True where a list stands, a value for each cylinder, or for each of what ``each`` names
    required        it must be given
    required_when   it must be given when this holds
    unless          it need not be given when this other key is, and its default is not taken then
    used_when       its default matters only when this holds, and is listed to the user only then
    default         what is taken when it is not given, written as a user would write it; None for no default
    default_status  where the default is from: ``common practice``, ``from memory``, ``own estimate``,
                    ``assumed``, ``published``, ``computed``
    default_band    how far the default may be off, as a user would write it behind "+-", or "LOW to HIGH" where it
                    is lopsided; empty where it is a decision, or where its doubt is counted elsewhere
    measured_by     what makes the value known better: a sentence that begins with a verb
    low, high       refused outside, as text with a unit or as a plain number
    low_ask, high_ask  a warning outside: possible, but hardly meant
    basis           words one of which must be given; for a single word, anything else is refused
    stored_basis    the basis of the number that ``Section.si`` returns
    refused_basis   basis word -> what to write instead
    choices         the words allowed for kind ``choice``
    also            a second kind that is accepted, turned into the first by the reader
    example         what the page and the new file show
    scale           what a value out of range is divided by to see whether that was meant (100 for a share
                    written in per cent); asked, never done
    outside_remedy  what to write when the value is refused for being out of range
    ask_remedy      what to look at when the value is merely unlikely
    """

    name: str
    kind: str
    words: str
    curve: bool = False
    axis: str = ""
    axis_basis: str = ""
    axis_only: bool = False
    many: bool = False
    each: str = "cylinder"
    required: bool = False
    required_when: When | None = None
    unless: str = ""
    used_when: When | None = None
    default: str | float | int | None = None
    default_status: str = ""
    default_band: str = ""
    measured_by: str = ""
    low: Bound = None
    high: Bound = None
    low_ask: Bound = None
    high_ask: Bound = None
    basis: tuple[str, ...] = ()
    stored_basis: str = ""
    refused_basis: Mapping[str, str] = field(default_factory=dict)
    choices: tuple[str, ...] = ()
    also: str = ""
    example: str = ""
    scale: float | None = None
    outside_remedy: str = ""
    ask_remedy: str = ""

    @property
    def basis_key(self) -> str:
        """The sibling key in which the basis may be written, empty when the value settles it."""
        return f"{self.name}_basis" if len(self.basis) > 1 and not self.curve else ""


@dataclass(frozen=True)
class SectionSchema:
    """One section of build.toml: ``title`` heads it on the page, ``words`` say what it describes."""

    name: str
    title: str
    words: str
    parameters: tuple[Parameter, ...]

    def find(self, key: str) -> Parameter:
        """The declaration of a key; raises KeyError."""
        for parameter in self.parameters:
            if parameter.name == key:
                return parameter
        raise KeyError(key)

    @property
    def keys(self) -> tuple[str, ...]:
        """Every key that may stand in the section, basis keys included."""
        found: list[str] = []
        for parameter in self.parameters:
            found.append(parameter.name)
            if parameter.basis_key and parameter.basis_key not in found:
                found.append(parameter.basis_key)
        return tuple(found)
