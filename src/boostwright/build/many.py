"""A list with a value for each cylinder or gear, each written as the key's kind is written alone."""

from __future__ import annotations

from typing import Any

from boostwright.build.build import Value
from boostwright.build.faults import Report
from boostwright.build.parameter import NUMBER_KINDS, Parameter
from boostwright.build.toml_text import KeyPath, as_written
from boostwright.build.values import check_bounds, read_number

__all__ = ["read_many"]


def read_many(parameter: Parameter, raw: Any, path: KeyPath, report: Report) -> Value | None:
    """``[1.02, 0.99, 0.99]`` or ``["0 deg", "1 deg", "0 deg"]``, or None when it has faults.

    Each value is held against the bounds of the key; how many there must be is checked where the cylinders are known.
    """
    allowed = f"a list in square brackets, a value for each {parameter.each}"
    remedy = f"Write for example {parameter.name} = {parameter.example}."
    if not isinstance(raw, list) or not raw:
        report.fault(
            path, raw, "is no list of values." if raw != [] else "is an empty list.", allowed, remedy
        )
        return None
    before, first_warning = len(report.faults), len(report.warnings)
    numbers = []
    for index, item in enumerate(raw, start=1):
        if parameter.kind not in NUMBER_KINDS and not isinstance(item, str):
            report.fault(path, raw, f"has no unit at {parameter.each} {index}.", allowed, remedy)
            return None
        quantity = read_number(parameter, item, path, report)
        if quantity is None:
            return None
        if quantity.basis:
            message = f"is {quantity.basis} at {parameter.each} {index}, which has no meaning here."
            report.fault(path, raw, message, allowed, remedy)
            return None
        where = f"at {parameter.each} {index} is {as_written(item)}, which "
        warned = len(report.warnings)
        if not check_bounds(parameter, quantity.value_si, raw, path, report, where):
            return None
        del report.warnings[max(warned, first_warning + 1) :]  # one of them is enough to look at the list
        numbers.append(quantity.value_si)
    if len(report.faults) > before:
        return None
    return Value(parameter, as_written(raw), "file", numbers=tuple(numbers), line=report.line(path))
