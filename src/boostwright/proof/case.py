"""One check of one number, and what became of it.

A case says what goes in, what a source says comes out, how close we must be and why. This file holds the records
only; ``reader`` makes them from ``cases/<subject>.toml``, ``runner`` compares.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from boostwright.provenance.source import CASE_STATUS

__all__ = ["Case", "CaseResult", "ProofResult"]


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
    """All cases that were run, in the order of subjects and files.

    cases      one compared value each
    uncovered  (dotted name, status) of every relation that no case exercises; only when every subject was run
    """

    cases: tuple[CaseResult, ...]
    uncovered: tuple[tuple[str, str], ...] = ()

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
