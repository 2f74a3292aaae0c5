"""Sensor checks of a log for a terminal: the faults, most certain first, then what could not be checked."""

from __future__ import annotations

import math

from boostwright.report.prose import counted, paragraph, sentence
from boostwright.tasks.check_sensors import CheckedSensors, Evidence, NotMade, PartSensors, SensorFault, Where
from boostwright.units import convert

__all__ = ["sensors_text"]

_WIDEST = 110
_SHOWN = {
    "Pa": ("pressure", "kPa", 1),
    "K": ("temperature", "degC", 0),
    "rad/s": ("rotational_speed", "rpm", 0),
    "m/s": ("velocity", "km/h", 1),
    "kg/s": ("mass_flow", "g/s", 1),
}


def sensors_text(checked: CheckedSensors, width: int) -> str:
    """The report, ending with a newline."""
    width = min(width, _WIDEST)
    count = len(checked.faults)
    lines = [f"{checked.log}: {counted(count, 'doubtful sensor') if count else 'no sensor is doubtful'}."]
    lines += [paragraph(note, width) for note in checked.notes]
    if checked.questions:
        lines.append(
            paragraph(f"Not checked, since they wait for an answer: {', '.join(checked.questions)}.", width)
        )
    for part in checked.parts:
        lines += _part(part, len(checked.parts) > 1, width)
    return "\n".join(lines) + "\n"


def _part(part: PartSensors, several: bool, width: int) -> list[str]:
    lines = ["", f"Part {part.part}"] if several else []
    for number, fault in enumerate(part.report.faults, 1):
        lines += ["", *_fault(number, fault, width)]
    lines += ["", *(paragraph(note, width, first="") for note in part.report.notes)]
    if part.report.made:
        told = f"Checked and not listed above, so nothing found: {'; '.join(part.report.made)}."
        if part.report.faults:
            told = f"Checked: {'; '.join(part.report.made)}."
        lines.append(paragraph(told, width, first=""))
    if part.report.not_made:
        lines += ["", "Could not be checked:"]
        lines += [paragraph(_not_made(one), width, first="  - ") for one in part.report.not_made]
    return lines


def _fault(number: int, fault: SensorFault, width: int) -> list[str]:
    head = f"{number}. {fault.what}"
    graded = f"{fault.code}, {fault.sure} ({fault.certainty:.2f}); {_where(fault.where)}"
    evidence = "; ".join(f"{e.words}: {_value(e)}" for e in fault.evidence)
    return [
        paragraph(head, width, first="", later="   "),
        paragraph(graded, width, first="   ", later="   "),
        paragraph(f"Numbers: {evidence}.", width, first="   ", later="   "),
        paragraph(f"Why: {sentence(fault.physics)}", width, first="   ", later="   "),
        paragraph(f"It could also be: {'; '.join(fault.others)}.", width, first="   ", later="   "),
        paragraph(f"Check: {sentence(fault.check)}", width, first="   ", later="   "),
    ]


def _where(where: Where) -> str:
    text = f"{where.start:.1f} to {where.end:.1f} s" if math.isfinite(where.start) else "all along"
    if math.isfinite(where.speed_low):
        low, high = (convert(x, "rotational_speed", "rpm") for x in (where.speed_low, where.speed_high))
        text += f", {low:.0f} to {high:.0f} rpm"
    return text


def _value(evidence: Evidence) -> str:
    if not math.isfinite(evidence.value):
        return "-"
    if evidence.unit == "1":
        return f"{evidence.value:.3g}"
    if evidence.unit in _SHOWN:
        kind, unit, places = _SHOWN[evidence.unit]
        if evidence.step and evidence.unit == "K":
            return f"{evidence.value:.1f} K"
        return f"{convert(evidence.value, kind, unit):.{places}f} {unit}"
    return f"{evidence.value:.3g} {evidence.unit}"


def _not_made(one: NotMade) -> str:
    missing = f" Missing: {', '.join(one.missing)}." if one.missing else ""
    return f"{sentence(one.check)[:-1]}: {one.why}.{missing}"
