"""A prediction as a terminal shows it: one table, then what must be known about it in plain lines."""

from __future__ import annotations

import numpy as np

from boostwright.report.cylinders_apart import cylinder_tables
from boostwright.report.display import in_shown_unit, shown, shown_number, shown_text
from boostwright.report.prose import assumptions, paragraph, sentence
from boostwright.report.rods_text import rod_sums
from boostwright.report.sweep import (
    NO_STEADY_STATE,
    flag_groups,
    limit_labels,
    shown_values,
    speed_ranges,
    speed_text,
    unsolved_groups,
)
from boostwright.report.text_table import TextColumn, render_table
from boostwright.solve.operating_point import Prediction, Remark

__all__ = ["prediction_text"]

_COLUMNS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("engine_speed", ("engine", "speed")),
    ("torque", ("torque",)),
    ("power", ("power",)),
    ("torque_corrected", ("torque", "corrected")),
    ("power_corrected", ("power", "corrected")),
    ("power_correction_factor", ("correction", "factor")),
    ("torque_wheel", ("torque", "at wheels")),
    ("power_wheel", ("power", "at wheels")),
    ("boost", ("boost",)),
    ("lambda", ("lambda",)),
    ("mass_flow_air", ("air", "flow")),
    ("compressor_pressure_ratio", ("compressor", "pressure ratio")),
    ("shaft_speed", ("shaft", "speed")),
    ("surge_margin", ("surge", "margin")),
    ("choke_margin", ("choke", "margin")),
    ("speed_margin", ("speed", "margin")),
    ("drive_pressure_ratio", ("drive-pressure", "ratio")),
    ("egt_reading", ("EGT", "reading")),
    ("temperature_em", ("gas at", "turbine")),
    ("peak_pressure", ("peak", "pressure")),
    ("angle_half_burned", ("CA50",)),
    ("knock_limited_phasing_late", ("CA50 if", "knock-prone")),
    ("knock_integral", ("knock", "integral")),
    ("gate_lift", ("gate", "lift")),
    ("gate_flow_share", ("gate", "flow share")),
    ("injector_duty", ("injector", "duty")),
    ("pump_margin", ("pump", "margin")),
)
_WHEN_ASKED = (
    "torque_corrected",
    "power_corrected",
    "power_correction_factor",
    "torque_wheel",
    "power_wheel",
    "injector_duty",
    "pump_margin",
)
_WIDEST_PROSE = 110
_RULE_OF_THUMB = "rule-of-thumb"
_MODES = {
    "gate-shut": "gate held shut",
    "spring": "spring alone",
    "target": "boost target held",
    "gate-open": "gate fully open: the creep floor",
    "no-turbo": "turbo taken out",
}


def prediction_text(prediction: Prediction, width: int) -> str:
    """The whole report as text.

    prediction  what the task returned
    width       characters on a line; a table that needs more is cut into blocks that repeat the engine speed
    Returns text that ends with a newline.
    """
    prose = min(width, _WIDEST_PROSE)
    sections = [
        _heading(prediction),
        render_table(_table(prediction), width),
        _peaks(prediction),
        _reading_notes(prediction, prose),
        cylinder_tables(prediction, width),
        rod_sums(prediction, prose),
        _unsolved(prediction, prose),
        _remarks(prediction, prose),
        _limits(prediction, prose),
        _flags(prediction, prose),
        _comparisons(prediction, prose),
        _choices(prediction, prose),
        _defaults(prediction, prose),
        _cautions(prediction, prose),
    ]
    return "\n\n".join(section for section in sections if section) + "\n"


def _section(title: str, lines: list[str], width: int) -> str:
    return "\n".join([title, *(paragraph(line, width) for line in lines)]) if lines else ""


def _heading(prediction: Prediction) -> str:
    words = _MODES.get(prediction.mode, "")
    mode = f"mode {prediction.mode} ({words})" if words else f"mode {prediction.mode}"
    head = f"{prediction.name}: {mode}"
    lines = [head, *(f"  set for this run: {setting}" for setting in prediction.settings)]
    outside = [
        shown_text(name, float(values.values[0]), values.unit)
        for name in ("pressure_amb", "temperature_amb")
        if (values := prediction.quantities.get(name)) and np.isfinite(values.values[:1]).all()
    ]
    return "\n".join([*lines, f"  air outside: {', '.join(outside)}"] if outside else lines)


def _table(prediction: Prediction) -> list[TextColumn]:
    """The columns; one without a single value (a gate without a turbo) is left out where others have some."""
    any_value = bool(prediction.solved.any())
    columns = []
    for name, heading in _COLUMNS:
        values = prediction.quantities.get(name)
        numbers = shown_values(prediction, name)
        if (any_value or name in _WHEN_ASKED) and not np.isfinite(numbers).any():
            continue
        how = shown(name, values.unit if values else "")
        cells = tuple(shown_number(float(number), how) for number in numbers)
        columns.append(TextColumn(heading, how.label, cells))
    return [*columns, TextColumn(("what", "binds"), "", limit_labels(prediction), left=True)]


