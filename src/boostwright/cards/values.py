"""The values of a card: from what stands in the file to SI, held against the declaration of the kind."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from boostwright.cards.card import CardHeader, CardValue, Field
from boostwright.errors import Fault
from boostwright.provenance.source import CARD_STATUS
from boostwright.units import Quantity, QuantityError, format_quantity, parse_quantity

__all__ = ["Place", "read_values"]

_BAND = "_band"


@dataclass(frozen=True)
class Place:
    """Where the keys of one file stand.

    file   the file's name
    lines  path of names -> line number
    """

    file: str
    lines: Mapping[tuple[str, ...], int]

    def line(self, path: tuple[str, ...]) -> int:
        """Line of the key, or of the nearest table round it; 0 when neither stands there."""
        for length in range(len(path), 0, -1):
            if path[:length] in self.lines:
                return self.lines[path[:length]]
        return 0

    def words(self, path: tuple[str, ...]) -> str:
        """File and line, for a message."""
        line = self.line(path)
        return f"{self.file}, line {line}" if line else self.file

    def fault(
        self, path: tuple[str, ...], value: str, message: str, allowed: str = "", remedy: str = ""
    ) -> Fault:
        """A fault of the key at ``path``."""
        return Fault(self.words(path), ".".join(path), value, message, allowed, remedy, self.line(path))


class _Refused(ValueError):
    """A value cannot be read; the text says why, ``remedy`` what to write."""

    def __init__(self, message: str, remedy: str = "") -> None:
        """Keep both."""
        self.remedy = remedy
        super().__init__(message)


def read_values(
    data: Mapping[str, Any], place: Place, header: CardHeader, fields: Sequence[Field]
) -> tuple[Mapping[str, CardValue], list[Fault], list[Fault]]:
    """Read the values of a card; return them with all errors and all warnings."""
    kind = header.kind
    given = data.get(kind, {})
    provenance = data.get("provenance", {})
    if not isinstance(given, dict) or not isinstance(provenance, dict):
        message = f"[{kind}] and [provenance.<key>] must be tables."
        return {}, [place.fault((kind,), "", message)], []
    errors = _unknown(given, provenance, place, kind, fields)
    warnings: list[Fault] = []
    values: dict[str, CardValue] = {}
    for item in fields:
        path = (kind, item.key)
        if item.key not in given and item.default is None:
            if item.required:
                errors.append(place.fault(path, "", "is missing.", item.words))
            continue
        raw = given.get(item.key, item.default)
        try:
            quantity, read_as, word = _value(raw, item, place, path)
            band = _band(given, item, read_as, place, kind)
        except _Refused as refused:
            errors.append(place.fault(path, _shown(raw), str(refused), item.words, refused.remedy))
            continue
        source, status, faults = _origin(provenance.get(item.key), header, place, item.key)
        errors += faults
        values[item.key] = CardValue(quantity, read_as, word, source, status, band, place.line(path))
        if quantity is not None:
            _check_limits(
                quantity.value_si, item, read_as, place.fault(path, _shown(raw), ""), errors, warnings
            )
    return values, errors, warnings


def _unknown(
    given: Mapping[str, Any], provenance: Mapping[str, Any], place: Place, kind: str, fields: Sequence[Field]
) -> list[Fault]:
    """Faults for keys that are not declared, with the nearest one that is."""
    known = [item.key for item in fields]
    faults = []
    for key in given:
        if key not in known and not (key.endswith(_BAND) and key.removesuffix(_BAND) in known):
            near = get_close_matches(key, known, 1)
            remedy = f"Did you mean {near[0]}?" if near else f"Known: {', '.join(known)}."
            faults.append(place.fault((kind, key), _shown(given[key]), "is not known.", "", remedy))
        elif key.endswith(_BAND) and key.removesuffix(_BAND) not in given and key not in known:
            faults.append(place.fault((kind, key), "", "is the band of a value that is not there."))
    faults += [
        place.fault(("provenance", key), "", f"there is no value of that name in [{kind}].")
        for key in provenance
        if key not in given
    ]
    return faults


def _shown(raw: Any) -> str:
    """A value as it stands in the file, near enough for a message."""
    return f'"{raw}"' if isinstance(raw, str) else str(raw)


def _value(raw: Any, item: Field, place: Place, path: tuple[str, ...]) -> tuple[Quantity | None, str, str]:
    """The value as a quantity or a word, and the kind it was read as. Raises _Refused."""
    if item.kind == "word":
        if not isinstance(raw, str) or not raw.strip():
            raise _Refused("must be a word between quotes.")
        if item.choices and raw not in item.choices:
            near = get_close_matches(raw, item.choices, 1)
            hint = f" Did you mean '{near[0]}'?" if near else ""
            raise _Refused(f"must be one of {', '.join(item.choices)}.{hint}")
        return None, "word", raw
    if item.kind in ("number", "integer"):
        whole = isinstance(raw, int) and not isinstance(raw, bool)
        if not (whole or (item.kind == "number" and isinstance(raw, float))):
            raise _Refused(f"must be a plain {item.kind}, without a unit and without quotes.")
        if not math.isfinite(raw):
            raise _Refused("is not a finite number.")
        return Quantity(float(raw), "", None, str(raw)), item.kind, ""
    if not isinstance(raw, str):
        raise _Refused("must be a number with its unit, as text between quotes.")
    kinds = item.kind.split("|")
    refusals: list[Fault] = []
    for kind in kinds:
        try:
            quantity = parse_quantity(raw, kind, place=place.words(path), key=item.key)
        except QuantityError as error:
            refusals.append(error.fault)
            continue
        basis = quantity.basis or ""
        if item.basis and basis not in item.basis:
            raise _Refused(f"must say which of these it is, after the unit: {', '.join(item.basis)}.")
        if basis and not item.basis:
            raise _Refused(f"cannot be '{basis}'.")
        return quantity, kind, ""
    message = refusals[0].message
    if len(kinds) > 1:
        message = "cannot be read as " + " or as ".join(kinds).replace("_", " ") + "."
    raise _Refused(message, refusals[0].remedy)


def _band(
    given: Mapping[str, Any], item: Field, read_as: str, place: Place, kind: str
) -> tuple[float, float] | None:
    """The band stated beside the value, in SI. Raises _Refused."""
    key = item.key + _BAND
    if key not in given:
        return None
    raw = given[key]
    if not isinstance(raw, list) or len(raw) != 2 or read_as == "word":
        raise _Refused(f"{key} must be [low, high], each written as the value is.")
    one = Field(item.key, read_as, item.words, basis=item.basis)
    ends = [_value(end, one, place, (kind, key))[0] for end in raw]
    low, high = (math.nan if end is None else end.value_si for end in ends)
    if not low < high:
        raise _Refused(f"{key} must have its low end first.")
    middle = _value(given[item.key], one, place, (kind, item.key))[0] if item.key in given else None
    if middle is not None and not low <= middle.value_si <= high:
        raise _Refused(f"does not lie inside its own {key}.")
    return low, high


def _origin(raw: Any, header: CardHeader, place: Place, key: str) -> tuple[str, str, list[Fault]]:
    """Source and status of one value, and what is wrong with its [provenance.<key>]."""
    if raw is None:
        return header.source, header.status, []
    path = ("provenance", key)
    if not isinstance(raw, dict) or not set(raw) <= {"source", "status"} or not raw:
        return header.source, header.status, [place.fault(path, "", "may hold source and status only.")]
    source = str(raw.get("source", header.source))
    status = str(raw.get("status", header.status))
    if status not in CARD_STATUS:
        allowed = ", ".join(f"'{word}'" for word in CARD_STATUS)
        return source, status, [place.fault((*path, "status"), status, "is no status word.", allowed)]
    return source, status, []


def _check_limits(
    value: float, item: Field, kind: str, blank: Fault, errors: list[Fault], warnings: list[Fault]
) -> None:
    """Add an error outside low/high, a warning outside low_ask/high_ask."""

    def outside(low: float | None, high: float | None) -> bool:
        return (low is not None and value < low) or (high is not None and value > high)

    def words(low: float | None, high: float | None) -> str:
        ends = (
            "" if low is None else f"at least {_in_words(low, kind)}",
            "" if high is None else f"at most {_in_words(high, kind)}",
        )
        return " and ".join(end for end in ends if end) + f"; {item.words}"

    if outside(item.low, item.high):
        message = "lies outside what is possible."
        allowed = words(item.low, item.high)
        errors.append(Fault(blank.place, blank.key, blank.value, message, allowed, line=blank.line))
    elif outside(item.low_ask, item.high_ask):
        message = "is unusual: is it right?"
        allowed = "usual: " + words(item.low_ask, item.high_ask)
        warnings.append(Fault(blank.place, blank.key, blank.value, message, allowed, line=blank.line))


def _in_words(value_si: float, kind: str) -> str:
    """A limit in the unit its kind is usually printed in."""
    return f"{value_si:g}" if kind in ("number", "integer") else format_quantity(value_si, kind)
