"""Values over something else than engine speed: a pump's flow over pressure, a dead time over voltage."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from boostwright.build.bands import read_band
from boostwright.build.build import PointCurve, Value
from boostwright.build.faults import Report, nearest
from boostwright.build.lists import read_numbers, read_unit, refuse_unknown
from boostwright.build.parameter import Parameter
from boostwright.build.toml_text import KeyPath, as_written
from boostwright.build.values import check_bounds
from boostwright.units import format_quantity, to_si

__all__ = ["read_point_curve"]


def read_point_curve(
    parameter: Parameter, raw: Mapping[str, Any], path: KeyPath, report: Report
) -> Value | None:
    """``{ pressure = [...], unit = "kPa", value = [...], value_unit = "L/h" }``, or None when it has faults.

    parameter  its ``axis`` names the key of the first list and the kind of its unit
    """
    before = len(report.faults)
    axis = parameter.axis
    known = [axis, "unit", *(["basis"] if parameter.axis_basis else []), "value", "value_unit", "band"]
    refuse_unknown(raw, known, path, report)
    places = read_numbers(raw, axis, path, report, axis)
    values = read_numbers(raw, "value", path, report, axis)
    unit = read_unit(raw, "unit", axis, path, report, axis)
    value_unit = read_unit(raw, "value_unit", parameter.kind, path, report, axis)
    if parameter.axis_basis:
        _basis(parameter, raw, path, report)
    if places is not None and values is not None:
        _same_length_and_rising(axis, places, values, raw, path, report)
    if len(report.faults) > before or places is None or values is None or unit is None or value_unit is None:
        return None
    points = PointCurve(
        tuple(to_si(place, axis, unit) for place in places),
        tuple(to_si(value, parameter.kind, value_unit) for value in values),
    )
    for place, value in zip(points.axis_points, points.value_points, strict=True):
        shown = format_quantity(value, parameter.kind, value_unit)
        where = f"at {format_quantity(place, axis, unit)} is {shown}, which "
        if not check_bounds(parameter, value, dict(raw), path, report, where):
            return None
    band = None
    if "band" in raw:
        band = read_band(parameter, raw["band"], points.value_points, value_unit, path, report)
        if band is None:
            return None
    return Value(
        parameter,
        as_written(dict(raw)),
        "file",
        points=points,
        unit=value_unit,
        basis=parameter.axis_basis or None,
        line=report.line(path),
        band=band,
    )


def _basis(parameter: Parameter, raw: Mapping[str, Any], path: KeyPath, report: Report) -> None:
    """What the first list is counted from; only one answer makes sense, and it has to be given."""
    wanted, found = parameter.axis_basis, raw.get("basis")
    if found is None:
        message = f"does not say that its {parameter.axis} is {wanted}."
        report.fault(path, dict(raw), message, wanted, f'Write basis = "{wanted}" if that is what you mean.')
    elif found in parameter.refused_basis:
        remedy = parameter.refused_basis[found]
        report.fault((*path, "basis"), found, "has no meaning here.", wanted, remedy[0].upper() + remedy[1:])
    elif found != wanted:
        near = nearest(str(found), [wanted])
        remedy = f'Did you mean "{near}"?' if near else ""
        report.fault((*path, "basis"), found, "is not the allowed word.", wanted, remedy)


def _same_length_and_rising(
    axis: str,
    places: list[float],
    values: list[float],
    raw: Mapping[str, Any],
    path: KeyPath,
    report: Report,
) -> None:
    """As many values as places, every place above the one before."""
    if len(places) != len(values):
        message = f"has {len(places)} {axis}s and {len(values)} values."
        report.fault(path, dict(raw), message, f"as many values as {axis}s")
    if places[0] < 0.0:
        report.fault((*path, axis), raw[axis], f"begins at {places[0]:g}.", f"a {axis} of 0 or more")
    for left, right in pairwise(places):
        if right <= left:
            message = f"does not rise: {right:g} stands after {left:g}."
            report.fault((*path, axis), raw[axis], message, f"every {axis} above the one before")
            return
