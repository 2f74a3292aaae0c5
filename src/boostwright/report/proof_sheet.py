"""The proof sheet on a terminal and as JSON: the program's own results beside values from outside it."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import Any

from boostwright import __version__
from boostwright.proof.case import EVIDENCE, CaseResult, ProofResult, RelationProof
from boostwright.report.proof_relations import relations_text
from boostwright.report.prose import paragraph
from boostwright.report.text_table import TextColumn, render_table

__all__ = ["proof_json", "proof_text", "shown_evidence", "shown_expected", "shown_tolerance", "shown_use"]

_SCHEMA_VERSION = 2
_WORST = 12
_FIGURES = 6


def _number(value: float) -> str:
    return f"{value:.{_FIGURES}g}"


def shown_expected(result: CaseResult) -> str:
    """The value from outside, or the two ends of a band, without the unit."""
    expected = result.expected
    if isinstance(expected, tuple):
        return f"{_number(expected[0])} to {_number(expected[1])}"
    return _number(expected)


def shown_tolerance(result: CaseResult) -> str:
    """The tolerance as it was stated: a share, an amount in the unit of the case, or nothing for a band."""
    if result.kind == "band":
        return "within"
    if result.kind == "relative":
        return f"{result.tolerance * 100:.3g} %"
    return f"{result.tolerance:.3g} {result.unit}".rstrip()


def shown_evidence(result: CaseResult) -> str:
    """What the value is worth; a reference library with its name and version."""
    return f"computed by a reference library: {result.library}" if result.library else result.evidence


def _deviation(result: CaseResult) -> str:
    """The deviation in the measure of the tolerance."""
    if result.kind == "relative" and not isinstance(result.expected, tuple) and result.expected:
        return f"{result.deviation / result.expected * 100:+.2g} %"
    return f"{result.deviation:+.2g} {result.unit}".rstrip()


def _used(result: CaseResult) -> float:
    """Share of the tolerance used; what has no tolerance to use comes last when it holds and first when not."""
    if not result.passed:
        return math.inf
    return result.used if math.isfinite(result.used) else 0.0


def shown_use(result: CaseResult) -> str:
    """Share of the tolerance used up; a dash for a band or an exact match."""
    return f"{result.used * 100:.0f} %" if math.isfinite(result.used) else "-"


def _worst(results: Sequence[CaseResult]) -> list[CaseResult]:
    return sorted(results, key=_used, reverse=True)


def _case_columns(results: Sequence[CaseResult]) -> list[TextColumn]:
    def column(heading: tuple[str, ...], cells: Sequence[str], left: bool = False) -> TextColumn:
        return TextColumn(heading, "", tuple(cells), left=left)

    return [
        column(("subject",), [result.subject for result in results], left=True),
        column(("quantity",), [result.quantity for result in results], left=True),
        column(("expected",), [shown_expected(result) for result in results]),
        column(("ours",), [_number(result.computed) for result in results]),
        column(("unit",), [result.unit or "-" for result in results], left=True),
        column(("deviation",), [_deviation(result) for result in results]),
        column(("tolerance",), [shown_tolerance(result) for result in results]),
        column(("used",), [shown_use(result) for result in results]),
        column(("source",), [f"{result.source}, {result.where}" for result in results], left=True),
    ]


def _subject_columns(proof: ProofResult) -> list[TextColumn]:
    by_subject = {name: [one for one in proof.cases if one.subject == name] for name in proof.subjects}
    groups = list(by_subject.values())
    return [
        TextColumn(("subject",), "", tuple(by_subject), left=True),
        TextColumn(("values",), "", tuple(str(len(group)) for group in groups)),
        TextColumn(("outside",), "", tuple(str(sum(not one.passed for one in group)) for group in groups)),
        TextColumn(("largest", "use"), "", tuple(shown_use(_worst(group)[0]) for group in groups)),
    ]


def proof_text(proof: ProofResult, width: int = 200) -> str:
    """The sheet for a terminal: the verdict, counts by status, by subject, and the values nearest their tolerance.

    width  characters on a line; a table that needs more is cut into blocks
    Returns text that ends with a newline."""
    if not proof.cases:
        return "No value was compared.\n"
    failed = proof.failed
    verdict = (
        "every value lies within its tolerance" if not failed else f"{len(failed)} outside their tolerance"
    )
    lines = [f"{len(proof.cases)} values compared: {verdict}.", "", "How the values are known"]
    for status, count in proof.counts.items():
        lines.append(f"  {count:5d}  {status}: {EVIDENCE[status]}")
    lines.append(
        f"  {sum(result.independent for result in proof.cases):5d}  independent of our own formula, all told"
    )
    sections = ["\n".join(lines)]
    sections.append(render_table(_subject_columns(proof), width))
    if failed:
        sections.append("Outside their tolerance\n" + render_table(_case_columns(failed), width))
        sections.append("\n".join(_described(result) for result in failed))
    held = [result for result in _worst(proof.cases) if result.passed][:_WORST]
    if held:
        sections.append("Nearest to their tolerance\n" + render_table(_case_columns(held), width))
    sections += [text] if (text := relations_text(proof.relations, width)) else []
    return "\n\n".join(sections) + "\n"


def _described(result: CaseResult) -> str:
    return paragraph(
        f"{result.id}: {result.words}. Relation {result.relation}; tolerance because {result.why}", 110
    )


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _entry(result: CaseResult) -> dict[str, Any]:
    expected = list(result.expected) if isinstance(result.expected, tuple) else result.expected
    return {
        "id": result.id,
        "subject": result.subject,
        "quantity": result.quantity,
        "words": result.words,
        "relation": result.relation,
        "expected": expected,
        "computed": _finite(result.computed),
        "unit": result.unit or "1",
        "deviation": _finite(result.deviation),
        "tolerance": result.tolerance,
        "tolerance_kind": result.kind,
        "tolerance_reason": result.why,
        "tolerance_used": _finite(result.used),
        "passed": result.passed,
        "source": result.source,
        "where": result.where,
        "status": result.status,
        "evidence": result.evidence,
        "library": result.library or None,
        "relation_status": result.formula,
    }


def _relation(one: RelationProof) -> dict[str, Any]:
    return {
        "relation": one.name,
        "source": one.source,
        "relation_status": one.status,
        "best": one.best or None,
        "cases": dict(one.cases),
        "in_sums": dict(one.in_sums),
    }


def proof_json(proof: ProofResult) -> str:
    """Every case as JSON text that ends with a newline; null where a number has no meaning."""
    document = {
        "program": "boostwright",
        "version": __version__,
        "schema_version": _SCHEMA_VERSION,
        "passed": proof.passed,
        "counts": dict(proof.counts),
        "independent": sum(result.independent for result in proof.cases),
        "relations": [_relation(one) for one in proof.relations],
        "no_read_source": [one.name for one in proof.unread],
        "cases": [_entry(result) for result in proof.cases],
    }
    return json.dumps(document, indent=1, allow_nan=False) + "\n"
