"""Pulls of a log for a terminal: the pulls, their highest readings, and what was not taken with the reason."""

from __future__ import annotations

import math
import re

from boostwright.report.channel_units import channel_number, channel_unit
from boostwright.report.prose import counted, paragraph
from boostwright.report.text_table import TextColumn, render_table
from boostwright.tasks.find_pulls import RPM, FoundPulls, NotTaken, PartPulls, Pull, PullRules, channel_of

__all__ = ["pulls_text"]

_WIDEST = 130
_STATE = (
    ("temperature_coolant", ("coolant",)),
    ("temperature_oil", ("oil",)),
    ("temperature_im", ("intake", "air")),
    ("egt_reading", ("EGT",)),
)
_FIGURES = (
    ("pressure_im", ("intake", "pressure")),
    ("boost", ("boost",)),
    ("pressure_em_static", ("exhaust", "tap")),
    ("shaft_speed", ("shaft",)),
    ("egt_reading", ("EGT",)),
    ("temperature_im", ("intake", "air")),
    ("mass_flow_air", ("air", "flow")),
    ("lambda", ("lambda",)),
    ("air_fuel_ratio", ("air-fuel", "ratio")),
    ("injector_duty", ("injectors",)),
    ("torque", ("torque",)),
    ("torque_wheel", ("wheel", "torque")),
    ("power", ("power",)),
    ("power_wheel", ("wheel", "power")),
    ("knock_retard", ("knock", "retard")),
)
_ENDS = {
    "lifted": "lifted",
    "limiter": "limiter",
    "fuel-cut": "cut",
    "gear-change": "gear change",
    "wheel-slip": "slip",
    "speed-held": "held",
    "speed-falls": "speed fell",
    "data-gap": "gap",
    "log-ends": "log ends",
    "throttle-not-full": "",
}


def pulls_text(found: FoundPulls, width: int) -> str:
    """The report, ending with a newline."""
    width = min(width, _WIDEST)
    nearly = counted(len(found.not_taken), "stretch").replace("stretchs", "stretches")
    head = f"{found.log}: {counted(len(found.pulls), 'pull')}; not taken: {nearly}."
    lines = [head]
    lines += [paragraph(note, width) for note in found.notes]
    if found.questions:
        asked = f"Not used, since they wait for an answer: {', '.join(found.questions)}."
        lines.append(paragraph(asked, width))
    for part in found.parts:
        lines += _part(part, len(found.parts) > 1, width)
    lines += ["", paragraph(_rules(found.rules), width, first="")]
    return "\n".join(lines) + "\n"


def _part(part: PartPulls, several: bool, width: int) -> list[str]:
    search = part.search
    lines = [""]
    if several:
        lines.append(f"Part {part.part}")
    if search.pulls:
        lines += render_table(_pull_columns(search.pulls), width).splitlines()
        lines += _highest(search.pulls, width)
        lines += _doubts(search.pulls, width)
        barometers = {(p.barometer.value, p.barometer.source) for p in search.pulls}
        for value, source in sorted(barometers, key=str):
            pressure = f"{value / 1e3:.1f} kPa, " if math.isfinite(value) else ""
            lines.append(paragraph(f"Barometer: {pressure}{source}.", width, first=""))
    else:
        lines.append("No pull.")
    lines += _not_taken(search.not_taken, width)
    if search.ordinary:
        told = f"Engine speed rose as far {counted(search.ordinary, 'more time')} with the throttle not half open."
        lines += ["", paragraph(told, width, first="")]
    for text in (search.throttle, _gears(search.gears), *search.notes):
        if text:
            lines.append(paragraph(text, width, first=""))
    return lines


def _pull_columns(pulls: tuple[Pull, ...]) -> list[TextColumn]:
    columns = [
        TextColumn(("pull",), "", tuple(str(k + 1) for k in range(len(pulls)))),
        TextColumn(("from",), "s", tuple(f"{p.start:.2f}" for p in pulls)),
        TextColumn(("to",), "s", tuple(f"{p.end:.2f}" for p in pulls)),
        TextColumn(("gear",), "", tuple(p.gear or "-" for p in pulls)),
        TextColumn(("speed", "from"), "rpm", tuple(f"{p.speed_start / RPM:.0f}" for p in pulls)),
        TextColumn(("speed", "to"), "rpm", tuple(f"{p.speed_end / RPM:.0f}" for p in pulls)),
        TextColumn(("ramp",), "rpm/s", tuple(_known(p.ramp / RPM) for p in pulls)),
        TextColumn(("+-",), "", tuple(_known(2 * p.ramp_error / RPM, 1.0) for p in pulls)),
        TextColumn(("slowest to", "fastest"), "rpm/s", tuple(_between(p) for p in pulls)),
        TextColumn(("speed by",), "", tuple(p.load or "-" for p in pulls), left=True),
    ]  # fmt: skip
    for base, heading in _STATE:
        cells = tuple(_at_start(p, base) for p in pulls)
        if any(cell != "-" for cell in cells):
            columns.append(TextColumn((*heading, "at start")[-2:], "degC", cells))
    columns.append(
        TextColumn(("ended",), "", tuple(_ENDS.get(p.ended_by, p.ended_by) for p in pulls), left=True)
    )
    if any(p.certainty != "sure" for p in pulls):
        columns.append(TextColumn(("how sure",), "", tuple(p.certainty for p in pulls), left=True))
    return columns


