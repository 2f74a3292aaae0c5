"""The proof sheet as a page of the docs (Markdown), made from a run of the proof.

``python -m boostwright.proof.document FILE`` writes it, as the command line's ``proof --docs FILE`` does.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

from boostwright.physics.relation import REGISTRY
from boostwright.proof.case import CaseResult, ProofResult
from boostwright.proof.chain import CHAINS
from boostwright.proof.runner import load_relations, run_cases
from boostwright.provenance.source import CASE_STATUS, RELATION_STATUS, find_source

__all__ = ["covered_relations", "main", "proof_page"]

_TITLES = {
    "atmosphere": "Atmosphere and humidity",
    "crank_and_rods": "Slider-crank and connecting rods",
    "engine_cycle": "Cycle, friction, breathing",
    "fuels": "Fuels and blends",
    "gas_dynamics": "Compressible flow of a perfect gas",
    "gas_properties": "Air, humid air, exhaust",
    "gate_and_junctions": "Valves, junctions, pipes, gate actuator",
    "heat": "Radiation and heat exchangers",
    "power_correction": "Power correction to a reference atmosphere",
    "temperature_probe": "Temperature probe in exhaust",
    "turbocharger": "Compressor, turbine, shaft",
}


def covered_relations(results: Iterable[CaseResult]) -> set[str]:
    """Return the dotted names of the relations that these cases exercise, directly or through a chain."""
    covered: set[str] = set()
    for result in results:
        if result.relation.startswith("chain."):
            covered.update(CHAINS[result.relation.removeprefix("chain.")].relations)
        else:
            covered.add(result.relation)
    return covered


def proof_page(result: ProofResult) -> str:
    """Write the whole page: how to read it, counts, one table a subject, what has no case, bibliography."""
    lines = [
        "# Proof sheet",
        "",
        "The program's own results beside values from outside it. The page is made by `boostwright proof`; "
        "nothing on it is typed by hand.",
        "",
        *_summary(result),
        *_how_to_read(),
    ]
    for subject in result.subjects:
        lines += _subject(subject, [case for case in result.cases if case.subject == subject])
    lines += _without_case(result)
    lines += _bibliography(result)
    return "\n".join(lines) + "\n"


def _summary(result: ProofResult) -> list[str]:
    verdict = (
        f"All {len(result.cases)} values lie within their tolerance."
        if result.passed
        else f"**{len(result.failed)} of {len(result.cases)} values lie outside their tolerance.**"
    )
    counts = [f"| {word} | {number} | {CASE_STATUS[word]} |" for word, number in result.counts.items()]
    return [verdict, "", "| value is | count | meaning |", "|---|---:|---|", *counts, ""]


def _how_to_read() -> list[str]:
    words = [f"- *{word}*: {meaning}" for word, meaning in RELATION_STATUS.items()]
    return [
        "A value marked *computed* was worked out from the same formula with an independent tool. It shows that the "
        "formula is coded right, not that the formula is right; how well the formula itself is known stands beside it:",
        "",
        *words,
        "",
        "*Used* is the share of the allowed deviation that is used up.",
        "",
    ]


def _subject(subject: str, cases: Sequence[CaseResult]) -> list[str]:
    head = "| case | what | expected | ours | allowed | used | value; formula | source | why this tolerance |"
    return [
        f"## {_TITLES.get(subject, subject.replace('_', ' ').capitalize())}",
        "",
        head,
        "|---|---|---:|---:|---:|---:|---|---|---|",
        *(_row(case) for case in cases),
        "",
    ]


def _row(case: CaseResult) -> str:
    unit = f" {case.unit}" if case.unit else ""
    if isinstance(case.expected, tuple):
        expected = f"{case.expected[0]:.6g} to {case.expected[1]:.6g}{unit}"
        allowed = "band"
    else:
        expected = f"{case.expected:.8g}{unit}"
        allowed = (
            f"{100.0 * case.tolerance:.3g} %" if case.kind == "relative" else f"{case.tolerance:.3g}{unit}"
        )
        allowed = "exact" if case.tolerance == 0.0 else allowed
    used = "" if math.isnan(case.used) else f"{case.used:.0%}"
    used = used if case.passed else f"**outside** {used}"
    cells = [
        case.id,
        f"{case.quantity}: {case.words}" if case.words else case.quantity,
        expected,
        f"{case.computed:.7g}{unit}",
        allowed,
        used,
        f"{case.status}; {case.formula}",
        f"{find_source(case.source).key}, {case.where}",
        case.why,
    ]
    return "| " + " | ".join(_cell(cell) for cell in cells) + " |"


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("*", "\\*") if "**" not in text else text


def _without_case(result: ProofResult) -> list[str]:
    names = sorted(set(load_relations()) - covered_relations(result.cases))
    if not names:
        return []
    rows = [f"| `{name}` | {REGISTRY[name].status} |" for name in names]
    return [
        "## Relations without a case here",
        "",
        "They follow from a definition or a balance, take no figure from anywhere, and are held by the tests.",
        "",
        "| relation | status |",
        "|---|---|",
        *rows,
        "",
    ]


def _bibliography(result: ProofResult) -> list[str]:
    keys = {case.source for case in result.cases} | {
        relation.source for relation in load_relations().values()
    }
    lines = ["## Sources", "", "| key | source | seen |", "|---|---|---|"]
    for key in sorted(keys):
        source = find_source(key)
        note = f"{source.seen}. {source.note}" if source.note else source.seen
        lines.append(f"| {key} | {_cell(source.citation)} | {_cell(note)} |")
    return [*lines, ""]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the proof and write the page to the file named; return 0, or 1 when a value is outside."""
    paths = list(sys.argv[1:] if arguments is None else arguments)
    if len(paths) != 1:
        sys.stderr.write("usage: python -m boostwright.proof.document FILE\n")
        return 2
    result = run_cases()
    target = Path(paths[0])
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(proof_page(result), encoding="utf-8")
    return 0 if result.passed else 1


if __name__ == "__main__":
    raise SystemExit(main())
