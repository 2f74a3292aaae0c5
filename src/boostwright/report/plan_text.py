"""A plan as a terminal shows it: the table first, then the days, what binds, and what a part would bring."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from boostwright.report.display import in_shown_unit, shown, shown_number
from boostwright.report.prose import assumptions, paragraph, sentence
from boostwright.report.text_table import TextColumn, render_table
from boostwright.tasks.plan_result import FloorHold, PartGain, Plan, PlanDay, Release, Shortfall

__all__ = ["plan_text", "speed_runs"]

Array = NDArray[np.float64]

_WIDEST_PROSE = 110
_RPM = 30.0 / np.pi
_ZERO_CELSIUS = 273.15
_NEAR = 0.03  # of a limit: where the table comes so near on a day, the day is named


def plan_text(plan: Plan, width: int) -> str:
    """The whole report as text that ends with a newline; ``width`` characters on a line."""
    prose = min(width, _WIDEST_PROSE)
    sections = [
        _heading(plan, prose),
        render_table(_table(plan), width),
        _reading(plan, prose),
        _risk(plan, prose),
        _section("Knock", [plan.knock.words, *(r.message for r in plan.remarks if "knock" in r.code)], prose),
        _days(plan, width),
        _spring(plan, prose),
        _holds(plan, width, prose),
        _releases(plan, width),
        _parts(plan, width, prose),
        _wanted(plan, prose),
        _defaults(plan, prose),
        _section("Cautions", plan.prediction.cautions, prose),
    ]
    return "\n\n".join(section for section in sections if section) + "\n"


def speed_runs(speeds: Array, points: Sequence[int]) -> str:
    """Points of the plan as words: ``1500 to 2250, 6500 rpm``."""
    runs: list[list[int]] = []
    for point in points:
        if runs and point == runs[-1][-1] + 1:
            runs[-1].append(point)
        else:
            runs.append([point])
    rpm = speeds * _RPM
    parts = [
        f"{rpm[run[0]]:.0f}" if len(run) == 1 else f"{rpm[run[0]]:.0f} to {rpm[run[-1]]:.0f}" for run in runs
    ]
    return f"{', '.join(parts)} rpm"


def _section(title: str, lines: Sequence[str], width: int) -> str:
    return "\n".join([title, *(paragraph(sentence(line), width) for line in lines)]) if lines else ""


def _words(code: str) -> str:
    return code.replace("-", " ")


def _heading(plan: Plan, width: int) -> str:
    day = plan.days[0]
    temperature = float(day["temperature_amb"][0]) - _ZERO_CELSIUS
    lines = [f"{plan.name}: boost plan", *(f"  set for this run: {setting}" for setting in plan.settings)]
    outside = f"{plan.pressure_amb / 1e3:.1f} kPa, {temperature:.0f} degC"
    lines.append(f"  own day: {outside}; the target is absolute and the same on every day")
    known = np.isfinite(plan.target)
    if known.any():
        torque = np.where(known, plan["torque"], np.nan)
        power = np.where(known, plan["power"], np.nan)
        if np.isfinite(torque).any():
            t, p = int(np.nanargmax(torque)), int(np.nanargmax(power))
            lines.append(
                f"  most torque {_with_band(plan, 'torque', t, 1.0, 'Nm')} at {plan.speeds[t] * _RPM:.0f} rpm, most "
                f"power {_with_band(plan, 'power', p, 1e-3, 'kW')} at {plan.speeds[p] * _RPM:.0f} rpm"
            )
    else:
        lines.append(
            paragraph("no boost is inside the limits at any speed; see below what stands in the way", width)
        )
    return "\n".join(lines)


def _with_band(plan: Plan, name: str, point: int, factor: float, unit: str) -> str:
    text = f"{plan[name][point] * factor:.0f} {unit}"
    if name in plan.bands:
        band = plan.bands[name]
        text += f" (9 of 10 days {band.low[point] * factor:.0f} to {band.high[point] * factor:.0f})"
    return text


def _column(heading: tuple[str, ...], unit: str, values: Array, decimals: int = 0) -> TextColumn:
    cells = tuple(f"{value:.{decimals}f}" if np.isfinite(value) else "-" for value in values)
    return TextColumn(heading, unit, cells)


def _quantity(plan: Plan, name: str, heading: tuple[str, ...]) -> TextColumn | None:
    values = plan.prediction.quantities.get(name)
    if values is None or not np.isfinite(values.values).any():
        return None
    how = shown(name, values.unit)
    cells = tuple(shown_number(float(value), how) for value in in_shown_unit(values.values, how))
    return TextColumn(heading, how.label, cells)


def _table(plan: Plan) -> list[TextColumn]:
    """The table: what to hold, what it gives, what binds."""
    columns = [
        _column(("engine", "speed"), "rpm", plan.speeds * _RPM),
        _column(("target",), "kPa absolute", plan.target / 1e3),
        _column(("target",), "kPa gauge", plan.target_gauge / 1e3),
        _column(("ceiling",), "kPa absolute", plan.ceiling / 1e3, 1),
        _column(("creep", "floor"), "kPa absolute", plan.floor / 1e3, 1),
        _column(("gate", "shut"), "kPa absolute", plan.spool / 1e3, 1),
    ]
    for name, heading in (
        ("torque", ("torque",)),
        ("power", ("power",)),
        ("egt_reading", ("EGT", "reading")),
        ("shaft_speed", ("shaft", "speed")),
        ("drive_pressure_ratio", ("drive-pressure", "ratio")),
    ):
        column = _quantity(plan, name, heading)
        if column is not None:
            columns.append(column)
    if plan.duty:
        from_plan = _plumbing(plan)
        columns.append(_column(("base duty", from_plan), "%", 100.0 * plan.duty[from_plan]))
    columns.append(_column(("margin",), "%", 100.0 * plan.margin, 1))
    names = tuple(_words(name) for name in plan.binding)
    columns.append(TextColumn(("what holds", "the ceiling"), "", names, left=True))
    columns.append(TextColumn(("on which", "day"), "", plan.binding_day, left=True))
    return columns


def _plumbing(plan: Plan) -> str:
    """The first kind of plumbing with which a duty reaches most speeds."""
    return max(plan.duty, key=lambda kind: int(np.isfinite(plan.duty[kind]).sum()))


def _reading(plan: Plan, width: int) -> str:
    lines = [
        "Target: what the controller is to hold, straight between its breakpoints, rounded down to "
        f"{plan.step / 1e3:g} kPa. Ceiling: the highest pressure inside every limit on every day below. Creep floor: "
        "the gate fully open. Gate shut: the most the wheel gives; '-' where nothing stops it but a limit. Margin: "
        "what is left of the nearest limit on the worst day.",
    ]
    none = np.flatnonzero(~np.isfinite(plan.target))
    if none.size:
        lines.append(
            f"No target at {speed_runs(plan.speeds, none.tolist())}: there even the gate fully open is outside a limit."
        )
    return "\n".join(paragraph(line, width, first="", later="") for line in lines)


def _risk(plan: Plan, width: int) -> str:
    risk = plan.risk
    if risk is None:
        return _section("Risk", ["nothing was drawn: the bands of the inputs are not in this table"], width)
    found = f"{100.0 * risk.found:.1f} % of days have a limit exceeded at some speed, {100.0 * risk.stated:g} % allowed"
    lines = [f"{risk.words}: {found}"]
    lowered = np.where(np.isfinite(risk.lowered), risk.lowered, 0.0)
    if lowered.max() > 0.0:
        point = int(lowered.argmax())
        lines.append(
            f"for that the table stands up to {lowered[point] / 1e3:.0f} kPa below what the named days alone allow, at "
            f"{plan.speeds[point] * _RPM:.0f} rpm; inputs with a narrower band give it back"
        )
    if not risk.met:
        lines.append(
            "no table brings it down to that: at some speed the gate fully open is outside on more days"
        )
    over = sorted(risk.share_over.items(), key=lambda pair: -float(np.max(pair[1])))
    if over:
        shares = ", ".join(f"{_words(name)} {100.0 * float(np.max(share)):.1f} %" for name, share in over[:4])
        lines.append(f"exceeded at most, at any one speed: {shares}")
    return _section("Risk", lines, width)


def _days(plan: Plan, width: int) -> str:
    rows = [_day_row(plan, day) for day in plan.days]
    heads = (("day",), ("what it is",), ("barometer",), ("most", "torque"), ("most", "power"), ("hottest", "EGT"),
             ("fastest", "shaft"), ("nearest limit",), ("its use",), ("at",))  # fmt: skip
    units = ("", "", "kPa", "Nm", "kW", "degC", "rpm", "", "%", "rpm")
    columns = [
        TextColumn(heading, unit, tuple(row[k] for row in rows), left=k in (0, 1, 7))
        for k, (heading, unit) in enumerate(zip(heads, units, strict=True))
    ]
    return "The same table on every day\n" + render_table(columns, width)


def _day_row(plan: Plan, day: PlanDay) -> tuple[str, ...]:
    def most(name: str, factor: float = 1.0, shift: float = 0.0) -> str:
        values = day[name] if name in day.quantities else np.array([np.nan])
        return f"{np.nanmax(values) * factor + shift:.0f}" if np.isfinite(values).any() else "-"

    used = np.where(np.isnan(day.worst_use), -np.inf, day.worst_use)
    at = int(used.argmax())
    use = f"{100.0 * used[at]:.1f}" if np.isfinite(used[at]) else "no steady state"
    return (
        day.name, day.words, f"{day.pressure_amb / 1e3:.1f}", most("torque"), most("power", 1e-3),
        most("egt_reading", 1.0, -_ZERO_CELSIUS), most("shaft_speed", _RPM), _words(day.worst[at]), use,
        f"{plan.speeds[at] * _RPM:.0f}",
    )  # fmt: skip


def _spring(plan: Plan, width: int) -> str:
    if plan.spring is None:
        return ""
    spring = plan.spring
    choice = spring.chosen or spring.fitted
    held = choice.held[np.isfinite(choice.held)] / 1e3
    lines = [spring.words]
    if held.size:
        lines.append(
            f"alone, with a dead solenoid, it holds {held.min():.0f} to {held.max():.0f} kPa absolute on the own day; "
            "a gauge spring falls with the barometer"
        )
    for day in plan.days[1:]:
        if abs(day.pressure_amb - plan.pressure_amb) > 1e3 and np.isfinite(day.spring_boost).any():
            top = float(np.nanmax(day.spring_boost))
            lines.append(
                f"day '{day.name}': up to {top / 1e3:.0f} kPa absolute, {(top - day.pressure_amb) / 1e3:.0f} kPa gauge"
            )
    for kind, duty in plan.duty.items():
        points = np.flatnonzero(~np.isfinite(duty) & np.isfinite(plan.target))
        known = duty[np.isfinite(duty)]
        if not known.size:
            lines.append(f"base duty, {kind}: none reaches the table")
            continue
        text = f"base duty, solenoid on {_plumbing_words(kind)}: {100 * known.min():.0f} to {100 * known.max():.0f} %"
        if points.size:
            text += f"; none holds the table at {speed_runs(plan.speeds, points.tolist())}"
        lines.append(text)
    return _section("Spring and base duty", lines, width)


def _plumbing_words(kind: str) -> str:
    return {"lower": "the lower port", "upper": "the upper port", "both": "both ports"}[kind]


def _holds(plan: Plan, width: int, prose: int) -> str:
    if not plan.holds:
        return ""
    first = plan.holds[0]
    binding = ", ".join(dict.fromkeys(_words(name) for name in first.binding))
    rpm = first.speeds * _RPM
    head = paragraph(
        f"At {rpm[0]:.0f} to {rpm[-1]:.0f} rpm the floor is outside a limit ({binding}). What holds it there, at the "
        "speed where each costs most torque; before is the gate open as it is:",
        prose,
        first="",
        later="",
    )
    rows = [_hold_row(hold) for hold in plan.holds]
    heads = (("way",), ("holds at",), ("at",), ("torque", "before, after"), ("EGT reading", "before, after"),
             ("drive-pressure ratio", "before, after"), ("in the way",))  # fmt: skip
    units = ("", "", "rpm", "Nm", "degC", "absolute", "")
    columns = [
        TextColumn(heading, unit, tuple(row[k] for row in rows), left=k in (0, 1, 6))
        for k, (heading, unit) in enumerate(zip(heads, units, strict=True))
    ]
    return f"{head}\n{render_table(columns, width)}"


def _hold_row(hold: FloorHold) -> tuple[str, ...]:
    count = int(hold.holds.sum())
    loss = np.where(np.isfinite(hold.after["torque"]), hold.before["torque"] - hold.after["torque"], -np.inf)
    at = int(np.argmax(loss))

    def pair(name: str, shift: float = 0.0, decimals: int = 0) -> str:
        before, after = hold.before[name][at] + shift, hold.after[name][at] + shift
        return f"{before:.{decimals}f}, {after:.{decimals}f}"

    still = ", ".join(dict.fromkeys(_words(name) for name in hold.still_over if name))
    where = "every speed" if count == hold.holds.size else f"{count} of {hold.holds.size} speeds"
    return (
        hold.words, where, f"{hold.speeds[at] * _RPM:.0f}", pair("torque"), pair("egt_reading", -_ZERO_CELSIUS),
        pair("drive_pressure_ratio", 0.0, 2), still,
    )  # fmt: skip


def _gain(value: float, decimals: int = 0) -> str:
    if not np.isfinite(value):
        return "-"
    text = f"{value:+.{decimals}f}"
    return text if float(text) else f"{0.0:.{decimals}f}"


def _releases(plan: Plan, width: int) -> str:
    if not plan.releases:
        return ""
    rows = [_release_row(plan, release) for release in plan.releases]
    heads = (("without this limit",), ("peak", "torque"), ("peak", "power"), ("most at a speed",), ("at",),
             ("then binds there",))  # fmt: skip
    units = ("", "Nm", "kW", "Nm", "rpm", "")
    columns = [
        TextColumn(heading, unit, tuple(row[k] for row in rows), left=k in (0, 5))
        for k, (heading, unit) in enumerate(zip(heads, units, strict=True))
    ]
    return "What each limit costs: the ceiling of the named days with it taken away\n" + render_table(
        columns, width
    )


def _release_row(plan: Plan, release: Release) -> tuple[str, ...]:
    gain = np.where(np.isfinite(release.torque), release.torque, -np.inf)
    at = int(gain.argmax())
    return (
        _words(release.limit), _gain(release.peak_torque_gain), _gain(release.peak_power_gain / 1e3, 1),
        _gain(float(release.torque[at])), f"{plan.speeds[at] * _RPM:.0f}", _words(release.next_binding[at]),
    )  # fmt: skip


def _parts(plan: Plan, width: int, prose: int) -> str:
    good = [part for part in plan.parts if not part.fault]
    lines = [f"{part.name} cannot be planned with: {part.fault}" for part in plan.parts if part.fault]
    refused = _section("Parts that were refused", lines, prose)
    if not good:
        return refused
    rows = [_part_row(part) for part in good]
    heads = (("part",), ("price",), ("peak", "torque"), ("peak", "power"), ("mean", "power"), ("peak power", "for 100"),
             ("mean power", "for 100"), ("binds at fewer speeds",))  # fmt: skip
    units = ("", "", "Nm", "kW", "kW", "kW", "kW", "")
    columns = [
        TextColumn(heading, unit, tuple(row[k] for row in rows), left=k in (0, 7))
        for k, (heading, unit) in enumerate(zip(heads, units, strict=True))
    ]
    table = "What a part brings, each by itself: the ceiling of the named days\n" + render_table(
        columns, width
    )
    return "\n\n".join(part for part in (table, refused) if part)


def _part_row(part: PartGain) -> tuple[str, ...]:
    price = "-" if part.price is None else f"{part.price:.0f} {part.currency}"
    return (
        part.name, price, _gain(part.peak_torque_gain), _gain(part.peak_power_gain / 1e3, 1),
        _gain(part.mean_power_gain / 1e3, 1), _gain(part.power_per_price * 100.0 / 1e3, 1),
        _gain(part.mean_power_gain / part.price * 100.0 / 1e3 if part.price else float("nan"), 1),
        ", ".join(_words(name) for name in part.releases) or "-",
    )  # fmt: skip


def _wanted(plan: Plan, width: int) -> str:
    lines = [_wish(plan, short) for short in plan.wanted]
    return _section("What you want", lines, width)


def _wish(plan: Plan, short: Shortfall) -> str:
    points = np.flatnonzero(short.short)
    if not points.size:
        return f"{short.source} can be had at every speed"
    gap = np.where(short.short, short.wanted - np.nan_to_num(short.planned), -np.inf)
    at = int(gap.argmax())
    factor, unit = (1.0, "Nm") if short.quantity == "torque" else (1e-3, "kPa absolute")
    planned = f"{short.planned[at] * factor:.0f}" if np.isfinite(short.planned[at]) else "nothing"
    why: dict[str, list[int]] = {}
    for point in points:
        why.setdefault(short.binding[int(point)], []).append(int(point))
    reasons = "; ".join(f"{_words(name)} at {speed_runs(plan.speeds, where)}" for name, where in why.items())
    return (
        f"{short.source} is out of reach at {len(points)} of {plan.speeds.size} speeds, most at "
        f"{plan.speeds[at] * _RPM:.0f} rpm: {short.wanted[at] * factor:.0f} {unit} wanted, {planned} planned. What "
        f"stands in the way: {reasons}"
    )


def _defaults(plan: Plan, width: int) -> str:
    lines = assumptions(plan.prediction.defaults_used, width)
    return "\n".join(["Defaults nobody has confirmed", *lines]) if lines else ""
