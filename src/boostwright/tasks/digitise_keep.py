"""Readings of pictures as a build keeps them: begun, kept as they go, opened again, put away, made into a card.

What is being read lies in ``digitising/``: ``<name>.json`` and ``<name>.png``. Once a card comes of it both lie
beside the card, as ``<name>.digitised.json`` and ``.png``. Nothing is ever deleted: what is put away is renamed.
"""

from __future__ import annotations

import functools
import hashlib
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.card import Card
from boostwright.cards.digitise.picture import Picture, colours_of, open_picture
from boostwright.cards.digitise.session import (
    KeptPicture,
    Session,
    SessionError,
    is_name,
    session_from,
    session_text,
)
from boostwright.cards.digitise.trace import Trace, trace_line
from boostwright.cards.reader import KINDS, read_card
from boostwright.cards.writer import write_card
from boostwright.errors import CardError, Fault, UnknownPart
from boostwright.saving import save_atomically, save_new
from boostwright.tasks.digitise import digitise

__all__ = [
    "CardThere",
    "ReadingChanged",
    "ReadingHere",
    "begin_reading",
    "follow_line",
    "keep_reading",
    "open_reading",
    "picture_of_reading",
    "put_away_reading",
    "readings_of_build",
    "save_card",
    "save_card_beside",
]

FOLDER = "digitising"
_BESIDE = ".digitised"
_MOST = 500
_LARGEST = 4_000_000


class CardThere(CardError):
    """There is a card of that name already, and it may not be replaced."""


class ReadingChanged(SessionError):
    """The reading was kept by another page or program since it was opened."""


@dataclass(frozen=True)
class ReadingHere:
    """A reading there is.

    name   of the reading
    what   what its picture shows; empty while it is not said
    saved  'being read', or the kind of card it was made into
    fault  why it cannot be opened; empty where it can
    """

    name: str
    what: str
    saved: str
    fault: str = ""


def readings_of_build(build: Path) -> tuple[ReadingHere, ...]:
    """Every reading of a build, those not finished first, by name; one that is damaged says so."""
    found = []
    for path, saved in _records(build):
        name = path.name.removesuffix(".json").removesuffix(_BESIDE if saved != _OPEN else "")
        try:
            session = _read(path)
            found.append(ReadingHere(name, session.what, saved))
        except (SessionError, OSError) as error:
            found.append(ReadingHere(name, "", saved, str(error)[:200]))
    return tuple(found[:_MOST])


_OPEN = "being read"


def begin_reading(build: Path, name: str, data: bytes) -> tuple[Session, str, Picture]:
    """A new reading of a picture.

    build  folder of the build
    name   of the reading
    data   the picture's file
    Returns the reading, its stamp, and the picture. Raises PictureError, or SessionError for a name that is none or
    is taken; nothing is written then.
    """
    folder = _folder(build, FOLDER, make=False)
    if not is_name(name):
        allowed = "small letters, digits, '-' and '.', at most 63"
        raise SessionError([Fault("reading", "name", name[:80], "cannot be a name.", allowed)])
    if (folder / f"{name}.json").exists() or (folder / f"{name}.png").exists():
        message = "there is a reading of this name already."
        raise SessionError([Fault("reading", "name", name, message, "", "Open it, or choose another name.")])
    picture = open_picture(data, name)
    kept = KeptPicture(f"{name}.png", picture.width, picture.height, picture.sha256, picture.source)
    session = Session(name, picture=kept)
    folder = _folder(build, FOLDER)
    text = session_text(session)
    save_new(folder / kept.file, picture.png)
    save_new(folder / f"{name}.json", text.encode())
    return session, _stamp(text), picture


def open_reading(build: Path, name: str) -> tuple[Session, str]:
    """A reading and its stamp: the one being read, else the one beside a card. Raises UnknownPart, SessionError."""
    path, _ = _find(build, name)
    text = path.read_text(encoding="utf-8")
    return replace(session_from(text, path.name), name=name), _stamp(text)


def picture_of_reading(build: Path, name: str) -> bytes:
    """The picture of a reading, PNG. Raises UnknownPart."""
    path, saved = _find(build, name)
    picture = path.with_name(path.name.removesuffix(".json") + ".png")
    if picture.is_symlink() or not picture.is_file():
        raise UnknownPart(f"The picture of the reading '{name}' is no longer there ({saved}).")
    return picture.read_bytes()


def follow_line(
    build: Path, name: str, start: tuple[float, float], stop: tuple[float, float] | None = None
) -> Trace:
    """A line in the picture of a reading, followed from a place on it [pixels] as far as it goes, or to ``stop``.

    Raises TraceError where there is no line, UnknownPart where there is no reading.
    """
    return trace_line(_colours(picture_of_reading(build, name)), start, stop)


@functools.lru_cache(maxsize=2)
def _colours(png: bytes) -> NDArray[np.uint8]:
    """The picture unpacked; the last two are remembered, since lines are followed one after another."""
    return colours_of(png)


def keep_reading(build: Path, session: Session, stamp: str | None) -> str:
    """Keep a reading as it is now.

    build    folder of the build
    session  the reading; its picture stays what it was
    stamp    what it was when it was opened; None writes it whatever is there
    Returns the new stamp. Raises ReadingChanged where it is no longer that, UnknownPart where there is none.
    """
    path, saved = _find(build, session.name)
    text = path.read_text(encoding="utf-8")
    if stamp is not None and stamp != _stamp(text):
        message = "was kept by another page or program since it was opened here."
        remedy = "Take that one, or write this one over it."
        raise ReadingChanged([Fault(session.name, "stamp", "", message, "", remedy)])
    new = session_text(replace(session, picture=_picture_kept(text, session)))
    if saved != _OPEN:
        # a card hangs on that one: what is changed is a new reading until it is made into the card again
        folder = _folder(build, FOLDER)
        save_atomically(folder / f"{session.name}.png", picture_of_reading(build, session.name))
        path = folder / f"{session.name}.json"
    save_atomically(path, new.encode())
    return _stamp(new)


