"""One raw TOML value -> one checked value in SI, by the declaration of its key."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from boostwright.build.bands import read_band, split_band
from boostwright.build.build import Curve, Value
from boostwright.build.faults import Report, nearest
from boostwright.build.parameter import NUMBER_KINDS, Parameter
from boostwright.build.toml_text import KeyPath, as_written
from boostwright.errors import UnitError
from boostwright.units import (
    PREFERRED,
    Quantity,
    QuantityError,
    parse_quantity,
    quantity_from_number,
    unit_names,
)

__all__ = ["bound", "check_bounds", "read_basis", "read_number", "read_value"]

_TYPE_WORDS = {bool: "true or false", int: "a whole number", float: "a number", str: "text", list: "a list",
               dict: "a table"}  # fmt: skip


def read_value(
    parameter: Parameter, raw: Any, path: KeyPath, section: Mapping[str, Any], report: Report
) -> Value | None:
    """The value of one key, or None when it has faults, which are then in the report.

    parameter  declaration of the key
    raw        what TOML gave
    path       (section, key)
    section    the raw section, in which a sibling may name the basis
    Bounds are checked later, once gauge pressures can be turned into absolute ones.
    """
    from boostwright.build.curves import read_curve, read_speeds
    from boostwright.build.many import read_many
    from boostwright.build.own_limits import read_own_limits
    from boostwright.build.point_curves import read_point_curve
    from boostwright.build.records import RECORD_KINDS, read_records

    if parameter.kind == "text":
        return _read_text(parameter, raw, path, report)
    if parameter.kind == "choice":
        return _read_choice(parameter, raw, path, report)
    if parameter.kind == "speeds":
        return read_speeds(parameter, raw, path, report)
    if parameter.kind == "own-limits":
        return read_own_limits(parameter, raw, path, report)
    if parameter.kind in RECORD_KINDS:
        return read_records(parameter, raw, path, report)
    if parameter.many:
        return read_many(parameter, raw, path, report)
    if parameter.curve and isinstance(raw, dict):
        return read_curve(parameter, raw, path, report)
    if parameter.axis and isinstance(raw, dict):
        return read_point_curve(parameter, raw, path, report)
    if parameter.axis_only:
        message = f"says nothing of the {parameter.axis}."
        report.fault(path, raw, message, f"values over {parameter.axis}", _for_example(parameter))
        return None
    text, behind = (raw, "") if parameter.kind == "integer" else split_band(raw)
    quantity = read_number(parameter, text, path, report)
    if quantity is None:
        return None
    basis = read_basis(parameter, quantity.basis, text, path, section, report)
    if basis is None:
        return None
    band = None
    if behind:
        band = read_band(parameter, behind, (quantity.value_si,), quantity.unit, path, report, text)
        if band is None:
            return None
    curve = Curve((0.0,), (quantity.value_si,), basis or None) if parameter.curve else None
    return Value(
        parameter,
        as_written(raw).strip('"'),
        "file",
        quantity.value_si,
        curve=curve,
        unit=quantity.unit,
        basis=basis or None,
        line=report.line(path),
        band=band,
    )


def read_number(parameter: Parameter, raw: Any, path: KeyPath, report: Report) -> Quantity | None:
    """A number with its unit, still on the basis it was written on."""
    plain = parameter.kind in NUMBER_KINDS
    if isinstance(raw, bool) or not isinstance(raw, int | float | str):
        report.fault(path, raw, f"is {_type_words(raw)}.", _allowed(parameter), _for_example(parameter))
        return None
    if isinstance(raw, str) and parameter.kind == "integer":
        what = "is a count, which takes no band." if split_band(raw)[1] else "is text."
        report.fault(path, raw, what, _allowed(parameter), _for_example(parameter))
        return None
    if isinstance(raw, str):
        return _parsed(parameter, raw, path, report)
    if not math.isfinite(raw):
        report.fault(path, raw, "is not a finite number.", _allowed(parameter), _for_example(parameter))
        return None
    if not plain:
        unit = PREFERRED[parameter.kind]
        remedy = f'Write {path[-1]} = "{raw} {unit}" if {unit} is what you mean.'
        report.fault(path, raw, "has no unit.", _allowed(parameter), remedy)
        return None
    if parameter.kind == "integer" and raw != int(raw):
        report.fault(path, raw, "is no whole number.", _allowed(parameter))
        return None
    return quantity_from_number(float(raw), "dimensionless", "")


def read_basis(
    parameter: Parameter,
    written: str | None,
    raw: Any,
    path: KeyPath,
    section: Mapping[str, Any],
    report: Report,
) -> str | None:
    """The basis of a value: a word, "" where there is none to give, None when it has faults."""
    key = path[-1]
    if not parameter.basis:
        if written is None:
            return ""
        kind = "a difference of pressures" if parameter.kind == "pressure" else "a plain quantity"
        report.fault(path, raw, f"is {kind}, which is not {written}.", "a number and a unit alone")
        return None
    beside: Any = section.get(parameter.basis_key) if parameter.basis_key else None
    beside_path = (*path[:-1], parameter.basis_key)
    options = " or ".join(parameter.basis)
    if beside is not None:
        if beside == "" and written is None:
            report.fault(beside_path, beside, "is still empty.", options)
            return None
        known = (*parameter.basis, *parameter.refused_basis)
        if not isinstance(beside, str) or (beside and beside not in known):
            near = nearest(str(beside), known)
            remedy = f'Did you mean "{near}"?' if near else ""
            report.fault(beside_path, beside, "is not one of the allowed words.", options, remedy)
            return None
        if written is not None and beside and written != beside:
            report.fault(path, raw, f"says {written}, but {parameter.basis_key} says {beside}.", options)
            return None
    basis = written or beside
    if basis is None:
        report.fault(path, raw, f"does not say whether it is {options}." if len(parameter.basis) > 1
                     else f"does not say that it is {options}.", options,
                     _name_the_basis(parameter, raw, key))  # fmt: skip
        return None
    if basis in parameter.refused_basis:
        remedy = parameter.refused_basis[basis]
        report.fault(path, raw, f"is given as {basis}.", options, remedy[0].upper() + remedy[1:])
        return None
    if basis not in parameter.basis:
        report.fault(path, raw, f"is given as {basis}, which has no meaning here.", options)
        return None
    return str(basis)


def check_bounds(
    parameter: Parameter, si: float, raw: Any, path: KeyPath, report: Report, where: str = ""
) -> bool:
    """Refuse a number out of range, ask about an unlikely one; False when it was refused.

    si     the number on the parameter's stored basis
    where  words that say which of several numbers it is, such as "the value at 2 000 rpm "
    """
    low, high = bound(parameter.low, parameter), bound(parameter.high, parameter)
    slack = 1e-9
    if si < low - slack * abs(low) or si > high + slack * abs(high):
        report.fault(path, raw, f"{where}is out of range.", _range_words(parameter.low, parameter.high),
                     _did_you_mean(parameter, si, low, high))  # fmt: skip
        return False
    low_ask, high_ask = bound(parameter.low_ask, parameter), bound(parameter.high_ask, parameter)
    if (parameter.low_ask is not None and si < low_ask) or (parameter.high_ask is not None and si > high_ask):
        usual = _range_words(parameter.low_ask, parameter.high_ask)
        remedy = parameter.ask_remedy or "Check the number and its unit; if it is meant, leave it."
        report.warn(path, raw, f"{where}is unusual.", f"usual is {usual}", remedy)
    return True


def bound(limit: str | float | None, parameter: Parameter) -> float:
    """A declared bound in SI; an open one is NaN, which refuses nothing."""
    if limit is None:
        return math.nan
    if isinstance(limit, str):
        return parse_quantity(limit, parameter.kind).value_si
    return float(limit)


def _did_you_mean(parameter: Parameter, si: float, low: float, high: float) -> str:
    """The remedy for a number out of range, with the number that was perhaps meant."""
    remedy = parameter.outside_remedy
    if parameter.scale and low <= si / parameter.scale <= high:
        return f"Did you mean {si / parameter.scale:.3g}? {remedy}".strip()
    return remedy


def _parsed(parameter: Parameter, raw: str, path: KeyPath, report: Report) -> Quantity | None:
    """Text with a unit; the second kind of the declaration is tried after the first."""
    key = ".".join(path)
    for kind in (parameter.also, parameter.kind):
        if not kind:
            continue
        try:
            return parse_quantity(raw, kind, key=key)
        except QuantityError as error:
            fault = error.fault
        except UnitError as error:  # pragma: no cover - every refusal of text is a QuantityError
            report.fault(path, raw, str(error))
            return None
    report.fault(path, raw, fault.message, fault.allowed, fault.remedy)
    return None


def _read_text(parameter: Parameter, raw: Any, path: KeyPath, report: Report) -> Value | None:
    """A name."""
    if not isinstance(raw, str):
        report.fault(path, raw, f"is {_type_words(raw)}.", "text in quotes", _for_example(parameter))
        return None
    return Value(parameter, raw, "file", text=raw, line=report.line(path))


def _read_choice(parameter: Parameter, raw: Any, path: KeyPath, report: Report) -> Value | None:
    """One of the words allowed; TOML's true and false where those are the words."""
    if isinstance(raw, bool) and set(parameter.choices) == {"true", "false"}:
        raw = str(raw).lower()
    if isinstance(raw, str) and raw in parameter.choices:
        return Value(parameter, raw, "file", text=raw, line=report.line(path))
    near = nearest(raw, parameter.choices) if isinstance(raw, str) else ""
    allowed = ", ".join(f'"{choice}"' for choice in parameter.choices)
    message = "is not one of the allowed words." if isinstance(raw, str) else f"is {_type_words(raw)}."
    report.fault(path, raw, message, allowed, f'Did you mean "{near}"?' if near else "")
    return None


