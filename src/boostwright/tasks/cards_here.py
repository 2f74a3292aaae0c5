"""The part cards a build can name: its own and the shipped library's, with what their headers say."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from boostwright.cards.look_up import BUILD_CARDS, find_card, list_cards
from boostwright.cards.reader import KINDS
from boostwright.errors import BoostwrightError, UnknownPart

__all__ = ["CardHere", "card_kinds", "cards_here", "cards_stamp"]


@dataclass(frozen=True)
class CardHere:
    """One card.

    title   what a list shows: the name
    where   ``build`` or ``library``
    fault   why it cannot be used; empty for a sound one
    """

    name: str
    title: str
    status: str
    source: str
    licence: str
    where: str
    fault: str = ""


def card_kinds() -> tuple[str, ...]:
    """Kinds of cards there are."""
    return tuple(KINDS)


def cards_here(kind: str, folder: Path | None) -> tuple[CardHere, ...]:
    """Cards of a kind, those of the build in ``folder`` first; raises UnknownPart for a kind there is none of."""
    if kind not in KINDS:
        raise UnknownPart(f"'{kind[:80]}' is no kind of part card. Kinds: {', '.join(KINDS)}.")
    found = [_card(kind, name, folder) for name in list_cards(kind, folder)]
    return tuple(sorted(found, key=lambda card: (card.where != "build", card.name)))


def _card(kind: str, name: str, folder: Path | None) -> CardHere:
    try:
        card = find_card(kind, name, folder)
    except BoostwrightError as error:
        return CardHere(name, name, "", "", "", "build", str(error))
    header = card.header
    where = "library" if "library" in card.found_in else "build"
    return CardHere(card.name, card.name, header.status, header.source, header.licence, where)


def cards_stamp(folder: Path) -> str:
    """Something that differs when a card of the build was added, taken away or written."""
    home = folder / BUILD_CARDS
    parts = []
    if home.is_dir():
        for path in sorted(home.rglob("*")):
            try:
                state = path.stat()
            except OSError:
                continue
            parts.append(f"{path.name}:{state.st_mtime_ns}:{state.st_size}")
    return "|".join(parts)
