"""The form of a build as plain values, for the page in the browser: SI numbers beside what is written."""

from __future__ import annotations

from typing import Any

from boostwright.errors import Fault
from boostwright.tasks.form import Form
from boostwright.tasks.form_fields import Field

__all__ = ["fault_plain", "form_plain"]

_LONGEST = 300


def form_plain(form: Form, name: str) -> dict[str, Any]:
    """The whole form; ``name`` is the build's folder."""
    return {
        "name": name,
        "title": form.title,
        "stamp": form.stamp,
        "readable": form.readable,
        "sections": [
            {
                "name": section.name,
                "title": section.title,
                "words": section.words,
                "present": section.present,
                "parameters": [_field(field) for field in section.fields],
            }
            for section in form.sections
        ],
        "faults": [fault_plain(fault) for fault in form.faults],
        "warnings": [fault_plain(fault) for fault in form.warnings],
        "cards": dict(form.cards),
        "defaults_unconfirmed": [default.key for default in form.defaults],
    }


def fault_plain(fault: Fault) -> dict[str, Any]:
    """A fault; what the page itself laid over the file has no place in it."""
    return {
        "file": "" if fault.place.startswith("--set ") else fault.place,
        "line": fault.line,
        "key": fault.key,
        "value": _writable(fault.value),
        "message": _writable(fault.message),
        "allowed": fault.allowed,
        "remedy": _writable(fault.remedy),
        "severity": fault.severity,
    }


def _writable(text: str) -> str:
    """Text that came from outside, without what no encoding can write, and not without end."""
    return text[: 4 * _LONGEST].encode("utf-8", "replace").decode("utf-8")


def _field(field: Field) -> dict[str, Any]:
    parameter, value, bounds = field.parameter, field.value, field.bounds
    plain: dict[str, Any] = {
        "key": field.key,
        "kind": parameter.kind,
        "also": parameter.also,
        "words": parameter.words,
        "text": field.text,
        "shown": field.shown,
        "si": None if value is None else value.si,
        "unit": field.unit,
        "unit_choices": list(field.units),
        "basis": field.basis,
        "basis_choices": list(parameter.basis),
        "basis_key": field.basis_key,
        "stored_basis": parameter.stored_basis,
        "status": field.status,
        "status_words": field.status_words,
        "default": None if parameter.default is None else str(parameter.default),
        "default_status": parameter.default_status,
        "default_band": parameter.default_band,
        "measured_by": parameter.measured_by,
        "low": bounds.low,
        "high": bounds.high,
        "low_ask": bounds.low_ask,
        "high_ask": bounds.high_ask,
        "low_text": _text(parameter.low),
        "high_text": _text(parameter.high),
        "low_ask_text": _text(parameter.low_ask),
        "high_ask_text": _text(parameter.high_ask),
        "choices": list(parameter.choices),
        "example": parameter.example,
        "required": field.needed,
        "along": dict(field.along),
        "used": field.used,
        "is_curve": parameter.curve or bool(parameter.axis),
        "axis": "speed" if parameter.curve else parameter.axis,
        "many": parameter.many,
        "numbers": [] if value is None else list(value.numbers or value.speeds),
        "faults": [fault_plain(fault) for fault in field.faults],
        "warnings": [fault_plain(fault) for fault in field.warnings],
    }
    plain["band"] = None if field.band is None else field.band.written
    plain["band_origin"] = None if field.band is None else field.band.origin
    plain["band_si"] = None
    if field.band is not None:
        band = field.band
        plain["band_si"] = {"below": list(band.below), "above": list(band.above), "shape": band.shape}
    plain["curve"] = _curve(field)
    return plain


def _text(bound: str | float | None) -> str | None:
    return None if bound is None else str(bound)


def _curve(field: Field) -> dict[str, Any] | None:
    curve = field.curve
    if curve is None:
        return None
    return {
        "axis": curve.axis,
        "axis_unit": curve.axis_unit,
        "axis_basis": curve.axis_basis,
        "unit": curve.unit,
        "basis": curve.basis,
        "band": curve.band,
        "speeds": [_number(one) for one in curve.speeds],
        "values": [_number(one) for one in curve.values],
        "axis_si": list(curve.axis_si),
        "values_si": list(curve.values_si),
    }


def _number(raw: Any) -> float | int | str:
    """A number as it stands; what is none as text."""
    return raw if isinstance(raw, int | float) and not isinstance(raw, bool) else str(raw)
