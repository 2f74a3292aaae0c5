"""One field of the form: a key's declaration, what stands there, its status, and its faults."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from boostwright.build.bands import Band, bounds_of, default_band
from boostwright.build.build import Value
from boostwright.build.parameter import Parameter, SectionSchema, When
from boostwright.build.reader import ReadSoFar
from boostwright.build.toml_spots import setting_text
from boostwright.build.toml_text import KeyPath
from boostwright.build.values import bound
from boostwright.errors import Fault, UnitError
from boostwright.units import KINDS, qnh_from_station_pressure, unit_names

__all__ = ["Bounds", "Field", "FieldBand", "FieldCurve", "FieldMaker"]

_BANDLESS = ("text", "choice", "integer", "speeds")


@dataclass(frozen=True)
class FieldBand:
    """How far a value may be off.

    written  as written, or as the schema has it for a default
    origin   ``written`` or ``default``
    below, above  SI widths towards less and more; one for a single value, one a point for a curve
    shape    normal (holds 95 %), uniform or triangular (ends there)
    """

    written: str
    origin: str
    below: tuple[float, ...]
    above: tuple[float, ...]
    shape: str


@dataclass(frozen=True)
class FieldCurve:
    """A value over an axis, as a table.

    axis         ``speed``, ``pressure`` or ``voltage``; ``axis_unit`` and ``axis_basis`` as written
    speeds, values  the numbers as written, in their units; ``unit`` is that of the values
    axis_si, values_si  the same in SI on the stored basis; empty while they have faults
    """

    axis: str
    axis_unit: str
    axis_basis: str
    unit: str
    basis: str
    band: str
    speeds: tuple[Any, ...]
    values: tuple[Any, ...]
    axis_si: tuple[float, ...]
    values_si: tuple[float, ...]


@dataclass(frozen=True)
class Bounds:
    """Where a number may lie, SI on the stored basis; None for open. ``ask`` bounds are only asked about."""

    low: float | None
    high: float | None
    low_ask: float | None
    high_ask: float | None


@dataclass(frozen=True)
class Field:
    """One key of the form.

    path          section and key, or the key alone for the head of the file
    parameter     its declaration
    text          what stands there, as a setting would give it; None where nothing does
    shown         what counts, in words: what stands there, or what a card or a default puts there
    value         as read; None where there is none, or while it has faults
    unit, basis   that it is written in
    basis_key     sibling in which the basis may be written
    status        ``written``, ``changed`` (here, not yet in the file), ``card``, ``default``, ``computed``, ``none``
    status_words  the same for people
    used          False where it matters nothing now, since another key says so
    needed        True where it must be given now
    along         key -> text that has to be changed along with it to mean what a person means: another altitude is the
                  same weather there, not the same barometer
    """

    path: KeyPath
    parameter: Parameter
    text: str | None
    shown: str
    value: Value | None
    unit: str
    basis: str
    basis_key: str
    status: str
    status_words: str
    used: bool
    needed: bool
    band: FieldBand | None
    curve: FieldCurve | None
    bounds: Bounds
    units: tuple[str, ...]
    faults: tuple[Fault, ...]
    warnings: tuple[Fault, ...]
    along: Mapping[str, str]

    @property
    def key(self) -> str:
        """The dotted key."""
        return ".".join(self.path)


@dataclass(frozen=True)
class FieldMaker:
    """Makes the fields of one build.

    texts       path -> the value's text in the file
    changed     paths that changes are laid over
    provenance  where most of the file's values are from
    """

    read: ReadSoFar
    texts: Mapping[KeyPath, str]
    changed: frozenset[KeyPath]
    faults: tuple[Fault, ...]
    warnings: tuple[Fault, ...]
    provenance: str

    def field(self, schema: SectionSchema, parameter: Parameter) -> Field:
        """The field of one key."""
        path = (schema.name, parameter.name) if schema.name else (parameter.name,)
        given = self.read.data.get(schema.name) if schema.name else self.read.data
        given = given if isinstance(given, Mapping) else {}
        raw = given.get(parameter.name)
        value = self.read.sections.get(schema.name, {}).get(parameter.name)
        text = self._text(path, raw)
        status, words = self._status(path, text, value)
        holds = [when for when in (parameter.used_when, parameter.required_when) if when is not None]
        other = given.get(parameter.unless)
        replaced = other is not None and other != ""
        needed = parameter.required or (
            parameter.required_when is not None and _holds(schema, parameter.required_when, given)
        )
        return Field(
            path=path,
            parameter=parameter,
            text=text,
            shown=_shown(parameter, text, value),
            value=value,
            unit=(value.unit if value and value.unit else "") or "",
            basis=(value.basis if value and value.basis else "") or _beside(parameter, given),
            basis_key=parameter.basis_key,
            status=status,
            status_words=words,
            used=not replaced and (not holds or any(_holds(schema, when, given) for when in holds)),
            needed=needed and not (parameter.unless and replaced),
            band=_band(parameter, value),
            curve=_curve(parameter, raw, value),
            bounds=_bounds(parameter),
            units=_units(parameter),
            faults=_of_key(self.faults, path, parameter),
            warnings=_of_key(self.warnings, path, parameter),
            along=self._along(path),
        )

    def _along(self, path: KeyPath) -> dict[str, str]:
        """The weather report's pressure, where the altitude is changed and the build has a barometer's."""
        if path != ("ambient", "altitude"):
            return {}
        air = self.read.sections.get("ambient", {})
        pressure, altitude = air.get("pressure"), air.get("altitude")
        if pressure is None or pressure.basis != "station" or pressure.si is None:
            return {}
        try:
            report = qnh_from_station_pressure(pressure.si, altitude.si if altitude and altitude.si else 0.0)
        except UnitError:
            return {}
        return {"ambient.pressure": f"{report / 100.0:.2f} hPa QNH"}

    def _text(self, path: KeyPath, raw: Any) -> str | None:
        """What stands there; the file's own letters where nothing is laid over them."""
        mine = any(path == one[: len(path)] for one in self.changed)
        if raw is None:
            return self.texts.get(path) if path in self.read.source.broken and not mine else None
        if isinstance(raw, str) and not raw.strip():
            return None
        if not mine and not isinstance(raw, str) and path in self.texts:
            return self.texts[path]
        return setting_text(raw)

    def _status(self, path: KeyPath, text: str | None, value: Value | None) -> tuple[str, str]:
        if any(path == one[: len(path)] for one in self.changed):
            return (
                "changed",
                "changed here, not yet in the file" if text else "taken out here, not yet in the file",
            )
        if text is not None:
            return (
                "written",
                f"written in the file ({self.provenance})" if self.provenance else "written in the file",
            )
        if value is None:
            return "none", "not given"
        if value.origin == "card":
            return "card", "from the part's card"
        return (
            "default",
            f"assumed: {value.parameter.default_status}" if value.parameter.default_status else "assumed",
        )