def _peaks(prediction: Prediction) -> str:
    """The largest torque and power of the points that were asked for."""
    found = []
    for name in ("torque", "power"):
        values = prediction.quantities.get(name)
        if values is None or not np.isfinite(values.values).any():
            continue
        point = int(np.nanargmax(values.values))
        text = shown_text(name, float(values.values[point]), values.unit)
        found.append(f"most {name} {text} at {speed_text(prediction, point)} rpm")
    return sentence(", ".join(found)) if found else ""


def _reading_notes(prediction: Prediction, width: int) -> str:
    lines = [
        "Boost is the intake manifold above the air outside. Drive-pressure ratio is exhaust manifold over "
        "intake manifold, both total and absolute. EGT reading is what the probe shows; gas at turbine is "
        "the mean the turbine feels.",
        *(
            f"{name.replace('_', ' ').capitalize()}: {prediction.quantities[name].basis}."
            for name in ("surge_margin", "choke_margin", "speed_margin")
            if np.isfinite(shown_values(prediction, name)).any() and prediction.quantities[name].basis
        ),
    ]
    return "\n".join(paragraph(line, width, first="", later="") for line in lines)


def _unsolved(prediction: Prediction, width: int) -> str:
    lines = []
    for group in unsolved_groups(prediction):
        where = speed_ranges(prediction, group.points)
        nearest = sentence(f"nearest limit: {group.first.nearest_limit}")
        line = f"{where}: {group.reason}. {sentence(group.first.message)} {nearest}"
        if group.last.message != group.first.message:
            line += f" At {speed_text(prediction, group.points[-1])} rpm: {sentence(group.last.message)}"
        lines.append(line)
    count = int(np.count_nonzero(~prediction.solved))
    return _section(
        f"{NO_STEADY_STATE.capitalize()} at {count} of {len(prediction.outcomes)} points", lines, width
    )


def _with_status(remark: Remark) -> str:
    return sentence(remark.message) + (f" ({remark.status})" if remark.status else "")


def _remarks(prediction: Prediction, width: int) -> str:
    lines = [_with_status(remark) for remark in prediction.remarks if not _is_comparison(remark)]
    return _section("About the sweep", lines, width)


def _is_comparison(remark: Remark) -> bool:
    return remark.code.startswith(_RULE_OF_THUMB)


def _comparisons(prediction: Prediction, width: int) -> str:
    lines = [_with_status(remark) for remark in prediction.remarks if _is_comparison(remark)]
    return _section("Rules of thumb beside it (they set nothing here)", lines, width)


def _limits(prediction: Prediction, width: int) -> str:
    lines = []
    for limit in prediction.limits:
        finite = np.flatnonzero(np.isfinite(limit.utilisation))
        if len(finite) == 0:
            continue
        worst = int(finite[np.argmax(limit.utilisation[finite])])
        how = shown(limit.quantity, limit.unit)
        value = shown_number(float(in_shown_unit(limit.limit[worst : worst + 1], how)[0]), how)
        unit = f" {how.unit}" if how.unit else ""  # the basis stands in the limit's own words
        source = f" ({limit.source})" if limit.source else ""
        if limit.margin > 0.0:
            kept = (
                f"{limit.margin * 100:.3g} %"
                if limit.margin_is == "share"
                else f"{limit.margin:.3g} {limit.unit}"
            )
            source += f", {kept} kept as margin"
        share = f"{limit.utilisation[worst] * 100:.0f} %"
        over = ", beyond it" if limit.utilisation[worst] > 1 + 1e-6 else ""
        at = f"{speed_text(prediction, worst)} rpm"
        lines.append(f"{sentence(limit.words)[:-1]} {value}{unit}{source}: highest use {share} at {at}{over}")
    return _section("Limits beside every point", lines, width)


def _flags(prediction: Prediction, width: int) -> str:
    lines = []
    for group in flag_groups(prediction):
        where = speed_ranges(prediction, group.points)
        line = f"{group.severity}: {sentence(group.first)} [{group.code}; at {where}]"
        if group.last != group.first:
            line += f" At {speed_text(prediction, group.points[-1])} rpm: {sentence(group.last)}"
        lines.append(line)
    return _section("To know about these points", lines, width)


def _choices(prediction: Prediction, width: int) -> str:
    lines = []
    for choice in prediction.choices:
        details = "; ".join(part for part in (choice.status, choice.source, choice.place) if part)
        lines.append(f"{choice.what}: {choice.name}" + (f" ({details})" if details else ""))
    return _section("Models and part cards used", lines, width)


def _defaults(prediction: Prediction, width: int) -> str:
    lines = assumptions(prediction.defaults_used, width)
    return "\n".join(["Defaults nobody has confirmed", *lines]) if lines else ""


def _cautions(prediction: Prediction, width: int) -> str:
    return _section("Cautions", [sentence(caution) for caution in prediction.cautions], width)
