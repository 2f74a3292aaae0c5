"""The go / no-go sheet as a page, and as JSON."""

from __future__ import annotations

from typing import Any

from boostwright import __version__
from boostwright.report.prose import counted
from boostwright.report.sheets.page import Check, Checks, Page
from boostwright.tasks.sheets.answer import MISTAKES, GoNoGo, Line, Stage, Verdict

__all__ = ["CAUTIONS", "go_no_go_document", "go_no_go_page"]

CAUTIONS = (
    "A go here is no proof that an engine will survive.",
    "Oil or fuel on hot parts burns: shield first, an extinguisher for liquids at hand.",
    "Boost pipes and cooling systems under pressure come off with force: test low, with a relief valve.",
    "Welding coated or stainless steel gives harmful fumes: strip and extract.",
    "Brakes, steering, a notched rail and home-made mounts need a qualified person's inspection and must meet the "
    "rules for vehicles where you live; those rules stand above this sheet.",
)
_MARKS = {Verdict.GO: "go", Verdict.STOP: "STOP", Verdict.NOT_ANSWERED: "not answered"}
_OPEN = "not answered*"


def go_no_go_page(sheet: GoNoGo) -> Page:
    """The sheet as a page."""
    stops = sum(line.verdict is Verdict.STOP for line in sheet.lines)
    unanswered = [line for line in sheet.lines if line.verdict is Verdict.NOT_ANSWERED]
    lines = [f"Judged: {sheet.table}. Days: {'; '.join(sheet.days) or 'none'}."]
    if sheet.settings:
        lines.append(f"Set for this run: {'; '.join(sheet.settings)}.")
    lines.append(
        f"{counted(stops, 'stop')}, {len(unanswered)} not answered. Not answered is no go, but for lines with a star. "
        f"Numbers in brackets: the costly mistake that a line keeps off. Values: {sheet.provenance}."
    )
    ready = [stage for stage in Stage if sheet.may_go(stage)]
    verdict = f"GO {ready[-1].value.removeprefix('before ')}" if ready else "NO GO"
    blocks = tuple(_stage(sheet, stage) for stage in Stage)
    return Page("Go / no-go", sheet.build, tuple(lines), blocks, CAUTIONS, verdict)


def _stage(sheet: GoNoGo, stage: Stage) -> Checks:
    lines = sheet.at(stage)
    word = "go" if sheet.may_go(stage) else "no go"
    return Checks(f"{stage.value.capitalize()}: {word}", tuple(_check(line) for line in lines))


def _check(line: Line) -> Check:
    mark = _MARKS[line.verdict]
    if line.verdict is Verdict.NOT_ANSWERED and not line.safety:
        mark = _OPEN
    guards = f" [{line.guards}]" if line.guards is not None else ""
    figure = line.figure if line.verdict is not Verdict.STOP else f"{line.figure}; wanted: {line.wanted}"
    return Check(mark, line.verdict is Verdict.STOP, f"{line.question}{guards}", figure, line.mend)


def go_no_go_document(sheet: GoNoGo) -> dict[str, Any]:
    """The sheet as plain dicts, lists and texts."""
    return {
        "program": "boostwright",
        "version": __version__,
        "sheet": "go-no-go",
        "build": sheet.build,
        "provenance": sheet.provenance,
        "table": sheet.table,
        "days": list(sheet.days),
        "settings": list(sheet.settings),
        "stages": [{"stage": stage.value, "go": sheet.may_go(stage)} for stage in Stage],
        "mistakes": {str(number): words for number, words in MISTAKES.items()},
        "lines": [
            {
                "code": line.code,
                "stage": line.stage.value,
                "question": line.question,
                "wanted": line.wanted,
                "figure": line.figure,
                "verdict": line.verdict.value,
                "go": line.is_go,
                "mend": line.mend,
                "guards": line.guards,
                "safety": line.safety,
            }
            for line in sheet.lines
        ],
        "cautions": list(CAUTIONS),
    }
