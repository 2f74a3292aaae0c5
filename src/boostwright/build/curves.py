"""Values over engine speed, and the list of engine speeds to work out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from boostwright.build.bands import read_band
from boostwright.build.build import Curve, Value
from boostwright.build.faults import Report, nearest
from boostwright.build.lists import read_numbers, read_unit, refuse_unknown
from boostwright.build.parameter import Parameter
from boostwright.build.toml_text import KeyPath, as_written
from boostwright.errors import UnitError
from boostwright.units import parse_quantity, to_si, unit_names

__all__ = ["MOST_SPEEDS", "read_curve", "read_speeds", "speed_range"]

MOST_SPEEDS = 2000
"""More points than this in one prediction are a slip of the step."""

_SPEED_UNITS = ", ".join(unit_names("rotational_speed"))


def read_curve(parameter: Parameter, raw: Mapping[str, Any], path: KeyPath, report: Report) -> Value | None:
    """``{ speed = [...], unit = "rpm", value = [...], band = "5 %" }`` as a curve, or None when it has faults."""
    before = len(report.faults)
    known = ["speed", "unit", "value", "value_unit", "band"] + (["value_basis"] if parameter.basis else [])
    refuse_unknown(raw, known, path, report)
    speeds = read_numbers(raw, "speed", path, report)
    values = read_numbers(raw, "value", path, report)
    speed_unit = read_unit(raw, "unit", "rotational_speed", path, report)
    if parameter.kind == "dimensionless" and "value_unit" not in raw:
        value_unit: str | None = ""
    else:
        value_unit = read_unit(raw, "value_unit", parameter.kind, path, report)
    basis = _curve_basis(parameter, raw, path, report)
    if speeds is not None and values is not None:
        _same_length_and_rising(speeds, values, raw, path, report)
    if len(report.faults) > before or speeds is None or values is None:
        return None
    if speed_unit is None or value_unit is None:
        return None
    curve = Curve(
        tuple(to_si(speed, "rotational_speed", speed_unit) for speed in speeds),
        tuple(to_si(value, parameter.kind, value_unit) for value in values),
        basis,
    )
    band = None
    if "band" in raw:
        band = read_band(parameter, raw["band"], curve.value_points, value_unit, path, report)
        if band is None:
            return None
    return Value(
        parameter,
        as_written(dict(raw)),
        "file",
        curve=curve,
        unit=value_unit,
        basis=basis,
        line=report.line(path),
        band=band,
    )


def read_speeds(parameter: Parameter, raw: Any, path: KeyPath, report: Report) -> Value | None:
    """``{ from = "1500 rpm", to = "6500 rpm", step = "250 rpm" }`` or ``{ speed = [...], unit = "rpm" }``."""
    allowed = 'a range { from = "1500 rpm", to = "6500 rpm", step = "250 rpm" } or a list '
    allowed += '{ speed = [2000, 4000], unit = "rpm" }'
    if not isinstance(raw, dict):
        report.fault(path, raw, "is no list of engine speeds.", allowed)
        return None
    before = len(report.faults)
    if "speed" in raw:
        refuse_unknown(raw, ["speed", "unit"], path, report)
        numbers = read_numbers(raw, "speed", path, report)
        unit = read_unit(raw, "unit", "rotational_speed", path, report)
        if numbers is not None and unit is not None:
            speeds = tuple(to_si(number, "rotational_speed", unit) for number in numbers)
            _refuse_not_rising(numbers, raw, path, report)
    else:
        refuse_unknown(raw, ["from", "to", "step"], path, report)
        ends = [_end(raw, key, path, report) for key in ("from", "to", "step")]
        first, last, step = ends
        if first is not None and last is not None and step is not None:
            speeds = _checked_range(first, last, step, raw, path, report)
    if len(report.faults) > before:
        return None
    return Value(parameter, as_written(raw), "file", speeds=speeds, unit="rpm", line=report.line(path))


def speed_range(first: float, last: float, step: float) -> tuple[float, ...]:
    """Speeds [rad/s] from ``first`` in steps; ``last`` is always among them."""
    count = math.floor((last - first) / step + 1e-9)
    speeds = [first + index * step for index in range(count + 1)]
    if last - speeds[-1] > 1e-6 * step:
        speeds.append(last)
    else:
        speeds[-1] = last
    return tuple(speeds)


def _checked_range(
    first: float, last: float, step: float, raw: Mapping[str, Any], path: KeyPath, report: Report
) -> tuple[float, ...]:
    """The speeds of a range, with faults for one that goes nowhere."""
    if step <= 0 or last < first:
        report.fault(
            path, dict(raw), "does not rise from one speed to another.", "from below to, step above 0"
        )
        return ()
    if (last - first) / step > MOST_SPEEDS:
        count = math.floor((last - first) / step + 1e-6) + 1
        report.fault(
            path, dict(raw), f"makes {count} points.", f"at most {MOST_SPEEDS}", "Make the step larger."
        )
        return ()
    return speed_range(first, last, step)


def _curve_basis(parameter: Parameter, raw: Mapping[str, Any], path: KeyPath, report: Report) -> str | None:
    """What the values are counted from, where that can be two things."""
    if not parameter.basis:
        return None
    found = raw.get("value_basis")
    options = " or ".join(parameter.basis)
    if found is None:
        remedy = " or ".join(f'value_basis = "{word}"' for word in parameter.basis)
        report.fault(path, dict(raw), f"does not say whether it is {options}.", options, f"Write {remedy}.")
        return None
    if found not in parameter.basis:
        near = nearest(str(found), parameter.basis)
        report.fault((*path, "value_basis"), found, "is not one of the allowed words.", options,
                     f'Did you mean "{near}"?' if near else "")  # fmt: skip
        return None
    return str(found)


def _same_length_and_rising(
    speeds: list[float], values: list[float], raw: Mapping[str, Any], path: KeyPath, report: Report
) -> None:
    """As many values as speeds, and every speed above the one before."""
    if len(speeds) != len(values):
        message = f"has {len(speeds)} speeds and {len(values)} values."
        report.fault(path, dict(raw), message, "as many values as speeds")
    _refuse_not_rising(speeds, raw, path, report)


def _refuse_not_rising(speeds: list[float], raw: Mapping[str, Any], path: KeyPath, report: Report) -> None:
    """Speeds above zero, each above the one before."""
    if speeds[0] <= 0:
        report.fault((*path, "speed"), raw["speed"], f"begins at {speeds[0]:g}.", "speeds above 0")
    for left, right in pairwise(speeds):
        if right <= left:
            message = f"does not rise: {right:g} stands after {left:g}."
            report.fault((*path, "speed"), raw["speed"], message, "every speed above the one before")
            return


def _end(raw: Mapping[str, Any], key: str, path: KeyPath, report: Report) -> float | None:
    """One of from, to and step."""
    found = raw.get(key)
    if found is None:
        report.fault(
            path, dict(raw), f"has no {key}.", f"from, to and step, each with its unit ({_SPEED_UNITS})"
        )
        return None
    below = (*path, key)
    if not isinstance(found, str):
        report.fault(below, found, "has no unit.", _SPEED_UNITS, f'Write {key} = "{found} rpm".')
        return None
    try:
        quantity = parse_quantity(found, "rotational_speed", key=key)
    except UnitError as error:
        fault = getattr(error, "fault", None)
        report.fault(
            below, found, fault.message if fault else str(error), _SPEED_UNITS, fault.remedy if fault else ""
        )
        return None
    if quantity.value_si <= 0:
        report.fault(below, found, "is not above 0.", "a speed above 0")
        return None
    return quantity.value_si
