"""Compressor cards: measured speed lines with their reference condition, and what looks wrong in them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.card import Card, CardSchema, Column, Field
from boostwright.cards.compressor_plausibility import Reference, implausible_size
from boostwright.cards.map_csv import MapColumn, MapTable, read_map_csv
from boostwright.errors import Fault
from boostwright.units import QuantityError, convert, parse_quantity

__all__ = ["SCHEMA", "SPEED_GAP", "groups_of_lines"]

Array = NDArray[np.float64]

SPEED_GAP = 0.015
"""Points whose speeds follow each other within this share belong to one speed line."""

_COLUMNS = (
    MapColumn(
        "corrected_speed",
        ("rotational_speed",),
        "corrected shaft speed of the line",
        ("speed", "n", "n_corr", "corrected_speed_rpm", "shaft_speed", "rpm"),
    ),
    MapColumn(
        "corrected_flow",
        ("mass_flow", "volume_flow"),
        "corrected flow; a volume flow is that of air at the reference condition",
        ("flow", "w", "w_corr", "mass_flow", "volume_flow", "corrected_mass_flow", "corrected_volume_flow"),
    ),
    MapColumn(
        "pressure_ratio",
        ("dimensionless",),
        "total pressure ratio",
        ("pr", "pressure_ratio_tt", "pressure_ratio_total_to_total"),
    ),
    MapColumn(
        "efficiency",
        ("dimensionless",),
        "isentropic efficiency, total to total, as a share or in %",
        ("eff", "eta", "isentropic_efficiency", "efficiency_tt", "efficiency_isentropic_tt"),
    ),
    MapColumn("line", (), "label of the speed line a point belongs to", ("speed_line",), required=False),
)


def groups_of_lines(speed: Array, labels: Array | None = None) -> list[NDArray[np.intp]]:
    """Indices of the points of each speed line, lines in order of speed.

    speed   (n,)  [any unit] corrected speed of each point
    labels  (n,)  number of the line a point was said to belong to; None = told from the speeds
    """
    if labels is not None:
        groups = [np.flatnonzero(labels == label) for label in np.unique(labels)]
        return sorted(groups, key=lambda group: float(np.mean(speed[group])))
    order = np.argsort(speed, kind="stable")
    rises = np.diff(speed[order]) > SPEED_GAP * speed[order][:-1]
    return np.split(order, np.flatnonzero(rises) + 1)


def _read_table(data: Mapping[str, Any], path: Path) -> tuple[Mapping[str, Array], list[Fault], list[Fault]]:
    """The card's speed lines at the card's own reference: rad/s, kg/s, -, - and the number of the line."""
    table = data.get("table")
    file = table.get("file") if isinstance(table, dict) else None
    if not isinstance(file, str) or not isinstance(table, dict) or set(table) != {"file"}:
        remedy = 'Write [table] with file = "<name>.csv", and put that file beside the card.'
        return {}, [Fault(path.name, "table", "", "must name the file with the speed lines.", "", remedy)], []
    if Path(file).name != file:
        message = "must be a file beside the card, without a folder."
        return {}, [Fault(path.name, "table.file", file, message)], []
    read, errors, warnings = read_map_csv(path.parent / file, _COLUMNS)
    if errors:
        return {}, errors, warnings
    columns = dict(read.columns)
    reference = _reference(data)
    if read.kinds["corrected_flow"] == "volume_flow":
        if reference is None:
            return {}, [], warnings  # the missing reference is reported with the values
        columns["corrected_flow"] = columns["corrected_flow"] * reference.density
    if "line" in read.labels:
        names = sorted(set(read.labels["line"]))
        columns["line"] = np.array([float(names.index(label)) for label in read.labels["line"]])
    errors = _impossible(columns, read, file)
    if not errors:
        errors = _short_lines(columns, file)
    if not errors:
        warnings = warnings + _out_of_order(columns, read, file)
        if reference is not None:
            highest = groups_of_lines(columns["corrected_speed"], columns.get("line"))[-1]
            unit = read.units["corrected_flow"]
            warnings += implausible_size({k: v[highest] for k, v in columns.items()}, reference, unit, file)
    return columns, errors, warnings


def _reference(data: Mapping[str, Any]) -> Reference | None:
    """The card's reference condition and wheel as written; None when it cannot be told."""
    values = data.get("compressor")
    if not isinstance(values, dict):
        return None

    def si(key: str, kind: str) -> float:
        try:
            return parse_quantity(str(values[key]), kind).value_si
        except (KeyError, QuantityError):
            return math.nan

    reference = Reference(
        si("reference_pressure", "pressure"),
        si("reference_temperature", "temperature"),
        si("wheel_diameter", "length"),
    )
    return reference if reference.pressure > 0.0 and reference.temperature > 0.0 else None


