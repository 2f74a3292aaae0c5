"""One section of the file -> its values: what is written, what a card fills in, what is assumed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from boostwright.build.bands import band_in_bounds
from boostwright.build.build import DefaultUsed, Value
from boostwright.build.faults import Report, nearest
from boostwright.build.parameter import Parameter, SectionSchema, When
from boostwright.build.schema import SECTIONS, TOP_LEVEL
from boostwright.build.toml_text import KeyPath
from boostwright.build.values import check_bounds, read_value
from boostwright.errors import UnitError
from boostwright.units import format_quantity, station_pressure_from_qnh, unit_names

__all__ = ["read_section", "refuse_unknown_sections"]

CardValues = Mapping[str, Value]


def refuse_unknown_sections(data: Mapping[str, Any], report: Report) -> None:
    """Names at the head of the file that are neither a section nor a key of the head."""
    names = [section.name for section in SECTIONS]
    for name, value in data.items():
        if name in names:
            if not isinstance(value, dict):
                report.fault((name,), value, "is a section, not a key.", f"[{name}] on its own line")
        elif name not in TOP_LEVEL.keys:
            near = nearest(name, names if isinstance(value, dict) else [*names, *TOP_LEVEL.keys])
            homes = [section.name for section in SECTIONS if name in section.keys]
            remedy = f"Did you mean {f'[{near}]' if near in names else near}?" if near else ""
            if homes and not isinstance(value, dict):
                remedy = f"It belongs below {' or '.join(f'[{home}]' for home in homes)}."
            shown = None if isinstance(value, dict) else value
            kind = "section" if isinstance(value, dict) else "key"
            report.fault((name,), shown, f"is no {kind} of a build file.", _listed(names, kind), remedy)


def read_section(
    schema: SectionSchema,
    raw: Mapping[str, Any] | None,
    report: Report,
    ambient_pressure: float | None,
    from_card: CardValues,
) -> tuple[dict[str, Value], list[DefaultUsed]]:
    """The values of a section and the defaults that stand in.

    schema            declaration
    raw               what TOML gave, None when the section is not there
    ambient_pressure  station pressure [Pa], for turning gauge into absolute; None while it is not known
    from_card         values that a card named in the section fills in
    """
    values: dict[str, Value] = {}
    defaults: list[DefaultUsed] = []
    given = raw or {}
    head = (schema.name,) if schema.name else ()
    if raw is None and _refuse_missing_section(schema, report):
        return values, defaults
    _refuse_unknown_keys(schema, given, head, report)
    for parameter in schema.parameters:
        path = (*head, parameter.name)
        raw_value = given.get(parameter.name)
        if raw_value is not None and not _is_empty(raw_value):
            value = read_value(parameter, raw_value, path, given, report)
            if value is not None:
                origin = "set" if path in report.settings else "file"
                value = _finished(
                    replace(value, origin=origin, raw=raw_value), given, path, report, ambient_pressure
                )
        elif path in report.broken:
            continue
        elif parameter.name in from_card:
            value = from_card[parameter.name]
        else:
            value = _absent(schema, parameter, given, head, report, defaults)
        if value is not None:
            values[parameter.name] = value
    return values, defaults


def _absent(
    schema: SectionSchema,
    parameter: Parameter,
    given: Mapping[str, Any],
    head: KeyPath,
    report: Report,
    defaults: list[DefaultUsed],
) -> Value | None:
    """A key that is not there or empty: a default, nothing, or a fault."""
    path = (*head, parameter.name)
    other = given.get(parameter.unless)
    if (other is not None and not _is_empty(other)) or (*head, parameter.unless) in report.broken:
        return None
    if parameter.default is not None and parameter.default_status != "computed":
        value = read_value(parameter, parameter.default, path, {}, report)
        if parameter.used_when is None or _holds(schema, parameter.used_when, given):
            key = ".".join(path)
            defaults.append(DefaultUsed(key, str(parameter.default), parameter.default_status))
        return None if value is None else replace(value, origin="default", line=0)
    needed = parameter.required or (
        parameter.required_when is not None and _holds(schema, parameter.required_when, given)
    )
    if needed:
        why = f" and needed because {parameter.required_when}" if parameter.required_when else ""
        what = "is still empty" if parameter.name in given else "is missing"
        remedy = f"Write for example {parameter.name} = {parameter.example}"
        if parameter.basis_key:
            remedy += f' and {parameter.basis_key} = "{parameter.basis[0]}"'
        if parameter.unless:
            remedy += f", or give {parameter.unless}"
        report.fault(path, None, f"{what}{why}. {parameter.words}", remedy=f"{remedy}.")
    return None


def _finished(
    value: Value, given: Mapping[str, Any], path: KeyPath, report: Report, ambient_pressure: float | None
) -> Value | None:
    """The value on its stored basis and in its first kind, with its bounds checked."""
    parameter = value.parameter
    raw = given[parameter.name]
    shift = 0.0
    if parameter.stored_basis == "absolute" and value.basis == "gauge":
        if ambient_pressure is None:
            return None
        shift = ambient_pressure
    if value.curve is not None:
        curve = replace(value.curve, value_points=tuple(v + shift for v in value.curve.value_points))
        value = replace(value, curve=curve)
        if not curve.is_constant:
            held = _curve_in_bounds(value, raw, path, report) and band_in_bounds(value, raw, path, report)
            return value if held else None
    if value.si is None:
        return value if band_in_bounds(value, raw, path, report) else None
    value = replace(value, si=value.si + shift)
    if parameter.also and value.unit in unit_names(parameter.also):
        return value  # its bounds wait until the references are known
    if value.basis == "QNH":
        value = _station(value, given, path, report)
    if not check_bounds(parameter, value.si or 0.0, raw, path, report):
        return None
    return value if band_in_bounds(value, raw, path, report) else None


def _station(value: Value, given: Mapping[str, Any], path: KeyPath, report: Report) -> Value:
    """QNH brought to the place; without an altitude it cannot be."""
    altitude_path = (*path[:-1], "altitude")
    if "altitude" not in given:
        if altitude_path not in report.broken:
            message = "is missing because the pressure is given as QNH, which is brought down to sea level."
            remedy = 'Write the altitude of the place, for example altitude = "350 m".'
            report.fault(altitude_path, None, message, remedy=remedy)
        return value
    quiet = Report(report.file, report.lines)
    from boostwright.build.schema.ambient import SECTION

    parameter = SECTION.find("altitude")
    altitude = read_value(parameter, given["altitude"], altitude_path, given, quiet)
    if altitude is None or altitude.si is None:
        return value
    try:
        station = station_pressure_from_qnh(value.si or 0.0, altitude.si)
        band = value.band.scaled(station / value.si) if value.band and value.si else value.band
        return replace(value, si=station, band=band)
    except UnitError as error:
        report.fault(altitude_path, given["altitude"], str(error))
        return value


def _curve_in_bounds(value: Value, raw: Any, path: KeyPath, report: Report) -> bool:
    """Every value of a curve within its bounds; the first one outside is named."""
    curve = value.curve
    if curve is None:
        return True
    warned = len(report.warnings)
    for speed, number in zip(curve.speed_points, curve.value_points, strict=True):
        kind = value.parameter.kind
        at = format_quantity(speed, "rotational_speed", "rpm")
        where = f"at {at} is {format_quantity(number, kind)}, which "
        if not check_bounds(value.parameter, number, raw, path, report, where):
            return False
        if len(report.warnings) > warned:
            return True
    return True


def _refuse_missing_section(schema: SectionSchema, report: Report) -> bool:
    """One fault for a section that is not there but has keys that must be; True when there was one."""
    needed = [
        parameter.name
        for parameter in schema.parameters
        if parameter.required or (parameter.required_when and _holds(schema, parameter.required_when, {}))
    ]
    if not needed or not schema.name:
        return False
    keys = ", ".join(needed)
    report.fault((schema.name,), None, f"the section [{schema.name}] is missing. {schema.words}",
                 remedy=f"Write [{schema.name}] with at least {keys}.")  # fmt: skip
    return True


def _refuse_unknown_keys(
    schema: SectionSchema, given: Mapping[str, Any], head: KeyPath, report: Report
) -> None:
    """Keys the section does not know, with the nearest one or the section it belongs to."""
    if not schema.name:
        return
    for name, value in given.items():
        if name in schema.keys:
            continue
        near = nearest(name, schema.keys)
        homes = [section.name for section in SECTIONS if name in section.keys]
        remedy = f"Did you mean {near}?" if near else ""
        if homes:
            remedy = f"It belongs below {' or '.join(f'[{home}]' for home in homes)}."
        shown = None if isinstance(value, dict) and value == {} else value
        report.fault((*head, name), shown, f"is no key of [{schema.name}].", ", ".join(schema.keys), remedy)


def _is_empty(raw: object) -> bool:
    """An empty text is a key that waits to be filled in: as good as not there."""
    return isinstance(raw, str) and not raw.strip()


def _holds(schema: SectionSchema, when: When, given: Mapping[str, Any]) -> bool:
    """Whether a condition holds, the default standing in for a key that is not written."""
    raw = given.get(when.key)
    if raw is None or _is_empty(raw):
        try:
            raw = schema.find(when.key).default
        except KeyError:
            raw = None
    return raw in when.values if when.values else raw is not None


def _listed(names: list[str], kind: str) -> str:
    """What there is."""
    sections = ", ".join(f"[{name}]" for name in names)
    return sections if kind == "section" else f"{', '.join(TOP_LEVEL.keys)} and the sections {sections}"