def _shown(parameter: Parameter, text: str | None, value: Value | None) -> str:
    if text is not None:
        return text
    if value is not None:
        return value.written
    return str(parameter.default) if parameter.default_status == "computed" else ""


def _beside(parameter: Parameter, given: Mapping[str, Any]) -> str:
    """The basis that stands in the sibling key."""
    found = given.get(parameter.basis_key) if parameter.basis_key else None
    return found if isinstance(found, str) else ""


def _holds(schema: SectionSchema, when: When, given: Mapping[str, Any]) -> bool:
    """Whether a condition holds, a default standing in for a key that is not written."""
    raw = given.get(when.key)
    if raw is None or raw == "":
        raw = next((p.default for p in schema.parameters if p.name == when.key), None)
    return raw in when.values if when.values else raw is not None


def _band(parameter: Parameter, value: Value | None) -> FieldBand | None:
    """The band written at the value, or the one of a default that stands in."""
    if value is None or parameter.kind in _BANDLESS:
        return None
    band: Band | None = value.band
    origin = "written"
    if band is None and value.origin == "default" and parameter.default_band:
        band, origin = default_band(value), "default"
    if band is None:
        return None
    return FieldBand(band.written, origin, band.below, band.above, band.shape)


def _curve(parameter: Parameter, raw: Any, value: Value | None) -> FieldCurve | None:
    """A table, as far as it can be read; None for what is no table."""
    axis = "speed" if parameter.curve else parameter.axis
    if not axis or not isinstance(raw, Mapping):
        return None

    def word(key: str) -> str:
        return str(raw[key]) if isinstance(raw.get(key), str) else ""

    def numbers(key: str) -> tuple[Any, ...]:
        found = raw.get(key)
        return tuple(found) if isinstance(found, list) else ()

    points: tuple[tuple[float, ...], tuple[float, ...]] = ((), ())
    if value is not None and value.curve is not None:
        points = value.curve.speed_points, value.curve.value_points
    elif value is not None and value.points is not None:
        points = value.points.axis_points, value.points.value_points
    return FieldCurve(
        axis=axis,
        axis_unit=word("unit"),
        axis_basis=word("basis"),
        unit=word("value_unit"),
        basis=word("value_basis"),
        band=word("band"),
        speeds=numbers(axis),
        values=numbers("value"),
        axis_si=points[0],
        values_si=points[1],
    )


@cache
def _bounds_of(name: str, kind: str, ends: tuple[Any, ...], stored_basis: str) -> Bounds:
    plain = Parameter(
        name,
        kind,
        "",
        low=ends[0],
        high=ends[1],
        low_ask=ends[2],
        high_ask=ends[3],
        stored_basis=stored_basis,
    )
    low, high = bounds_of(plain)
    ask = [None if end is None else bound(end, plain) for end in ends[2:]]
    return Bounds(_finite(low), _finite(high), *ask)


def _bounds(parameter: Parameter) -> Bounds:
    """Where a number may lie; open for what is no number."""
    ends = (parameter.low, parameter.high, parameter.low_ask, parameter.high_ask)
    if parameter.kind not in KINDS and parameter.kind != "integer":
        return Bounds(None, None, None, None)
    return _bounds_of(parameter.name, parameter.kind, ends, parameter.stored_basis)


def _finite(number: float) -> float | None:
    return number if abs(number) < float("inf") else None


@cache
def _unit_names(kind: str, also: str) -> tuple[str, ...]:
    names = [name for one in (kind, also) if one in KINDS for name in unit_names(one)]
    return tuple(name for name in dict.fromkeys(names) if name)


def _units(parameter: Parameter) -> tuple[str, ...]:
    """Units it may be written in."""
    return _unit_names(parameter.kind, parameter.also)


def _of_key(faults: tuple[Fault, ...], path: KeyPath, parameter: Parameter) -> tuple[Fault, ...]:
    """The faults that belong beside a field: of its key, of what lies inside it, of its basis key."""
    key = ".".join(path)
    keys = {key, ".".join((*path[:-1], parameter.basis_key)) if parameter.basis_key else key}
    return tuple(fault for fault in faults if fault.key in keys or fault.key.startswith(f"{key}."))
