"""Reads proof cases from ``cases/<subject>.toml``.

Each case names a relation of ``physics`` or a sum of several from ``chains``. Inputs are SI numbers, or text with a
unit ("7000 rpm"); the expected value stands in the unit of the source.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from importlib import resources
from importlib.resources.abc import Traversable
from types import MappingProxyType
from typing import Any

from boostwright.errors import BoostwrightError
from boostwright.proof.case import Case
from boostwright.provenance.source import CASE_STATUS, RELATION_STATUS, read_sources
from boostwright.units import KINDS, convert, to_si, unit_names

__all__ = ["CaseError", "cases_from_text", "read_cases", "subjects", "to_unit"]

_KEYS = {
    "id",
    "quantity",
    "words",
    "relation",
    "inputs",
    "expected",
    "unit",
    "tolerance",
    "kind",
    "why",
    "source",
    "where",
    "status",
    "formula",
}
_NAME_AND_VERSION = re.compile(r"[A-Za-z]\w* \d[\w.]*$")
_OPTIONAL = {"library"}
_TOLERANCE_KINDS = ("absolute", "relative", "band")


class CaseError(BoostwrightError, ValueError):
    """A proof case is not written as it should be: file, identity and fault."""


def _folder() -> Traversable:
    return resources.files(__package__).joinpath("cases")


def subjects() -> tuple[str, ...]:
    """Return the names of the case files, sorted."""
    return tuple(
        sorted(item.name.removesuffix(".toml") for item in _folder().iterdir() if item.name.endswith(".toml"))
    )


def read_cases(subject: str) -> tuple[Case, ...]:
    """Read the cases of one subject; raise CaseError naming the case that is not well written."""
    text = _folder().joinpath(f"{subject}.toml").read_text(encoding="utf-8")
    return cases_from_text(text, subject)


def cases_from_text(text: str, subject: str) -> tuple[Case, ...]:
    """Read cases from TOML text; raise CaseError naming the case that is not well written."""
    return tuple(_case(entry, subject) for entry in tomllib.loads(text).get("case", []))


def to_unit(value_si: float, unit: str) -> float:
    """Express an SI value in a unit of the table; a unit that the table lacks is taken as SI already."""
    kind = _kind_of(unit)
    return convert(value_si, kind, unit) if kind else value_si


def _kind_of(unit: str) -> str:
    # A name can belong to two kinds (degC to temperature and to temperature difference): the first one
    # counts.
    return next((kind for kind in KINDS if unit and unit in unit_names(kind)), "")


def _case(entry: Mapping[str, Any], subject: str) -> Case:
    place = f"{subject}.toml, case {entry.get('id', '?')}, {entry.get('quantity', '?')}"
    unknown, missing = set(entry) - _KEYS - _OPTIONAL, _KEYS - set(entry)
    if unknown or missing:
        raise CaseError(f"{place}: unknown {sorted(unknown)}, missing {sorted(missing)}")
    if entry["kind"] not in _TOLERANCE_KINDS:
        raise CaseError(f"{place}: kind {entry['kind']!r} is none of {_TOLERANCE_KINDS}")
    if entry["status"] not in CASE_STATUS or entry["formula"] not in RELATION_STATUS:
        raise CaseError(
            f"{place}: status {entry['status']!r} or formula {entry['formula']!r} is no known word"
        )
    if entry["source"] not in read_sources():
        raise CaseError(f"{place}: source {entry['source']!r} is not in the bibliography")
    if "library" in entry and entry["status"] != "computed":
        raise CaseError(f"{place}: only a computed value has a library, this one is {entry['status']!r}")
    if "library" in entry and not _NAME_AND_VERSION.match(entry["library"]):
        raise CaseError(
            f"{place}: library {entry['library']!r} must be a name and a version, as in 'fluids 1.3'"
        )
    expected = entry["expected"]
    if isinstance(expected, list) != (entry["kind"] == "band"):
        raise CaseError(f"{place}: a band has two expected values, every other kind one")
    inputs = {name: _input(value, place) for name, value in entry["inputs"].items()}
    return Case(
        **{
            **entry,
            "subject": subject,
            "inputs": MappingProxyType(inputs),
            "expected": tuple(expected) if isinstance(expected, list) else float(expected),
            "tolerance": float(entry["tolerance"]),
        }
    )


def _input(value: Any, place: str) -> Any:
    if not isinstance(value, str):
        return value
    number, _, unit = value.partition(" ")
    kind = _kind_of(unit)
    try:
        return to_si(float(number), kind, unit) if kind else _refuse(value, place)
    except ValueError as error:
        raise CaseError(f"{place}: input {value!r} is no number with a unit") from error


def _refuse(value: str, place: str) -> float:
    raise CaseError(f"{place}: input {value!r} has a unit that the table of units lacks")
