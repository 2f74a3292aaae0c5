"""The proof sheet as a page of the docs: every case by subject, and the bibliography behind it."""

from __future__ import annotations

from collections.abc import Sequence

from boostwright.proof.case import EVIDENCE, CaseResult, ProofResult
from boostwright.provenance.source import RELATION_STATUS, find_source
from boostwright.report.proof_relations import relations_page
from boostwright.report.proof_sheet import shown_evidence, shown_expected, shown_tolerance, shown_use

__all__ = ["proof_page"]

_TITLES = {
    "atmosphere": "Atmosphere and humidity",
    "combustion": "Burn and chemical energy",
    "crank_and_rods": "Slider-crank and connecting rods",
    "engine_cycle": "Cycle, friction, breathing",
    "fuels": "Fuels and blends",
    "gas_dynamics": "Compressible flow of a perfect gas",
    "gas_properties": "Air, humid air, exhaust",
    "gate_and_junctions": "Valves, junctions, pipes, gate actuator",
    "heat": "Radiation and heat exchangers",
    "mean_lines": "Mean lines: a map from the wheel",
    "measured_compressor": "A measured compressor, reading by reading",
    "measured_turbine": "A measured turbine",
    "power_correction": "Power correction to a reference atmosphere",
    "reference_libraries": "General-purpose libraries",
    "temperature_probe": "Temperature probe in exhaust",
    "lambda_probe": "Lambda probe",
    "turbocharger": "Compressor, turbine, shaft",
}
_HEAD = (
    "| case | what | expected | ours | tolerance | used | value known; formula known | source | why this tolerance |",
    "|---|---|---:|---:|---:|---:|---|---|---|",
)


def proof_page(proof: ProofResult) -> str:
    """The whole page as Markdown: how to read it, what stands behind each relation, a table a subject, bibliography."""
    lines = [*_summary(proof), *_how_to_read(), *relations_page(proof.relations)]
    for subject in proof.subjects:
        title = _TITLES.get(subject, subject.replace("_", " ").capitalize())
        rows = [_row(result) for result in proof.cases if result.subject == subject]
        lines += [f"## {title}", "", *_HEAD, *rows, ""]
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
        f"Independent of our own formula: {sum(result.independent for result in proof.cases)}. The other "
        f"{sum(not result.independent for result in proof.cases)} are no proof of it and stand in a row of their own.",
        "",
        "| value is | count | which means |",
        "|---|---:|---|",
        *(f"| {status} | {count} | {EVIDENCE[status]} |" for status, count in proof.counts.items()),
        "",
    ]


def _how_to_read() -> list[str]:
    return [
        "A value marked *own formula* was worked out from the same formula apart from the program, or is one that the "
        "formula was fitted to. It shows that the "
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
        f"{shown_evidence(result)}; {result.formula}",
        f"{result.source}, {result.where}",
        result.why,
    )
    outside = "" if result.passed else "**outside** "
    return f"| {outside}" + " | ".join(_cell(cell) for cell in cells) + " |"


def _cell(text: str) -> str:
    """Text that cannot break out of a cell of a Markdown table, nor be taken for emphasis."""
    return " ".join(text.split()).replace("|", "\\|").replace("*", "\\*")


def _bibliography(results: Sequence[CaseResult]) -> list[str]:
    lines = ["## Sources", "", "| key | source | seen |", "|---|---|---|"]
    for key in sorted({result.source for result in results}):
        source = find_source(key)
        seen = f"{source.seen}. {source.note}" if source.note else source.seen
        lines.append(f"| `{key}` | {_cell(source.citation)} | {_cell(seen)} |")
    return lines
