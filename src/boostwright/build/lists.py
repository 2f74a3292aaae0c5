"""The lists of a value that is a table: numbers, the name of their unit, and no other key."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from boostwright.build.faults import Report, nearest
from boostwright.build.toml_text import KeyPath
from boostwright.errors import UnitError
from boostwright.units import PREFERRED, to_si, unit_names

__all__ = ["read_numbers", "read_unit", "refuse_unknown"]


def refuse_unknown(raw: Mapping[str, Any], known: list[str], path: KeyPath, report: Report) -> None:
    """Keys that have no business in a curve."""
    for key in raw:
        if key not in known:
            near = nearest(key, known)
            remedy = f"Did you mean {near}?" if near else ""
            report.fault((*path, key), raw[key], "is no key of this value.", ", ".join(known), remedy)


def read_numbers(
    raw: Mapping[str, Any], key: str, path: KeyPath, report: Report, axis: str = "speed"
) -> list[float] | None:
    """A list of finite numbers, two or more."""
    below = (*path, key)
    found = raw.get(key)
    if found is None:
        report.fault(
            path, dict(raw), f"has no {key}.", f"{axis}, unit and value, with as many values as {axis}s"
        )
        return None
    if not isinstance(found, list):
        report.fault(below, found, "is no list.", f"numbers in square brackets: {key} = [1, 2, 3]")
        return None
    numbers: list[float] = []
    for index, number in enumerate(found, start=1):
        if isinstance(number, bool) or not isinstance(number, int | float):
            where = "unit" if key == axis else "value_unit"
            message = f"is no number (number {index} of the list)."
            report.fault(below, number, message, f"plain numbers; the unit stands in {where}")
            return None
        if not math.isfinite(number):
            report.fault(
                below, number, f"is not a finite number (number {index} of the list).", "plain numbers"
            )
            return None
        numbers.append(float(number))
    if len(numbers) < 2:
        report.fault(
            below, found, f"has {len(numbers)} numbers.", "two or more; one value alone needs no curve"
        )
        return None
    return numbers


def read_unit(
    raw: Mapping[str, Any], key: str, kind: str, path: KeyPath, report: Report, axis: str = "speed"
) -> str | None:
    """The name of a unit, of the right kind."""
    found = raw.get(key)
    names = ", ".join(name for name in unit_names(kind) if name)
    if found is None:
        what = f"{axis}s" if key == "unit" else "values"
        example = PREFERRED[kind]
        remedy = f'Write {key} = "{example}" if that is the unit of the {what}.'
        report.fault(path, dict(raw), f"has no {key}.", names, remedy)
        return None
    if not isinstance(found, str):
        report.fault((*path, key), found, "is no name of a unit.", names)
        return None
    try:
        to_si(1.0, kind, found)
    except UnitError as error:
        report.fault((*path, key), found, f"{error}.", names)
        return None
    return found
