"""From a card's file to a ``Card``: every fault in one go, each with its file, line and key."""

from __future__ import annotations

import math
from collections.abc import Mapping
from difflib import get_close_matches
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.card import Card, CardHeader, CardSchema
from boostwright.cards.table import read_table
from boostwright.cards.toml_lines import TomlFault, read_toml
from boostwright.cards.values import Place, read_values
from boostwright.errors import CardError, Fault
from boostwright.provenance.source import CARD_STATUS

__all__ = ["KINDS", "parse_card", "read_card", "schema_of"]

KINDS = ("compressor", "fuel", "material", "pipe", "sensor", "turbine", "wastegate")
_HEADER: Mapping[str, str] = {
    "kind": "what the card describes: one of " + ", ".join(KINDS),
    "schema_version": "whole number: the version of the kind's schema that the file was written for",
    "name": "the name it is asked for by: small letters, digits, '-' and '.', as the file is called",
    "source": "where the values come from, in words",
    "licence": "under which terms the values may be passed on",
    "status": "one of " + ", ".join(f"'{word}'" for word in CARD_STATUS),
    "notes": "anything a reader should know",
}


def schema_of(kind: str) -> CardSchema:
    """The schema of a kind of card. Raises KeyError for a kind that does not exist."""
    if kind not in KINDS:
        raise KeyError(kind)
    schema: CardSchema = import_module(f"boostwright.cards.{kind}").SCHEMA
    return schema


def read_card(path: Path, kind: str = "", found_in: str = "") -> Card:
    """Read the card at ``path``.

    kind      kind it must be of; empty = whatever its header says
    found_in  words for where it was found; empty = the folder's name
    Raises CardError with every fault found.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise CardError(
            [
                Fault(
                    path.name,
                    "",
                    "",
                    f"is not UTF-8 text (byte {error.start} cannot be read).",
                    remedy="Save it as UTF-8. Nothing was changed.",
                )
            ]
        ) from error
    except OSError as error:
        raise CardError([Fault(path.name, "", "", f"cannot be opened: {error.strerror}.")]) from error
    return parse_card(text, path, kind, found_in)


def parse_card(text: str, path: Path, kind: str = "", found_in: str = "") -> Card:
    """As ``read_card``, from text; ``path`` is where the text stands (its table is looked for beside it)."""
    if not text.strip():
        raise CardError(
            [Fault(path.name, "", "", "is empty.", remedy="Write its header: " + ", ".join(_HEADER) + ".")]
        )
    try:
        data, lines = read_toml(text)
    except TomlFault as error:
        where = f"{path.name}, line {error.line}" if error.line else path.name
        raise CardError(
            [Fault(where, "", "", f"is not valid TOML: {error.what}.", line=error.line)]
        ) from error
    place = Place(path.name, lines)
    header, faults = _read_header(data, place, path.stem, kind)
    if header is None:
        raise CardError(faults)
    schema = schema_of(header.kind)
    faults += _unknown_keys(data, place, schema)
    values, value_faults, warnings = read_values(data, place, header, schema.fields)
    faults += value_faults
    columns, table_faults, table_warnings = _read_table(data, place, path, schema)
    faults += table_faults
    if faults:
        raise CardError(faults)
    card = Card(header, values, columns, path, found_in or path.parent.name, tuple(warnings + table_warnings))
    if schema.check is not None:
        errors, asks = schema.check(card)
        if errors:
            raise CardError(errors)
        card = Card(header, values, columns, path, card.found_in, card.warnings + tuple(asks))
    return card


def _read_header(
    data: Mapping[str, Any], place: Place, stem: str, kind: str
) -> tuple[CardHeader | None, list[Fault]]:
    """The header, or None with the faults when the kind itself cannot be told."""
    faults: list[Fault] = []
    for key, words in _HEADER.items():
        wanted: type = int if key == "schema_version" else str
        if key not in data:
            if key != "notes":
                faults.append(place.fault((key,), "", "is missing from the header.", words))
        elif not isinstance(data[key], wanted) or isinstance(data[key], bool):
            faults.append(place.fault((key,), repr(data[key]), f"must be a {wanted.__name__}.", words))
        elif key not in ("notes", "schema_version") and not str(data[key]).strip():
            faults.append(place.fault((key,), '""', "is empty.", words))
    text = {key: str(data.get(key, "")) for key in _HEADER}
    if text["status"] and text["status"] not in CARD_STATUS:
        faults.append(place.fault(("status",), text["status"], "is no status word.", _HEADER["status"]))
    if text["name"] and (text["name"] != stem or not _is_name(text["name"])):
        message = (
            f"is not the name of the file ({stem})." if _is_name(text["name"]) else "cannot be a card's name."
        )
        faults.append(place.fault(("name",), text["name"], message, _HEADER["name"]))
    if "kind" in data and text["kind"] not in KINDS:
        near = get_close_matches(text["kind"], KINDS, 1)
        remedy = f"Did you mean {near[0]}?" if near else ""
        faults.append(place.fault(("kind",), text["kind"], "is no kind of card.", _HEADER["kind"], remedy))
    elif kind and "kind" in data and text["kind"] != kind:
        faults.append(place.fault(("kind",), text["kind"], f"a {kind} card is wanted here."))
    elif "kind" in data and isinstance(data.get("schema_version"), int):
        version = schema_of(text["kind"]).version
        if data["schema_version"] != version:
            message = f"this program reads version {version} of {text['kind']} cards."
            faults.append(place.fault(("schema_version",), str(data["schema_version"]), message))
    if text["kind"] not in KINDS or (kind and text["kind"] != kind):
        return None, faults
    version = data["schema_version"] if isinstance(data.get("schema_version"), int) else 0
    header = CardHeader(
        text["kind"], version, text["name"], text["source"], text["licence"], text["status"], text["notes"]
    )
    return header, faults


def _is_name(name: str) -> bool:
    """True for a name that can be a file's stem everywhere."""
    return bool(name) and all(c.islower() or c.isdigit() or c in "-." for c in name) and name[0] not in "-."


