"""One check of one number: what goes in, what a source says comes out, how close we must be and why.

Cases stand in ``cases/<subject>.toml``. Each names a relation of ``physics`` or a sum of several from
``chains``. Inputs are SI numbers, or text with a unit ("7000 rpm"); the expected value stands in the unit
of the source.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from importlib.resources.abc import Traversable
from types import MappingProxyType
from typing import Any

from boostwright.errors import BoostwrightError
from boostwright.provenance.source import CASE_STATUS, RELATION_STATUS, read_sources
from boostwright.units import KINDS, convert, to_si, unit_names

__all__ = [
    "Case",
    "CaseError",
    "CaseResult",
    "ProofResult",
    "cases_from_text",
    "read_cases",
    "subjects",
    "to_unit",
]

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
_TOLERANCE_KINDS = ("absolute", "relative", "band")


class CaseError(BoostwrightError, ValueError):
    """A proof case is not written as it should be: file, identity and fault."""


@dataclass(frozen=True)
class Case:
    """A published value and how our own must compare with it.

    id         stable identity, shared by the quantities of one published example
    subject    name of the file it stands in
    quantity   what is compared
    words      the example as the source puts it
    relation   dotted name below ``physics``, or ``chain.<name>``
    inputs     argument -> SI number or list of them
    expected   value, or lowest and highest of a band, in ``unit``
    unit       unit of expected and tolerance; "" is a pure number
    tolerance  largest deviation allowed, in ``unit`` or as a share; 0 for a band
    kind       'absolute', 'relative' or 'band'
    why        reason for the tolerance
    source     key of the bibliography
    where      page, table, equation or example
    status     how the value is known: a word of CASE_STATUS
    formula    how the relation is known: a word of RELATION_STATUS
    """

    id: str
    subject: str
    quantity: str
    words: str
    relation: str
    inputs: Mapping[str, float | list[Any]]
    expected: float | tuple[float, float]
    unit: str
    tolerance: float
    kind: str
    why: str
    source: str
    where: str
    status: str
    formula: str


@dataclass(frozen=True)
class CaseResult(Case):
    """A case with our own value beside the published one, all in the unit of the case.

    computed   what the relation gives
    deviation  computed less expected; for a band the distance from it, 0 inside
    used       share of the tolerance used up: 1 is the limit (nan for an exact match or a band)
    passed     whether the deviation is within the tolerance
    """

    computed: float
    deviation: float
    used: float
    passed: bool


@dataclass(frozen=True)
class ProofResult:
    """All cases that were run, in the order of subjects and files."""

    cases: tuple[CaseResult, ...]

    @property
    def failed(self) -> tuple[CaseResult, ...]:
        """Cases outside their tolerance."""
        return tuple(result for result in self.cases if not result.passed)

    @property
    def passed(self) -> bool:
        """True when there are cases and none failed."""
        return bool(self.cases) and not self.failed

    @property
    def counts(self) -> Mapping[str, int]:
        """Number of compared values by status of the value, best known first."""
        return {word: sum(result.status == word for result in self.cases) for word in CASE_STATUS}

    @property
    def subjects(self) -> tuple[str, ...]:
        """Subjects that were run."""
        return tuple(dict.fromkeys(result.subject for result in self.cases))


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
    unknown, missing = set(entry) - _KEYS, _KEYS - set(entry)
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
