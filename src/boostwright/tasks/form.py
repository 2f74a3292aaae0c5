"""The build as a form: every key there is, with what stands there, what it means, and what is wrong beside it.

A build with faults gives its form too, since that is where its owner mends it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from boostwright.build.build import DefaultUsed
from boostwright.build.reader import BUILD_FILE, Checked, ReadSoFar, check_build, check_bytes
from boostwright.build.schema import SECTIONS, TOP_LEVEL
from boostwright.build.toml_spots import spots_of
from boostwright.build.writer import edited_bytes
from boostwright.errors import BuildError, Fault
from boostwright.tasks.check_build import faults_of_meaning
from boostwright.tasks.form_fields import Field, FieldMaker

__all__ = ["Form", "FormSection", "build_form", "settings_of"]


@dataclass(frozen=True)
class FormSection:
    """One section: ``present`` says whether it stands in the file or the changes."""

    name: str
    title: str
    words: str
    present: bool
    fields: tuple[Field, ...]


@dataclass(frozen=True)
class Form:
    """A build as a form.

    title     what its owner calls it
    stamp     SHA-256 of the file as read, hexadecimal
    readable  False where a line of the file cannot be read as TOML
    sections  every section of the schema, the head of the file first
    faults    all that is refused, in the order of the file
    warnings  all that is asked about
    cards     kind of card -> its name, for the kinds a card is named for
    defaults  defaults that nobody has confirmed
    """

    title: str
    stamp: str
    readable: bool
    sections: tuple[FormSection, ...]
    faults: tuple[Fault, ...]
    warnings: tuple[Fault, ...]
    cards: Mapping[str, str]
    defaults: tuple[DefaultUsed, ...]


def settings_of(changes: Mapping[str, str | None]) -> tuple[str, ...]:
    """Changes, key -> text or None, as settings ``section.key=value``."""
    return tuple(f"{key}={'' if text is None else text}" for key, text in changes.items())


def build_form(folder: Path, changes: Mapping[str, str | None]) -> Form:
    """The form of the build in a folder with changes laid over it; nothing is written.

    changes  dotted key -> text as it would stand in the file without quotes; None or "" takes the key out
    Raises BuildError only where there is no file, or nothing that could be read in it.
    """
    settings = settings_of(changes)
    checked = _mended(check_build(folder, settings), folder, settings)
    read = checked.so_far
    if read is None:
        raise BuildError(checked.faults)
    faults = checked.faults
    if checked.build is not None:
        faults = (*faults, *faults_of_meaning(checked.build))
    return _form(read, checked, faults, changes)


def _mended(checked: Checked, folder: Path, settings: Sequence[str]) -> Checked:
    """What the check would find with a change written in place of a line that cannot be read; else as it was found."""
    read = checked.so_far
    if read is None or not read.source.broken or not settings:
        return checked
    path = folder / BUILD_FILE
    try:
        again = check_bytes(edited_bytes(read.text.encode(), settings), path)
    except BuildError:
        return checked
    if again.so_far is None:
        return checked
    source = replace(again.so_far.source, digest=read.source.digest)
    return replace(again, so_far=replace(again.so_far, text=read.text, source=source))


def _form(
    read: ReadSoFar, checked: Checked, faults: Sequence[Fault], changes: Mapping[str, str | None]
) -> Form:
    texts = {spot.path: read.text[spot.value : spot.value_end] for spot in spots_of(read.text) if spot.value}
    provenance = read.sections.get("", {}).get("provenance")
    maker = FieldMaker(
        read=read,
        texts=texts,
        changed=frozenset(tuple(key.split(".")) for key in changes),
        faults=tuple(faults),
        warnings=checked.warnings,
        provenance=(provenance.text if provenance else "") or "",
    )
    sections = [
        FormSection(
            schema.name,
            schema.title,
            schema.words,
            not schema.name or schema.name in read.data,
            tuple(maker.field(schema, parameter) for parameter in schema.parameters),
        )
        for schema in (TOP_LEVEL, *SECTIONS)
    ]
    head = read.sections.get("", {}).get("name")
    return Form(
        title=(head.text if head else "") or "",
        stamp=read.source.digest,
        readable=not read.source.broken,
        sections=tuple(sections),
        faults=tuple(faults),
        warnings=checked.warnings,
        cards=_cards(read.data),
        defaults=read.defaults,
    )


def _cards(data: Mapping[str, Any]) -> dict[str, str]:
    """The cards that are named."""
    named = {}
    for schema in SECTIONS:
        section = data.get(schema.name)
        card = section.get("card") if isinstance(section, Mapping) else None
        if isinstance(card, str) and card.strip():
            named[schema.name] = card
    return named
