"""A what-if for the screen: the ranked table, the tornado, cases side by side, cures, and what cannot be."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from boostwright.report.display import Shown, shown, shown_number
from boostwright.report.prose import paragraph
from boostwright.report.sweep import shown_values
from boostwright.report.text_table import TextColumn, render_table
from boostwright.tasks.whatif_result import FIGURES, TORNADO, Lever, Row, WhatIf
from boostwright.units import convert

__all__ = ["figure_text", "how_figure", "price_text", "shown_figure", "span_text", "whatif_text"]

_COLUMNS = (
    ("threshold", ("threshold",)),
    ("peak_power", ("peak", "power")),
    ("peak_power_speed", ("at",)),
    ("mean_torque", ("mean", "torque")),
    ("drive_pressure_ratio", ("drive", "ratio")),
    ("drive_pressure_ratio_most", ("highest", "drive ratio")),
    ("creep_floor", ("creep", "floor")),
    ("surge_margin", ("surge", "margin")),
    ("choke_margin", ("choke", "margin")),
    ("shaft_speed", ("shaft", "speed")),
    ("egt_reading", ("EGT",)),
)
_BESIDE = ("boost", "torque", "drive_pressure_ratio", "shaft_speed")
_SPECIAL = {
    "drive_pressure_ratio_most": Shown("dimensionless", "", 2, "absolute"),
    "threshold": Shown("rotational_speed", "rpm", 0),
    "peak_power_speed": Shown("rotational_speed", "rpm", 0),
    "creep_floor": Shown("pressure", "kPa", 1, "absolute"),
    "steady_share": Shown("dimensionless", "%", 0),
    "limits_exceeded": Shown("dimensionless", "", 0),
}
_RPM = 30.0 / np.pi
_LONGEST_NAME = 64


def how_figure(name: str) -> Shown:
    """How a figure of merit is shown."""
    return _SPECIAL.get(name, shown(name, FIGURES[name].unit))


def shown_figure(name: str, value: float) -> float:
    """A figure in the unit it is shown in; nan stays nan."""
    how = how_figure(name)
    if not math.isfinite(value) or not how.kind:
        return value
    return convert(value, how.kind, how.unit)


def figure_text(name: str, value: float) -> str:
    """A figure as text without its unit."""
    if value == -math.inf:
        return "lower"
    return shown_number(shown_figure(name, value), how_figure(name))


def price_text(row: Row) -> str:
    """Price with its currency; a dash where none is given."""
    if row.case.price is None:
        return "-"
    return f"{row.case.price:g} {row.case.currency}".strip()


def span_text(span: tuple[float, float]) -> str:
    """Two speeds in rpm, one where they are the same."""
    low, high = (f"{speed * _RPM:.0f}" for speed in span)
    return f"{low} rpm" if low == high else f"{low} to {high} rpm"


def whatif_text(found: WhatIf, width: int, top: int = 20) -> str:
    """Everything a reader needs, as text.

    width  characters on a line
    top    rows of the ranked table at the most
    """
    parts = [_head(found, width)]
    if found.levers:
        parts.append(_tornado(found, width))
    else:
        parts.append(_ranked(found, width, top))
    parts += [part for part in (_beside(found, width), _cures(found, width), _refused(found, width)) if part]
    parts.append(_notes(found, width))
    return "\n\n".join(part for part in parts if part) + "\n"


def _head(found: WhatIf, width: int) -> str:
    count = len(found.rows) - 1
    possible = sum(1 for row in found.rows[1:] if not row.reason)
    low, high = (f"{speed * _RPM:.0f}" for speed in found.between)
    lines = [
        f"{found.name}: what if, {count} cases beside the build as it stands, mode {found.mode}",
        f"{possible} can be, {count - possible} cannot. Mean torque from {low} to {high} rpm. Pressures are absolute.",
    ]
    return "\n".join(paragraph(text, width, "", "  ") for text in lines)


def _table(rows: Sequence[tuple[str, Row]], width: int) -> str:
    columns = [
        TextColumn(("rank",), "", tuple(place for place, _ in rows)),
        TextColumn(("number",), "", tuple(str(row.number) for _, row in rows)),
        TextColumn(("case",), "", tuple(_short(row) for _, row in rows), left=True),
    ]
    if any(row.case.currency for _, row in rows):
        columns.append(TextColumn(("price",), "", tuple(price_text(row) for _, row in rows)))
    for name, heading in _COLUMNS:
        cells = tuple(figure_text(name, row.figures[name]) for _, row in rows)
        columns.append(TextColumn(heading, how_figure(name).unit or "-", cells))
    columns.append(
        TextColumn(("over a limit, not steady",), "", tuple(_trouble(row) for _, row in rows), left=True)
    )
    return render_table(columns, width)


def _short(row: Row) -> str:
    name = row.case.name
    if len(name) <= _LONGEST_NAME:
        return name
    half = (_LONGEST_NAME - 5) // 2
    return f"{name[:half]} ... {name[-half:]}"


def _trouble(row: Row) -> str:
    words = [f"{name} {span_text(span)}" for name, span in (*row.exceeded.items(), *row.unsteady.items())]
    return "; ".join(words) or "-"


def _ranked(found: WhatIf, width: int, top: int) -> str:
    if not found.ranked:
        return "No case can be ranked."
    figure = FIGURES[found.ranked_by]
    best = "highest" if figure.more_is_better else "lowest"
    shown_rows = [(str(place), found.rows[number]) for place, number in enumerate(found.ranked[:top], 1)]
    base = found.rows[0]
    if base.figures and 0 not in found.ranked[:top]:
        shown_rows.append((str(found.ranked.index(0) + 1) if 0 in found.ranked else "-", base))
    text = (
        f"Ranked by {found.ranked_by} ({figure.words}), {best} first, ties by price; cases over a limit or without a "
        "steady state somewhere stand below the others."
    )
    more = len(found.ranked) - top
    lines = [paragraph(text, width, "", ""), "", _table(shown_rows, width)]
    if more > 0:
        lines += ["", f"... and {more} more; --csv and --json have all of them."]
    leader = found.rows[found.ranked[0]]
    if leader.case.settings:
        lines += ["", "First of them, to lay over the build or to write into it:"]
        lines += [f'  --set "{setting}"' for setting in leader.case.settings]
    return "\n".join(lines)


def _tornado(found: WhatIf, width: int) -> str:
    base = found.rows[0]
    head = "One key at a time: what it moves, at its low and at its high end."
    levers = found.levers
    columns = [
        TextColumn(("key",), "", tuple(lever.words for lever in levers), left=True),
        TextColumn(("from",), "", tuple(lever.low for lever in levers), left=True),
        TextColumn(("to",), "", tuple(lever.high for lever in levers), left=True),
    ]
    for name, heading in _COLUMNS:
        if name not in TORNADO:
            continue
        cells = tuple(_swing(lever, name) for lever in levers)
        now = f"(now {figure_text(name, _of(base, name))})"
        columns.append(TextColumn((*heading, now), how_figure(name).unit or "-", cells))
    columns.append(TextColumn(("ends from",), "", tuple(lever.source for lever in levers), left=True))
    return f"{head}\n\n{render_table(columns, width)}"


def _of(row: Row, name: str) -> float:
    return row.figures.get(name, math.nan)


def _swing(lever: Lever, name: str) -> str:
    ends = (figure_text(name, _of(row, name)) for row in (lever.low_row, lever.high_row))
    return " .. ".join(ends)


def _beside(found: WhatIf, width: int) -> str:
    """The cases side by side, by speed."""
    if len(found.beside) < 2:
        return ""
    lines = ["Side by side:"]
    lines += [f"  {chr(65 + index)}  {name}" for index, (name, _) in enumerate(found.beside)]
    speeds = tuple(f"{speed * _RPM:.0f}" for speed in found.speeds)
    columns = [TextColumn(("engine", "speed"), "rpm", speeds)]
    for name in _BESIDE:
        for index, (_, prediction) in enumerate(found.beside):
            how = shown(name, prediction.quantities[name].unit)
            cells = tuple(shown_number(float(value), how) for value in shown_values(prediction, name))
            columns.append(TextColumn((name.replace("_", " "), chr(65 + index)), how.label, cells))
    return "\n".join([*lines, "", render_table(columns, width)])


def _cures(found: WhatIf, width: int) -> str:
    lines: list[str] = []
    for cure in found.cures:
        if cure.has_it == 0 and cure.row is found.rows[0]:
            text = f"{cure.trouble}: the build as it stands does not have it."
        elif cure.row is not None:
            text = (
                f"{cure.trouble}: cheapest part that cures it: {cure.row.case.name} ({price_text(cure.row)})."
            )
            new = [name for name in cure.row.exceeded if name not in found.rows[0].exceeded]
            if new:
                text += f" It brings another one: {', '.join(new)}."
        else:
            text = f"{cure.trouble}: {_no_cure(cure.counted - cure.has_it, cure.counted)}"
        lines.append(paragraph(text, width, ""))
    return "\n".join(lines)


def _no_cure(free: int, counted: int) -> str:
    if free == 0:
        return f"none of the {counted} cases cures it."
    return f"{free} of {counted} cases are without it, and none of those has a price."


def _refused(found: WhatIf, width: int) -> str:
    refused = [row for row in found.rows if row.reason]
    if not refused:
        return ""
    lines = ["Cases that cannot be:"]
    for row in refused[:10]:
        lines.append(paragraph(f"{row.case.name}: {row.reason}", width))
    if len(refused) > 10:
        lines.append(f"  ... and {len(refused) - 10} more")
    return "\n".join(lines)


def _notes(found: WhatIf, width: int) -> str:
    return "\n".join(paragraph(" ".join(text.split()), width, "") for text in _note_texts(found))


def _note_texts(found: WhatIf) -> Iterator[str]:
    if found.known:
        yield f"As it stands, {found.known}. The others share most of that doubt."
    yield from dict.fromkeys(found.warnings)
    base = {asked for row in found.rows[:1] for asked in row.asked}
    asked = dict.fromkeys(text for row in found.rows[1:] for text in row.asked if text not in base)
    for text in list(asked)[:5]:
        yield f"asked: {text}"
    if len(asked) > 5:
        yield f"... and {len(asked) - 5} more questions of that kind; --json has them by case."
    yield "A prediction is no proof that an engine will survive."
