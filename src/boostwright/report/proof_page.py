"""The proof sheet as a page of the docs: every case by subject, and the bibliography behind it."""

from __future__ import annotations

from collections.abc import Sequence

from boostwright.proof.case import CaseResult, ProofResult
from boostwright.provenance.source import CASE_STATUS, RELATION_STATUS, find_source
from boostwright.report.proof_sheet import shown_expected, shown_tolerance, shown_use

__all__ = ["proof_page"]

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
_HEAD = (
    "| case | what | expected | ours | tolerance | used | value known; formula known | source | why this tolerance |",
    "|---|---|---:|---:|---:|---:|---|---|---|",
)


def proof_page(proof: ProofResult) -> str:
    """The whole page as Markdown: how to read it, counts, a table a subject, what has no case, bibliography."""
    lines = [*_summary(proof), *_how_to_read()]
    for subject in proof.subjects:
        title = _TITLES.get(subject, subject.replace("_", " ").capitalize())
        rows = [_row(result) for result in proof.cases if result.subject == subject]
        lines += [f"## {title}", "", *_HEAD, *rows, ""]
    lines += _uncovered(proof.uncovered)
    lines += _bibliography(proof.cases)
    return "\n".join(lines) + "\n"


def _summary(proof: ProofResult) -> list[str]:
    verdict = f"All {len(proof.cases)} values lie within their tolerance."
    if not proof.passed:
        verdict = f"**{len(proof.failed)} of {len(proof.cases)} values lie outside their tolerance.**"
    return [
        "# Proof sheet",
        "",
        "The program's own results beside values from outside it. The page is made by `boostwright proof --docs FILE`; "
        "nothing on it is typed by hand.",
        "",
        verdict,
        "",
        "| value is | count | which means |",
        "|---|---:|---|",
        *(f"| {status} | {count} | {CASE_STATUS[status]} |" for status, count in proof.counts.items()),
        "",
    ]


def _how_to_read() -> list[str]:
    return [
        "A value marked *computed* was worked out from the same formula with an independent tool. It shows that the "
        "formula is coded right, not that the formula is right; how well the formula itself is known stands beside it:",
        "",
        *(f"- *{status}*: {meaning}" for status, meaning in RELATION_STATUS.items()),
        "",
        "*Used* is the share of the tolerance that is used up.",
        "",
    ]


def _row(result: CaseResult) -> str:
    unit = f" {result.unit}" if result.unit else ""
    cells = (
        result.id,
        f"{result.quantity}: {result.words}" if result.words else result.quantity,
        shown_expected(result) + unit,
        f"{result.computed:.7g}{unit}",
        shown_tolerance(result),
        shown_use(result),
        f"{result.status}; {result.formula}",
        f"{result.source}, {result.where}",
        result.why,
    )
    outside = "" if result.passed else "**outside** "
    return f"| {outside}" + " | ".join(_cell(cell) for cell in cells) + " |"


def _cell(text: str) -> str:
    """Text that cannot break out of a cell of a Markdown table, nor be taken for emphasis."""
    return " ".join(text.split()).replace("|", "\\|").replace("*", "\\*")


def _uncovered(relations: Sequence[tuple[str, str]]) -> list[str]:
    if not relations:
        return []
    return [
        "## Relations without a case here",
        "",
        "They follow from a definition or a balance, take no figure from anywhere, and are held by the tests.",
        "",
        "| relation | known |",
        "|---|---|",
        *(f"| `{name}` | {status} |" for name, status in relations),
        "",
    ]


def _bibliography(results: Sequence[CaseResult]) -> list[str]:
    lines = ["## Sources", "", "| key | source | seen |", "|---|---|---|"]
    for key in sorted({result.source for result in results}):
        source = find_source(key)
        seen = f"{source.seen}. {source.note}" if source.note else source.seen
        lines.append(f"| `{key}` | {_cell(source.citation)} | {_cell(seen)} |")
    return lines