def _unknown_keys(data: Mapping[str, Any], place: Place, schema: CardSchema) -> list[Fault]:
    """Faults for keys and tables at the top level that no card of this kind has."""
    known = [*_HEADER, schema.kind, "provenance"]
    if schema.columns or schema.read_table:
        known.append("table")
    faults = []
    for key in data:
        if key not in known:
            near = get_close_matches(key, known, 1)
            inside = key in {item.key for item in schema.fields}
            remedy = f"Did you mean {near[0]}?" if near else ""
            remedy = f"It belongs under [{schema.kind}]." if inside else remedy
            faults.append(place.fault((key,), "", f"is not known in a {schema.kind} card.", "", remedy))
    return faults


def _read_table(
    data: Mapping[str, Any], place: Place, path: Path, schema: CardSchema
) -> tuple[Mapping[str, NDArray[np.float64]], list[Fault], list[Fault]]:
    """Columns in SI, errors and warnings of the card's table; empty when it has none."""
    if schema.read_table is not None:
        return schema.read_table(data, path)
    if not schema.columns or "table" not in data:
        return {}, [], []
    table = data["table"]
    file = table.get("file") if isinstance(table, dict) else None
    if not isinstance(file, str) or set(table) != {"file"}:
        return {}, [place.fault(("table",), "", 'must hold one key: file = "<name>.csv".')], []
    if Path(file).name != file:
        return (
            {},
            [place.fault(("table", "file"), file, "must be a file beside the card, without a folder.")],
            [],
        )
    columns, faults = read_table(path.parent / file, schema.columns)
    if not faults:
        faults = [
            Fault(file, key, "", "has no value in any row.")
            for key, column in columns.items()
            if all(math.isnan(value) for value in column)
        ]
    return columns, faults, []
