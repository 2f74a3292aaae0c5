"""Low and high end of a key for the tornado: its band in the build, that of its default, or a stated step."""

from __future__ import annotations

from boostwright.build import Build
from boostwright.build.bands import default_band
from boostwright.build.build import Value
from boostwright.build.parameter import Parameter
from boostwright.errors import UnitError
from boostwright.units import format_quantity, parse_quantity

__all__ = ["ends_of_band"]

Ends = tuple[str, str, str]


def ends_of_band(build: Build, key: str, parameter: Parameter, width: str) -> Ends | str:
    """Low end, high end and where they come from, as a setting would write them; or why there are none.

    width  what stands behind a "+-", empty where the build's own band is meant
    """
    section, _, name = key.partition(".")
    if not build[section].has(name):
        return "has no value in this build to step from."
    value = build[section].values[name]
    if parameter.kind in ("text", "choice", "integer", "speeds"):
        return "is no quantity with a band."
    if value.si is None:
        return "is a curve, a list or text; a step would have to say of which of its values."
    if width:
        return _stepped(parameter, value, width)
    return _banded(parameter, value)


def _banded(parameter: Parameter, value: Value) -> Ends | str:
    if value.band is not None and value.origin != "default":
        low, high = (value.si or 0.0) - value.band.below[0], (value.si or 0.0) + value.band.above[0]
        return _written(parameter, value, low, high, f"its band, +- {value.band.written}")
    band = default_band(value) if value.origin == "default" else None
    if band is not None:
        low, high = (value.si or 0.0) - band.below[0], (value.si or 0.0) + band.above[0]
        return _written(parameter, value, low, high, f"band of its default, {band.written}, own estimate")
    return "has no band in this build."


def _stepped(parameter: Parameter, value: Value, width: str) -> Ends | str:
    middle = value.si or 0.0
    if width.endswith("%"):
        try:
            share = float(width[:-1]) / 100.0
        except ValueError:
            return f'has the step "{width}", which is no number.'
        if parameter.kind == "temperature":
            return "is a temperature: a share of it hangs on where degrees are counted from; write the step in K."
        if parameter.kind == "pressure" and parameter.stored_basis == "absolute":
            return (
                "is an absolute pressure: a share of it could be one of the gauge pressure; write a pressure."
            )
        step = abs(middle) * share
    else:
        kind = "temperature_difference" if parameter.kind == "temperature" else parameter.kind
        try:
            step = parse_quantity(width, kind).value_si
        except UnitError as error:
            return f'has the step "{width}": {error}'
    if not step > 0.0:
        return f'has the step "{width}", which is not above zero.'
    return _written(parameter, value, middle - step, middle + step, f"stated step, +- {width}")


def _written(parameter: Parameter, value: Value, low: float, high: float, source: str) -> Ends:
    """Both ends as a setting writes them, in the unit the value was written in."""
    basis = parameter.stored_basis if len(parameter.basis) >= 1 else ""

    def text(number: float) -> str:
        if parameter.kind == "dimensionless":
            return f"{number:.10g}"
        return " ".join(
            part for part in (format_quantity(number, parameter.kind, _unit(value), digits=10), basis) if part
        )

    return text(low), text(high), source


def _unit(value: Value) -> str | None:
    """The unit it was written in, where it is one of its own kind."""
    from boostwright.units import unit_names

    return value.unit if value.unit in unit_names(value.parameter.kind) else None
