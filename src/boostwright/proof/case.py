"""One check of one number, and what became of it.

A case says what goes in, what a source says comes out, how close we must be and why. This file holds the records
only; ``reader`` makes them from ``cases/<subject>.toml``, ``runner`` compares.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from boostwright.provenance.source import CASE_STATUS

__all__ = ["EVIDENCE", "Case", "CaseResult", "ProofResult", "RelationProof"]

# What a case is worth, best first. The status "computed" is split in two: another hand's program, or our own formula.
EVIDENCE: Mapping[str, str] = MappingProxyType(
    {
        **{word: meaning for word, meaning in CASE_STATUS.items() if word != "computed"},
        "reference library": "computed by a reference library, named with its version: independent of this program; "
        "where it carries the same formula, proves constants and coding",
        "own formula": "worked out from the very formula the program holds, or what it was fitted to: "
        "proves coding only, counts as no proof",
    }
)


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
    library    name and version of the reference library that computed the value; "" for none
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
    library: str = field(default="", kw_only=True)

    @property
    def evidence(self) -> str:
        """What the case is worth: a word of EVIDENCE."""
        if self.status != "computed":
            return self.status
        return "reference library" if self.library else "own formula"

    @property
    def independent(self) -> bool:
        """True when the value comes from outside the formula that it checks."""
        return self.evidence != "own formula"


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
class RelationProof:
    """What stands behind one relation of the physics.

    name     dotted name below ``physics``
    source   key of the bibliography
    status   how the formula is known: a word of RELATION_STATUS
    cases    number of cases of the relation itself, by word of EVIDENCE
    in_sums  number of cases that run through it among others, by word of EVIDENCE
    """

    name: str
    source: str
    status: str
    cases: Mapping[str, int]
    in_sums: Mapping[str, int]

    def count(self, evidence: str) -> int:
        """Cases of that word of EVIDENCE, alone and in sums together."""
        return self.cases.get(evidence, 0) + self.in_sums.get(evidence, 0)

    @property
    def best(self) -> str:
        """The best word of EVIDENCE among its cases; "" where it has none."""
        return next((word for word in EVIDENCE if self.count(word)), "")


@dataclass(frozen=True)
class ProofResult:
    """All cases that were run, in the order of subjects and files.

    cases      one compared value each
    relations  what stands behind every relation of the physics; only when every subject was run
    """

    cases: tuple[CaseResult, ...]
    relations: tuple[RelationProof, ...] = ()

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
        """Number of compared values by word of EVIDENCE, best first."""
        return {word: sum(result.evidence == word for result in self.cases) for word in EVIDENCE}

    @property
    def unread(self) -> tuple[RelationProof, ...]:
        """Relations that no value seen in its source stands behind."""
        return tuple(one for one in self.relations if one.best != "read")

    @property
    def subjects(self) -> tuple[str, ...]:
        """Subjects that were run."""
        return tuple(dict.fromkeys(result.subject for result in self.cases))