def _impossible(columns: Mapping[str, Array], read: MapTable, file: str) -> list[Fault]:
    """Points that no compressor can have, each with its line."""
    faults: list[Fault] = []
    allowed = {
        "corrected_speed": (1.0, 1e6, "above zero, in rad/s at most a million"),
        "corrected_flow": (1e-7, 1e3, "above zero"),
        "pressure_ratio": (1.0005, 20.0, "above 1 (leave points out where the machine only throttles)"),
        "efficiency": (0.02, 0.999, "a share between 0 and 1, or % in the row of units"),
    }
    for key, (low, high, words) in allowed.items():
        bad = np.flatnonzero(~((columns[key] >= low) & (columns[key] <= high)))
        if key == "efficiency" and 1.5 < float(np.median(columns[key])) < 100.0:
            message = "is in percent, yet the row of units does not say so."
            faults.append(Fault(file, key, "", message, words, "Write % as its unit."))
            continue
        for i in bad:
            where = f"{file}, line {read.lines[i]}"
            value = f"{columns[key][i]:g}"
            faults.append(Fault(where, key, value, "is not possible.", words, line=read.lines[i]))
    return faults


def _short_lines(columns: Mapping[str, Array], file: str) -> list[Fault]:
    """At least two speed lines, each with at least three different flows."""
    speed, flow = columns["corrected_speed"], columns["corrected_flow"]
    groups = groups_of_lines(speed, columns.get("line"))
    faults = []
    if len(groups) < 2:
        message = f"holds {len(groups)} speed line; at least two are needed."
        remedy = "Add the lines of other speeds: one does not say how the machine changes with speed."
        faults.append(Fault(file, "corrected_speed", "", message, remedy=remedy))
    means = np.array([float(np.mean(speed[group])) for group in groups])
    for i in np.flatnonzero(np.diff(means) < SPEED_GAP * means[:-1]):
        rpm = convert(means[i], "rotational_speed", "rpm")
        message = f"two lines have almost the same speed, {rpm:.0f} rpm."
        faults.append(Fault(file, "line", "", message, remedy="Give their points one label."))
    for group in groups:
        if np.unique(flow[group]).size < 3:
            rpm = convert(float(np.mean(speed[group])), "rotational_speed", "rpm")
            message = f"the line at {rpm:.0f} rpm has fewer than three different flows."
            remedy = "Add points to it or leave it out."
            faults.append(Fault(file, "corrected_flow", "", message, remedy=remedy))
    return faults


