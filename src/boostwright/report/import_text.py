"""What became of imported logs, for a terminal: questions first, then what was taken, then what was mended."""

from __future__ import annotations

import textwrap
from collections.abc import Collection

from boostwright.report.prose import counted
from boostwright.report.text_table import TextColumn, render_table
from boostwright.tasks.import_log import NO_NUMBER, ImportedLog, ImportResult, Proposal

__all__ = ["import_text"]

_WIDEST = 110
_AGAINST = 0.5  # sureness below which name, unit and numbers contradict each other


def import_text(result: ImportResult, width: int) -> str:
    """The report, ending with a newline; '' where nothing was imported."""
    width = min(width, _WIDEST)
    return "\n".join(_log(log, width) for log in result.logs)


def _log(log: ImportedLog, width: int) -> str:
    entry = log.entry
    rows = sum(table.rows for table in entry.tables)
    seconds = max((table.end for table in entry.tables), default=0.0)
    parts = len({table.table.part for table in entry.tables})
    timed = any(table.table.time_name for table in entry.tables)
    known = timed or not any(note.code == "ask-time" for note in entry.notes)
    lines = [
        f"{entry.file_name} -> {entry.folder}",
        f"  {counted(rows, 'row')}"
        + (f", {seconds:.1f} s" if known else "")
        + (f", {parts} parts" if parts > 1 else "")
        + ".",
    ]
    if not log.new:
        lines.append("  This very file had been imported before; it was not read again.")
    if log.reused:
        lines.append(f"  The columns are those of {log.reused}: its answers were taken.")
    if log.cleared:
        lines.append(f"  Remains of {counted(log.cleared, 'broken-off import')} were removed.")
    lines += _questions(log, width)
    lines += _taken(log, width)
    lines += _rest(log, width)
    lines += _notes(log, width)
    return "\n".join(lines) + "\n"


def _wrapped(text: str, width: int, first: str, rest: str) -> list[str]:
    return textwrap.wrap(text, width, initial_indent=first, subsequent_indent=rest, break_long_words=False)


def _questions(log: ImportedLog, width: int) -> list[str]:
    questions = log.questions
    asked = [note.text for note in log.entry.notes if note.code.startswith("ask-")]
    if not questions and not asked:
        return ["  No question is open."]
    lines = []
    for text in asked:
        lines += _wrapped(text, width, "  Asked of the file: ", "    ")
    seen = {proposal.question: proposal for proposal in questions}
    if seen:
        text = f"Asked ({len(seen)}); these columns are not used until it is answered, with what fits behind --map:"
        lines += _wrapped(text, width, "  ", "    ")
    for text, proposal in seen.items():
        lines += _wrapped(text, width, "    ? ", "      ")
        if proposal.confidence < _AGAINST:
            lines += _wrapped(f"({proposal.reason})", width, "      ", "      ")
    return [*lines, *_example(seen.values(), width)]


def _example(questions: Collection[Proposal], width: int) -> list[str]:
    """How one of the questions would be answered."""
    first = next((p for p in questions if p.choices), None)
    if first is None:
        return []
    text = f'Answer for example: --map "{first.column}={first.choices[0].words()}", by importing the same file again.'
    return _wrapped(text, width, "    ", "      ")


def _taken(log: ImportedLog, width: int) -> list[str]:
    """The columns that stand for channels, each once even where parts repeat them."""
    rows = {}
    for p in log.proposals:
        if p.taken and p.choice is not None:
            unit = " ".join(part for part in (p.choice.unit, p.choice.basis) if part)
            rows[p.column, p.raw_unit] = (
                p.column,
                p.choice.channel,
                unit,
                p.status,
                f"{p.confidence:.2f}",
                p.reason,
            )
    if not rows:
        return ["  No column stands for a channel yet."]
    heads = ("column", "channel", "in", "status", "sure")
    cells = list(zip(*rows.values(), strict=True))
    columns = [
        TextColumn((head,), "", tuple(texts), left=True) for head, texts in zip(heads, cells[:5], strict=True)
    ]
    table = render_table(columns, 10_000)
    return [
        f"  {'1 column stands' if len(rows) == 1 else f'{len(rows)} columns stand'} for channels (why: --json):",
        *("    " + line for line in table.splitlines()),
    ]


def _rest(log: ImportedLog, width: int) -> list[str]:
    none = [p for p in log.proposals if p.status == "none"]
    filled = dict.fromkeys(p.column for p in none if p.reason != NO_NUMBER)
    empty = [one for one in dict.fromkeys(p.column for p in none) if one not in filled]
    lines = (
        _wrapped(f"Kept, but no channel of ours: {', '.join(filled)}.", width, "  ", "    ") if filled else []
    )
    if empty:
        lines += _wrapped(f"Without a single number, so not used: {', '.join(empty)}.", width, "  ", "    ")
    return lines


def _notes(log: ImportedLog, width: int) -> list[str]:
    lines = []
    for note in log.entry.notes:
        if note.code.startswith("ask-"):
            continue
        places = f" ({'; '.join(note.places[:3])}{' ...' if note.count > 3 else ''})" if note.places else ""
        count = f" {note.count} times." if note.count > 1 else ""
        lines += _wrapped(f"{note.text}{count}{places}", width, "  ! " if note.harm else "  - ", "    ")
    return lines