def put_away_reading(build: Path, name: str) -> None:
    """Take a reading out of the list; its files stay, renamed. Raises UnknownPart; a card's own reading stays."""
    path, saved = _find(build, name)
    if saved != _OPEN:
        raise SessionError([Fault(name, "", "", "belongs to a card and stays beside it.")])
    _put_away(path)
    _put_away(path.with_suffix(".png"))


def save_card(build: Path, session: Session, over: bool = False) -> Card:
    """Make a reading of the build into a card; the reading and its picture go beside it.

    build    folder of the build
    session  the reading
    over     whether a card of that name may be replaced; the old one is renamed
    Returns the card, read back. Raises SessionError, AxesError, CardError: nothing is changed then. The card can be
    named in build.toml as ``changes`` of the result say.
    """
    png = picture_of_reading(build, session.name)
    path, _ = _find(build, session.name)
    session = replace(session, picture=_picture_kept(path.read_text(encoding="utf-8"), session))
    card = _written(build, session, png, over)
    for done in (f"{session.name}.json", f"{session.name}.png"):
        (build / FOLDER / done).unlink(missing_ok=True)
    return card


def save_card_beside(build: Path, session: Session, record: Path, over: bool = False) -> Card:
    """As ``save_card``, for a record that lies anywhere; its picture is taken along where it lies beside it."""
    if not build.is_dir():
        raise SessionError([Fault(str(build), "", "", "is no folder of a build.")])
    picture = record.with_name(session.picture.file) if session.picture.file else None
    png = picture.read_bytes() if picture is not None and picture.is_file() else b""
    return _written(build, session, png, over)


def _written(build: Path, session: Session, png: bytes, over: bool) -> Card:
    """Write the card, then the record and the picture beside it."""
    result = digitise(session)
    if result.card is None:
        message = "comes to keys of the build, and to no card."
        raise SessionError([Fault(session.name, "what", session.what, message)])
    if result.faults:
        raise CardError(result.faults)
    draft = result.card
    folder = _folder(build, "cards", draft.header.kind, make=False)
    path = folder / f"{session.name}.toml"
    if path.exists() and not over:
        message = "there is a card of this name already."
        raise CardThere(
            [Fault(path.name, "name", session.name, message, "", "Replace it, or choose another name.")]
        )
    folder = _folder(build, "cards", draft.header.kind)
    with tempfile.TemporaryDirectory(dir=folder) as trial:
        made = write_card(
            Path(trial), draft.header, draft.values, draft.provenance, draft.columns, draft.units
        )
        for old in (path, path.with_suffix(".csv")):
            _copy_away(old)
        for new in (made.path.with_suffix(".csv"), made.path):
            if new.exists():
                save_atomically(folder / new.name, new.read_bytes())
    kept = session.picture
    if png:
        kept = replace(kept, file=f"{session.name}{_BESIDE}.png")
        save_atomically(folder / kept.file, png)
    record = session_text(replace(session, picture=kept))
    save_atomically(folder / f"{session.name}{_BESIDE}.json", record.encode())
    return read_card(path, draft.header.kind)


def _records(build: Path) -> Iterator[tuple[Path, str]]:
    """Records of readings: those being read, then those beside cards."""
    places = [(build / FOLDER, "*.json", _OPEN)]
    places += [(build / "cards" / kind, f"*{_BESIDE}.json", kind) for kind in KINDS]
    for folder, pattern, saved in places:
        if folder.is_dir() and not folder.is_symlink() and not folder.parent.is_symlink():
            for path in sorted(folder.glob(pattern)):
                if path.is_file() and not path.is_symlink() and not path.name.startswith("."):
                    yield path, saved


def _find(build: Path, name: str) -> tuple[Path, str]:
    """The record of a reading by its name, compared with those there are."""
    for path, saved in _records(build):
        if path.name == (f"{name}.json" if saved == _OPEN else f"{name}{_BESIDE}.json"):
            return path, saved
    raise UnknownPart(f"There is no reading '{name[:80]}' in this build.")


def _read(path: Path) -> Session:
    if path.stat().st_size > _LARGEST:
        raise SessionError([Fault(path.name, "", "", "is too large for the record of a reading.")])
    return session_from(path.read_text(encoding="utf-8", errors="replace"), path.name)


def _picture_kept(text: str, session: Session) -> KeptPicture:
    """The picture that the record on disk names, which no page may change."""
    try:
        kept = session_from(text, session.name).picture
    except SessionError:
        return session.picture
    return replace(kept, file=f"{session.name}.png") if kept.file else session.picture


def _stamp(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def _folder(build: Path, *names: str, make: bool = True) -> Path:
    """A folder inside the build, no link out of it; made where it is missing."""
    folder = build
    for name in names:
        folder = folder / name
        if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
            message = "is no plain folder of the build, and nothing is written there."
            raise SessionError([Fault(folder.name, "", "", message, "", "Move it away.")])
        if make:
            folder.mkdir(exist_ok=True)
    return folder


def _put_away(path: Path) -> None:
    """Rename a file so that it is out of the way and still there."""
    if path.exists():
        path.rename(_old_name(path))


def _copy_away(path: Path) -> None:
    """Keep a file as it is under another name."""
    if path.exists():
        save_new(_old_name(path), path.read_bytes())


def _old_name(path: Path) -> Path:
    """A name that is free for what was ``path``."""
    number = 1
    while (old := path.with_name(f"{path.name}.old{number}")).exists():
        number += 1
    return old
