"""Where a figure is from: one record a source, and the words that say how well a figure is known.

Three small vocabularies, since three different things are described:

- of a relation (formula with its constants): ``RELATION_STATUS``
- of a check value in the proof: ``CASE_STATUS``
- of a figure shown to the user (cards, defaults): ``CARD_STATUS``
"""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from types import MappingProxyType

from boostwright.errors import UnknownPart

__all__ = [
    "CARD_STATUS",
    "CASE_STATUS",
    "RELATION_STATUS",
    "Source",
    "find_source",
    "read_sources",
]

RELATION_STATUS: Mapping[str, str] = MappingProxyType(
    {
        "read": "formula and constants seen in the source itself",
        "read second-hand": "seen in another text that quotes the source",
        "from memory": "recalled; the source was not at hand",
        "common practice": "a rule of the trade, without a source",
        "definition": "follows from a definition or a balance; no figure taken",
        "own estimate": "ours, with the reason beside it",
    }
)
CASE_STATUS: Mapping[str, str] = MappingProxyType(
    {
        "read": "the value was seen in the source",
        "read second-hand": "the value was seen in another text that quotes the source",
        "from memory": "the value is recalled; the source was not at hand",
        "computed": "worked out from the stated formula with an independent tool: proves coding, not formula",
    }
)
CARD_STATUS: Mapping[str, str] = MappingProxyType(
    {
        "published": "from a source that is named",
        "common practice": "a fact of the trade, without a source",
        "from memory": "recalled; not confirmed",
        "scaled": "a published machine, made larger or smaller by similarity",
        "invented for the demo": "made up; no machine has it",
        "measured by the owner": "the owner's own measurement",
    }
)


@dataclass(frozen=True)
class Source:
    """One entry of the bibliography.

    key        the name by which relations and proof cases cite it
    authors    persons or body
    title      as published
    year       of the edition meant, 0 where a definition has none
    published  journal, report number, publisher
    seen       how the project knows it: a word of RELATION_STATUS or CASE_STATUS
    note       what was seen, what was not
    """

    key: str
    authors: str
    title: str
    year: int
    published: str
    seen: str
    note: str = ""

    @property
    def citation(self) -> str:
        """The source on one line."""
        year = f" ({self.year})" if self.year else ""
        parts = [f"{self.authors}{year}", self.title, self.published]
        return ", ".join(part for part in parts if part)


@functools.cache
def read_sources() -> Mapping[str, Source]:
    """Return the bibliography by key, in the order of the file."""
    text = resources.files(__package__).joinpath("sources.toml").read_text(encoding="utf-8")
    entries = tomllib.loads(text)
    return MappingProxyType({key: Source(key=key, **entry) for key, entry in entries.items()})


def find_source(key: str) -> Source:
    """Return the source of that key; raise UnknownPart when the bibliography has none."""
    try:
        return read_sources()[key]
    except KeyError:
        raise UnknownPart(f"no source {key!r} in provenance/sources.toml") from None
