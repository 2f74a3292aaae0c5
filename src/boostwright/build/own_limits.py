"""Limits of the user's own: ``[limits.own.NAME]`` with a quantity and its bounds.

Which quantities there are and how each is counted is known to the tasks alone: names are held against them there.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from boostwright.build.build import OwnLimit, Value
from boostwright.build.faults import Report
from boostwright.build.lists import refuse_unknown
from boostwright.build.parameter import Parameter
from boostwright.build.toml_text import KeyPath, as_written
from boostwright.errors import UnitError
from boostwright.units import KINDS, Quantity, parse_quantity, quantity_from_number

__all__ = ["QUANTITIES_OF_LIMITS", "read_own_limits"]

QUANTITIES_OF_LIMITS = {
    "torque": "torque",
    "driveline_torque": "torque",
    "peak_pressure": "peak_pressure_strong",
    "egt_reading": "egt_reading",
    "drive_pressure_ratio": "drive_pressure_ratio",
    "boost": "pressure_im",
    "temperature_im": "temperature_im",
}
"""Quantity on which each key of [limits] with a number sets an upper bound."""

_KEYS = ["quantity", "upper", "lower", "words", "margin"]
_NAME = re.compile(r"[a-z][a-z0-9_-]*")
_EXAMPLE = 'quantity = "pressure_4" and upper = "130 kPa absolute"'


def read_own_limits(parameter: Parameter, raw: Any, path: KeyPath, report: Report) -> Value | None:
    """Every limit of the table, or None when one of them has faults.

    raw  table of tables, by the names the user gave them
    """
    if not isinstance(raw, dict) or not all(isinstance(one, dict) for one in raw.values()):
        allowed = "a section for each limit"
        report.fault(
            path, raw, "is no table of limits.", allowed, f"Write [limits.own.NAME] with {_EXAMPLE}."
        )
        return None
    before = len(report.faults)
    found = [_read(name, one, (*path, name), report) for name, one in raw.items()]
    if len(report.faults) > before:
        return None
    own = tuple(one for one in found if one is not None)
    return Value(parameter, as_written(dict(raw)), "file", records=own, line=report.line(path))


def _read(name: str, raw: Mapping[str, Any], path: KeyPath, report: Report) -> OwnLimit | None:
    """One limit."""
    if not _NAME.fullmatch(name):
        report.fault(path, None, "is no name for a limit.", "small letters, digits, - and _, a letter first")
        return None
    refuse_unknown(raw, _KEYS, path, report)
    quantity = raw.get("quantity")
    if not isinstance(quantity, str) or not quantity.strip():
        message = "does not say which quantity it limits."
        report.fault((*path, "quantity"), quantity, message, "the name of a quantity", f"Write {_EXAMPLE}.")
        return None
    upper, lower = (_bound(raw, key, (*path, key), report) for key in ("upper", "lower"))
    if upper is None and lower is None:
        if "upper" not in raw and "lower" not in raw:
            report.fault(path, None, "has neither upper nor lower.", "one of them or both")
        return None
    margin = _margin(raw.get("margin", 0.0), (*path, "margin"), report)
    kind, basis = _of_one_kind(upper, lower, raw, path, report)
    if margin is None or kind is None:
        return None
    _in_order(upper, lower, raw, path, report)
    words = raw.get("words", "")
    if not isinstance(words, str):
        report.fault((*path, "words"), words, "is no text.", "text in quotes")
        return None
    ends = [None if end is None else end[1].value_si for end in (upper, lower)]
    return OwnLimit(name, quantity.strip(), ends[0], ends[1], kind, basis, words, margin, report.line(path))


def _bound(raw: Mapping[str, Any], key: str, path: KeyPath, report: Report) -> tuple[str, Quantity] | None:
    """Kind and quantity of a bound; a plain number has no unit."""
    found = raw.get(key)
    if found is None:
        return None
    if isinstance(found, bool) or not isinstance(found, int | float | str):
        report.fault(path, found, "is no quantity.", "text with a number and a unit, or a plain number")
        return None
    if not isinstance(found, str):
        return "dimensionless", quantity_from_number(float(found), "dimensionless", "")
    for kind in ("dimensionless", *KINDS):
        try:
            return kind, parse_quantity(found, kind, key=".".join(path))
        except UnitError:
            continue
    message = "cannot be read as a number with a unit."
    report.fault(path, found, message, "for example 130 kPa absolute, 950 degC, 0.2")
    return None


def _margin(raw: Any, path: KeyPath, report: Report) -> float | None:
    """A share below 1."""
    if isinstance(raw, str):
        try:
            raw = parse_quantity(raw, "dimensionless").value_si
        except UnitError:
            raw = None
    if isinstance(raw, bool) or not isinstance(raw, int | float) or not 0.0 <= raw < 1.0:
        message = "is no share of the limit from 0 up to below 1: with all of it kept, nothing would be left."
        report.fault(path, raw, message, "0 to below 1, or in %", "Write for example margin = 0.05.")
        return None
    return float(raw)


def _of_one_kind(
    upper: tuple[str, Quantity] | None,
    lower: tuple[str, Quantity] | None,
    raw: Mapping[str, Any],
    path: KeyPath,
    report: Report,
) -> tuple[str | None, str]:
    """Kind and basis of both bounds; None where they differ."""
    ends = [end for end in (upper, lower) if end is not None]
    kinds = {kind for kind, _ in ends}
    bases = {quantity.basis or "" for _, quantity in ends}
    if len(kinds) > 1 or len(bases) > 1:
        shown = f"{as_written(raw['upper'])} and {as_written(raw['lower'])}"
        report.fault(path, None, f"has bounds that do not measure the same: {shown}.", "one unit and basis")
        return None, ""
    return ends[0][0], bases.pop()


def _in_order(
    upper: tuple[str, Quantity] | None,
    lower: tuple[str, Quantity] | None,
    raw: Mapping[str, Any],
    path: KeyPath,
    report: Report,
) -> None:
    """A lower bound below the upper one."""
    if upper is None or lower is None or lower[1].value_si < upper[1].value_si:
        return
    place, _ = report.place((*path, "upper"))
    message = f"is not below upper = {as_written(raw['upper'])} ({place}): no value keeps both."
    report.fault((*path, "lower"), raw["lower"], message, "lower below upper")