def _name_the_basis(parameter: Parameter, raw: Any, key: str) -> str:
    """How to say the basis that is missing."""
    if parameter.basis_key:
        return f'Write {parameter.basis_key} = "{parameter.basis[0]}" beside it, or "{parameter.basis[1]}".'
    if parameter.curve and len(parameter.basis) > 1:
        return f'Write {key} = "{raw} {parameter.basis[0]}", or "{raw} {parameter.basis[1]}".'
    return f'Write {key} = "{raw} {parameter.basis[0]}" if that is what you mean.'


def _range_words(low: str | float | None, high: str | float | None) -> str:
    """A range in words."""
    if low is None:
        return f"up to {high}"
    if high is None:
        return f"{low} or more"
    return str(low) if low == high else f"{low} to {high}"


def _allowed(parameter: Parameter) -> str:
    """What may stand there, in words."""
    kind = parameter.kind.replace("_", " ")
    if parameter.kind == "choice":
        return ", ".join(f'"{choice}"' for choice in parameter.choices)
    if parameter.kind == "text":
        return "text in quotes"
    if parameter.kind == "integer":
        words = "a whole number"
    elif parameter.kind == "dimensionless":
        words = "a plain number"
    else:
        words = f"text with a number and a unit of {kind} ({', '.join(unit_names(parameter.kind))})"
    if parameter.low is not None or parameter.high is not None:
        words += f", {_range_words(parameter.low, parameter.high)}"
    if parameter.axis:
        words += f", or a curve over {parameter.axis}"
    return words + (", or a curve over engine speed" if parameter.curve else "")


def _for_example(parameter: Parameter) -> str:
    """An example to go by."""
    if parameter.example:
        return f"Write for example {parameter.name} = {parameter.example}."
    if parameter.default is not None and parameter.default_status != "computed":
        return f"Leave the key out for the default, {parameter.default}."
    return ""


def _type_words(raw: Any) -> str:
    """What TOML type a value has, in plain words."""
    return _TYPE_WORDS.get(type(raw), "a date or time")
