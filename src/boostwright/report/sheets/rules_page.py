"""The reference page of the go / no-go sheet, made from its rules."""

from __future__ import annotations

from boostwright.tasks.sheets.answer import MISTAKES, Stage
from boostwright.tasks.sheets.go_no_go import RULES
from boostwright.tasks.sheets.rule import LINE_DISTANCES, millimetres

__all__ = ["rules_page"]

_HEAD = """\
# Go / no-go

<!-- Made by `make reference` from the rules; do not edit. -->

Every line of the go / no-go sheet: what is asked, what is held against the answer, and which costly mistake it keeps
off. What the build does not say is *not answered*, and that is no go, but for the lines marked `*`. How to read the
sheets and what they rest on: [Sheets](../howto/sheets.md).
"""


def rules_page() -> str:
    """The text of the page."""
    parts = [_HEAD]
    for stage in Stage:
        rows = [
            f"| `{rule.code}`{'' if rule.safety else '*'} | {rule.question} | {rule.wanted} | {rule.guards or ''} |"
            for rule in RULES
            if rule.stage is stage
        ]
        head = f"## {stage.value.capitalize()}"
        parts.append(
            "\n".join([head, "", "| line | question | wanted | mistake |", "|---|---|---|---|", *rows, ""])
        )
    mistakes = [f"| {number} | {words} |" for number, words in MISTAKES.items()]
    title = "## The mistakes that cost most"
    note = "Known in the trade; their order is our own judgement. Each is scripted into a build by a test."
    parts.append("\n".join([title, "", note, "", "| no. | mistake |", "|---|---|", *mistakes, ""]))
    parts.append(_distances())
    return "\n".join(parts)


def _distances() -> str:
    """Lines beside hot parts."""
    rows = [
        f"| {material} | {_least(bare)} | {_least(shielded)} |"
        for material, (bare, shielded) in LINE_DISTANCES.items()
    ]
    title = "## Lines beside hot parts"
    note = (
        "Least distance by material, own estimate; a shield is a sleeve, or a sheet with air on both sides."
    )
    return "\n".join([title, "", note, "", "| material | bare | shielded |", "|---|---|---|", *rows, ""])


def _least(distance: float) -> str:
    return millimetres(distance) if distance > 0.0 else "any"