def _out_of_order(columns: Mapping[str, Array], read: MapTable, file: str) -> list[Fault]:
    """Warnings: points not in order of flow, points given twice, efficiency or ratio that jumps."""
    warnings = []
    speed, flow, ratio = (columns[key] for key in ("corrected_speed", "corrected_flow", "pressure_ratio"))
    for group in groups_of_lines(speed, columns.get("line")):
        group = np.sort(group)
        rpm = f"the line at {convert(float(np.mean(speed[group])), 'rotational_speed', 'rpm'):.0f} rpm"
        steps = np.diff(flow[group])
        if np.any(steps > 0.0) and np.any(steps < 0.0):
            turn = int(np.flatnonzero(np.sign(steps) != np.sign(steps[0]))[0])
            line = read.lines[group[turn + 1]]
            message = f"{rpm} is not in order of flow; its points were put in order."
            remedy = "If it is in order along the line, the flow of this point is mistyped."
            warnings.append(Fault(f"{file}, line {line}", "corrected_flow", "", message, "", remedy, line))
        order = group[np.argsort(flow[group], kind="stable")]
        same = np.flatnonzero(np.diff(flow[order]) <= 1e-9 * flow[order][-1])
        for i in same:
            a, b = order[i], order[i + 1]
            twice = abs(ratio[a] / ratio[b] - 1.0) < 1e-6
            line = read.lines[b]
            message = (
                f"{rpm} holds this point twice (also in line {read.lines[a]}); it counts once."
                if twice
                else f"{rpm} holds two points of this flow (also in line {read.lines[a]})."
            )
            warnings.append(Fault(f"{file}, line {line}", "corrected_flow", "", message, line=line))
    return warnings


def _check(card: Card) -> tuple[list[Fault], list[Fault]]:
    """Limits that need the wheel, and a table that is there."""
    errors: list[Fault] = []
    if card.has("tip_speed_limit") and not card.has("wheel_diameter") and not card.has("speed_limit"):
        errors.append(_fault(card, "tip_speed_limit", "needs wheel_diameter to become a shaft speed."))
    if not card.columns:
        errors.append(_fault(card, "reference_pressure", "the card has no speed lines."))
    return errors, []


def _fault(card: Card, key: str, message: str, remedy: str = "") -> Fault:
    """A fault of one key of the card."""
    line = card.values[key].line if card.has(key) else 0
    place = f"{card.path.name}, line {line}" if line else card.path.name
    return Fault(place, f"compressor.{key}", "", message, remedy=remedy, line=line)


_REFERENCE = (
    "of corrected flow and speed, as printed on the map; none is assumed, for the usual ones "
    "differ by 4 to 5 % of flow"
)

SCHEMA = CardSchema(
    kind="compressor",
    words="a centrifugal compressor, by its measured speed lines",
    version=1,
    fields=(
        Field(
            "reference_pressure",
            "pressure",
            f"reference pressure {_REFERENCE}",
            low=5e4,
            high=2e5,
            low_ask=9e4,
            high_ask=1.03e5,
            basis=("absolute",),
        ),
        Field(
            "reference_temperature",
            "temperature",
            f"reference temperature {_REFERENCE}",
            low=230.0,
            high=350.0,
            low_ask=273.0,
            high_ask=305.0,
        ),
        Field(
            "pressure_ratio_basis",
            "word",
            "stations of pressure ratio and efficiency",
            required=False,
            default="total-to-total",
            choices=("total-to-total",),
        ),
        Field(
            "wheel_diameter",
            "length",
            "exit (exducer) diameter of the wheel",
            required=False,
            low=10e-3,
            high=1.0,
            low_ask=28e-3,
            high_ask=0.45,
        ),
        Field(
            "tip_speed_limit",
            "velocity",
            "limiting speed as blade speed at the exit diameter",
            required=False,
            low=100.0,
            high=750.0,
            low_ask=300.0,
            high_ask=620.0,
        ),
        Field(
            "speed_limit",
            "rotational_speed",
            "limiting corrected shaft speed, where stated as such",
            required=False,
            low=500.0,
            high=4e4,
        ),
        Field("scaled_from", "word", "card this one was made from by similarity", required=False),
        Field(
            "scale", "number", "wheel diameter over that of the original", required=False, low=1e-3, high=1e3
        ),
        Field(
            "loss_factor",
            "number",
            "losses at equal work are multiplied by this: for a small wheel scaled from a large one",
            required=False,
            low=0.5,
            high=4.0,
        ),
    ),
    columns=tuple(
        Column(c.key, "number" if c.kinds[0] == "dimensionless" else c.kinds[0], c.words)
        for c in _COLUMNS
        if c.kinds
    ),
    check=_check,
    read_table=_read_table,
)
