"""Finding a part card by kind and name: the build's own cards first, then the shipped library."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import replace
from difflib import get_close_matches
from pathlib import Path

from boostwright.cards.card import Card
from boostwright.cards.reader import KINDS, read_card
from boostwright.cards.toml_lines import TomlFault, read_toml
from boostwright.errors import UnknownPart

__all__ = ["BUILD_CARDS", "LIBRARY", "cards_as_first_read", "find_card", "list_cards"]

LIBRARY = Path(__file__).resolve().parent.parent / "library"
BUILD_CARDS = "cards"
_LONGEST_NAME = 200  # bytes; a file system takes 255, its ending included
_IN_BUILD = "the build's cards"
_IN_LIBRARY = "the shipped library"


_first_read: ContextVar[dict[tuple[str, str, Path | None], Card] | None] = ContextVar(
    "_first_read", default=None
)


@contextmanager
def cards_as_first_read() -> Iterator[None]:
    """Inside this ``find_card`` reads each card once: a long run sees it as it was, whatever is written meanwhile."""
    known = _first_read.get()
    token = _first_read.set({} if known is None else known)
    try:
        yield
    finally:
        _first_read.reset(token)


def find_card(kind: str, name: str, build_folder: Path | None = None) -> Card:
    """Read the card of that kind and name.

    kind          one of ``reader.KINDS``
    name          the card's name; ``.toml`` at its end is not part of it
    build_folder  folder of the build, whose ``cards/<kind>/`` and ``cards/`` are searched first;
                  None = library only
    Raises UnknownPart (nearest names, places looked in) and CardError (every fault of the card found).

    >>> card = find_card("fuel", "petrol-ron95")
    >>> card.si("density"), card.values["density"].status
    (745.0, 'from memory')
    """
    known = _first_read.get()
    if known is not None and (kind, name, build_folder) in known:
        return known[kind, name, build_folder]
    card = _read(kind, name, build_folder)
    if known is not None:
        known[kind, name, build_folder] = card
    return card


def _read(kind: str, name: str, build_folder: Path | None) -> Card:
    """See ``find_card``."""
    if kind not in KINDS:
        raise UnknownPart(f"'{kind}' is no kind of part card. Kinds: {', '.join(KINDS)}.")
    wanted = f"{name}.toml"
    safe = (
        Path(wanted).name == wanted
        and "\\" not in name
        and len(name.encode("utf-8", "replace")) <= _LONGEST_NAME
    )
    looked: list[str] = []
    other_kinds: list[str] = []
    for folder, found_in in _folders(kind, build_folder):
        looked.append(str(folder))
        path = folder / wanted
        if not safe or not path.is_file():
            continue
        if folder.name == BUILD_CARDS and (other := _kind_of(path)) in KINDS and other != kind:
            other_kinds.append(f"{path} is a {other} card")
            continue
        return replace(read_card(path, kind), found_in=found_in)
    names = list_cards(kind, build_folder)
    near = get_close_matches(name, names, 3, 0.5)
    message = f"There is no {kind} card '{name}'."
    if near:
        message += f" Nearest: {', '.join(near)}."
    elif names:
        message += f" There are: {', '.join(names)}."
    if other_kinds:
        message += f" ({'; '.join(other_kinds)}.)"
    raise UnknownPart(message + f" Looked in {', '.join(looked)}.")


def list_cards(kind: str, build_folder: Path | None = None) -> list[str]:
    """Names of all cards of a kind that ``find_card`` would find, sorted; unreadable files are left out."""
    names: set[str] = set()
    for folder, _ in _folders(kind, build_folder):
        if folder.is_dir():
            shared = folder.name == BUILD_CARDS
            names |= {p.stem for p in folder.glob("*.toml") if not shared or _kind_of(p) == kind}
    return sorted(names)


def _folders(kind: str, build_folder: Path | None) -> Iterator[tuple[Path, str]]:
    """Folders to search, in order, with the words for each."""
    if build_folder is not None:
        yield build_folder / BUILD_CARDS / kind, _IN_BUILD
        yield build_folder / BUILD_CARDS, _IN_BUILD
    yield LIBRARY / kind, _IN_LIBRARY


def _kind_of(path: Path) -> str:
    """The kind a file's header names; empty when it cannot be told."""
    try:
        data, _ = read_toml(path.read_text(encoding="utf-8-sig"))
    except (OSError, UnicodeDecodeError, TomlFault):
        return ""
    return str(data.get("kind", ""))