def _gears(words: str) -> str:
    """What was found of the gears, ratios in the revolutions that a driver reads off at a road speed."""
    return re.sub(r"([\d.]+) rad/m", lambda found: f"{float(found[1]) / RPM / 3.6:.1f} rpm per km/h", words)


def _known(value: float, least: float = -math.inf) -> str:
    """A whole number, ``least`` at least; a dash where there is none."""
    return f"{max(least, value):.0f}" if math.isfinite(value) else "-"


def _between(pull: Pull) -> str:
    if not math.isfinite(pull.ramp_low):
        return "-"
    return f"{pull.ramp_low / RPM:.0f} to {pull.ramp_high / RPM:.0f}"


def _base(name: str) -> str:
    found = channel_of(name)
    return found[0].name if found else name


def _at_start(pull: Pull, base: str) -> str:
    """The reading at the start; of several probes the highest."""
    values = [one.value for one in pull.state if _base(one.channel) == base]
    return channel_number(base, max(values)) if values else "-"


def _highest(pulls: tuple[Pull, ...], width: int) -> list[str]:
    """A table of the highest and the mean of the main channels."""
    columns = [TextColumn(("pull",), "", tuple(str(k + 1) for k in range(len(pulls))))]
    for base, heading in _FIGURES:
        names = sorted({f.channel for p in pulls for f in p.figures if _base(f.channel) == base})
        for name in names:
            number = f" {name.rpartition('_')[2]}" if name != base else ""
            cells, basis = [], ""
            for pull in pulls:
                one = next((f for f in pull.figures if f.channel == name), None)
                basis = basis or (one.basis if one else "")
                cells.append(
                    f"{channel_number(name, one.most)} ({channel_number(name, one.mean)})" if one else "-"
                )
            unit = " ".join(part for part in (channel_unit(name), basis) if part)
            columns.append(TextColumn((*heading[:-1], heading[-1] + number), unit, tuple(cells)))
    if len(columns) == 1:
        return []
    return [
        "",
        "Highest reading in each pull, and in brackets the mean:",
        *render_table(columns, width).splitlines(),
    ]


def _doubts(pulls: tuple[Pull, ...], width: int) -> list[str]:
    """Doubts, each once with the pulls it is about."""
    about: dict[str, list[str]] = {}
    for k, pull in enumerate(pulls):
        for doubt in pull.doubts:
            about.setdefault(doubt.rstrip("."), []).append(str(k + 1))
    out = [""] if about else []
    for doubt, numbers in about.items():
        which = "All pulls" if len(numbers) == len(pulls) and len(pulls) > 1 else f"Pull {', '.join(numbers)}"
        out.append(paragraph(f"{which}: {doubt}.", width, first=""))
    return out


def _not_taken(stretches: tuple[NotTaken, ...], width: int) -> list[str]:
    if not stretches:
        return []
    lines = ["", "Not taken:"]
    times = [f"{s.start:.2f} to {s.end:.2f} s" for s in stretches]
    longest = max(map(len, times))
    code = max(len(s.code) for s in stretches)
    hanging = " " * (longest + code + 4)
    for time, stretch in zip(times, stretches, strict=True):
        text = f"{time.rjust(longest)}  {stretch.code.ljust(code)}  "
        body = paragraph(stretch.words, max(40, width), first=hanging, later=hanging)
        lines.append(text + body.lstrip())
    return lines


def _rules(rules: PullRules) -> str:
    return (
        f"A pull: throttle at {100 * rules.full_throttle:.0f} % of its travel, engine speed rising by at least "
        f"{rules.least_rise / RPM:.0f} rpm and for {rules.least_time:g} s, one gear within "
        f"{100 * rules.ratio_tolerance:.0f} %{_coolant(rules)}; change with --rule."
    )


def _coolant(rules: PullRules) -> str:
    return f", coolant at {rules.coldest_coolant - 273.15:.0f} degC" if rules.coldest_coolant > 0 else ""
