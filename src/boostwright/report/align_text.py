"""A log in time for a terminal: what was done to each channel, and how a second file's clock stands."""

from __future__ import annotations

from boostwright.report.prose import counted, paragraph
from boostwright.report.text_table import TextColumn, render_table
from boostwright.tasks.align_log import KINDS, AlignedLog, ClockBound, ClockOffset, Clocks

__all__ = ["align_text", "clocks_text"]

_WIDEST = 110
_BY_LAG = ("lag", "hidden", "receiver")
_OF_ITS_OWN = ("lag-undone", "lag-bound", "put-back", "not-put-back")


def align_text(log: AlignedLog, width: int) -> str:
    """The report, ending with a newline."""
    width = min(width, _WIDEST)
    sampled, treatments = log.aligned.sampled, log.aligned.treatments
    lines = [f"{log.log}: {counted(len(sampled), 'channel')}."]
    lines += [paragraph(note, width) for note in log.notes]
    if not sampled:
        return "\n".join(lines) + "\n"
    names = tuple(sampled)
    periods = tuple(f"{sampled[n].period:.3g}" if sampled[n].time.size > 1 else "" for n in names)
    jitters = tuple(f"{sampled[n].jitter:.2g}" if sampled[n].time.size > 1 else "" for n in names)
    columns = [
        TextColumn(("channel",), "", names, left=True),
        TextColumn(("sampled",), "", tuple(sampled[n].kind for n in names), left=True),
        TextColumn(("samples",), "", tuple(str(sampled[n].time.size) for n in names)),
        TextColumn(("every",), "s", periods),
        TextColumn(("varies",), "s", jitters),
        TextColumn(("gaps",), "", tuple(str(len(sampled[n].gaps)) for n in names)),
        TextColumn(("done",), "", tuple(treatments[n].code for n in names), left=True),
    ]
    lines += ["", *render_table(columns, width).splitlines(), ""]
    lines += _kinds(log, width)
    for name in names:
        if treatments[name].code in _OF_ITS_OWN:
            words = treatments[name].words.removeprefix(sampled[name].words).strip()
            told = words if words.startswith(name) else f"{name}: {words}"
            lines.append(paragraph(told, width, first="  - "))
    return "\n".join(lines).rstrip("\n") + "\n"


def _kinds(log: AlignedLog, width: int) -> list[str]:
    """What the ways of sampling mean, each once, with the channels."""
    groups: dict[tuple[str, float], list[str]] = {}
    for name, sampling in log.aligned.sampled.items():
        rows = round(sampling.cycle, 1) if sampling.kind in ("polled", "held") else 1.0
        groups.setdefault((sampling.kind, rows), []).append(name)
    lines = []
    for (kind, rows), members in groups.items():
        if kind == "every row":
            continue
        one_in = f", one row in {rows:g}" if rows > 1.0 else ""
        slips = max(log.aligned.sampled[name].slips for name in members)
        told = f"{KINDS[kind][0].upper()}{KINDS[kind][1:]}{one_in}: {', '.join(members)}."
        if kind in ("polled", "held"):
            told += " Between two samples there is nothing."
        if slips:
            told += f" The cycle loses its place {slips} times; there only changes are taken as samples."
        lines.append(paragraph(told, width, first="  - "))
    stamps = {s.words for s in log.aligned.sampled.values() if s.stamp_error}
    if stamps:
        first = min(stamps)
        at = max(first.find("Stamps"), first.find(". ") + 2)
        lines.append(paragraph(first[at:], width, first="  - "))
    return lines


def clocks_text(clocks: Clocks, width: int) -> str:
    """The report, ending with a newline."""
    width = min(width, _WIDEST)
    lines = []
    told = clocks.best or clocks.bound
    if told is not None:
        channels = f"by {told.second} with {told.first}"
        lines.append(paragraph(f"{clocks.other} beside {clocks.log}, {channels}: {told.result.words}", width))
    else:
        lines.append(
            paragraph(f"{clocks.other}: how its clock stands to that of {clocks.log} is not known.", width)
        )
    lines += [paragraph(note, width) for note in clocks.notes]
    for one in clocks.tried if told is None else clocks.tried[1:]:
        says = one.result.words
        if isinstance(one.result, ClockOffset):
            says = f"{one.result.offset:.3f} s ({one.result.low:.3f} to {one.result.high:.3f})"
        elif isinstance(one.result, ClockBound):
            says = f"between {one.result.low:.3f} and {one.result.high:.3f} s"
        lines.append(paragraph(f"{one.second} with {one.first}: {says}", width, first="  - "))
    if clocks.stored:
        lines.append(paragraph(f"Kept in {clocks.stored}.", width))
    elif clocks.bound is not None:
        lines.append(paragraph("Not kept: a bound is no figure that other answers could stand on.", width))
        if isinstance(clocks.bound.result, ClockBound) and clocks.bound.result.why in _BY_LAG:
            lines.append(
                paragraph(
                    "Where you know how much later the second file's instrument shows things (by its maker, or 0), say "
                    "it with --lag.",
                    width,
                )
            )
    elif clocks.best is not None:
        lines.append(paragraph("Not kept: the log was read from a file for this answer only.", width))
    return "\n".join(lines) + "\n"
