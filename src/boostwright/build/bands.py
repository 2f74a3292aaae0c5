"""Bands: ``"0.70 +- 0.05"``, ``"44 mm +- 0.5 mm"``, ``"0.70 +- 5 % uniform"``, and those of the schema's defaults."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from boostwright.build.faults import Report, nearest
from boostwright.build.toml_text import KeyPath
from boostwright.errors import UnitError
from boostwright.units import parse_quantity, unit_names

if TYPE_CHECKING:
    from boostwright.build.build import Value
    from boostwright.build.parameter import Parameter

__all__ = [
    "BAND_SHAPES",
    "Band",
    "band_in_bounds",
    "bounds_of",
    "default_band",
    "read_band",
    "split_band",
    "values_of",
]

BAND_SHAPES = ("normal", "uniform", "triangular")
"""Words that may stand behind a band; without one it is normal, and holds 95 % (k = 2)."""

_SIGN = re.compile(r"\+\s*/\s*-|\+\s*-(?=\s)|\+-|±")
_SHARE = re.compile(r"(?P<number>[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*%")
_WITH_ZERO_FLOOR = ("length", "area", "volume", "mass", "mass_flow", "volume_flow", "density", "stiffness", "power",
                    "torque", "temperature", "time", "rotational_speed")  # fmt: skip
# Keys that a band has no meaning for: what it would have to say is said elsewhere.
_REFUSED = {
    ("engine", "speed_limit"): (
        "is a decision, and the prediction is laid out by it.",
        "Write the number alone.",
    ),
    ("rods", "safety_factor"): (
        "is a decision.",
        "Write the number alone.",
    ),
    ("ambient", "altitude"): (
        "only brings the barometer down or up.",
        "Write the band at ambient.pressure.",
    ),
}


@dataclass(frozen=True)
class Band:
    """How far a value may be off, in SI.

    below, above  widths towards less and more, not negative: one for a single value, one a point for a curve
    shape         one of BAND_SHAPES; a normal band has both widths alike and holds 95 %, the others end at it
    written       the band as written
    """

    below: tuple[float, ...]
    above: tuple[float, ...]
    shape: str
    written: str

    def scaled(self, factor: float) -> Band:
        """The band of a value that is ``factor`` times this one's."""
        below, above = (tuple(w * factor for w in widths) for widths in (self.below, self.above))
        return replace(self, below=below, above=above)


def split_band(raw: Any) -> tuple[Any, str]:
    """What stands before the sign of a band, and what stands behind it; "" where there is none."""
    if not isinstance(raw, str):
        return raw, ""
    found = _SIGN.search(raw)
    if found is None or not raw[: found.start()].strip():
        return raw, ""
    return raw[: found.start()].strip(), raw[found.end() :].strip() or " "


def read_band(
    parameter: Parameter,
    text: Any,
    values: Sequence[float],
    unit: str | None,
    path: KeyPath,
    report: Report,
    value_text: str = "",
) -> Band | None:
    """The band of a value or a curve, or None when it has faults.

    text        what stands behind the sign, or in ``band`` of a curve
    values      the number or numbers it belongs to, SI, as written (gauge pressures still gauge)
    unit        the unit they are written in
    value_text  the value as written, to see shares of shares
    """
    reader = _BandReader(
        parameter, unit, path, report, f"{value_text} +- {text}".strip() if value_text else text
    )
    return reader.read(text, values, value_text)


@dataclass(frozen=True)
class _BandReader:
    """Reads the band of one key."""

    parameter: Parameter
    unit: str | None
    path: KeyPath
    report: Report
    shown: Any

    def read(self, text: Any, values: Sequence[float], value_text: str) -> Band | None:
        """The band of numbers (SI), None when it has faults."""
        if not isinstance(text, str):
            return self._refused("is no band.", f'Write for example band = "{self._example()}".')
        if reason := self._without():
            return self._refused(*reason)
        width, shape = self._shape(text.strip())
        if shape is None:
            return None
        if not width:
            return self._refused("has no width of the band.", f'Write for example "+- {self._example()}".')
        share = _SHARE.fullmatch(width)
        if share is not None:
            return self._share(float(share["number"]) / 100.0, text.strip(), values, shape, value_text)
        return self._absolute(width, text.strip(), values, shape)

    def _without(self) -> tuple[str, str] | None:
        if self.parameter.kind == "integer":
            return "is a band on a count.", "Write the number alone."
        for place, (message, remedy) in _REFUSED.items():
            if self.path == place:
                return f"has a band, and this key {message}", remedy
        if self.path[0] == "limits" or self.path[-1].endswith("_margin"):
            remedy = "Write the number alone; what is doubtful about a limit is its margin."
            return "has a band, and this key is a decision.", remedy
        return None

    def _shape(self, text: str) -> tuple[str, str | None]:
        head, _, last = text.rpartition(" ")
        if last in BAND_SHAPES:
            return head.strip(), last
        if last.isalpha() and head and last not in self._units():
            near = nearest(last, BAND_SHAPES)
            if near:
                self._refused(f'has the word "{last}".', f'Did you mean "{near}"?')
                return "", None
        return text, "normal"

    def _share(
        self, share: float, text: str, values: Sequence[float], shape: str, value_text: str
    ) -> Band | None:
        if self.parameter.kind == "temperature":
            return self._refused(
                "is a share of a temperature, which hangs on where degrees are counted from.",
                'Write the band in degrees: "+- 5 K".')  # fmt: skip
        if "%" in value_text:
            number = 100.0 * share
            return self._refused(
                "is a share of a share: it could be points or a share of the value.",
                f'Write "{values[0]:.4g} +- {share:.4g}" for points, or "{values[0]:.4g} +- {number:.4g} %" for a '
                "share of the value.")  # fmt: skip
        if share <= 0.0:
            return self._not_above()
        widths = tuple(abs(value) * share for value in values)
        if not any(widths):
            return self._refused(
                "is a share of zero, which is no band.",
                f'Write its width with a unit: "+- {self._example()}".',
            )
        return Band(widths, widths, shape, text)

    def _absolute(self, width: str, text: str, values: Sequence[float], shape: str) -> Band | None:
        try:
            quantity = parse_quantity(width, self._kind(), key=".".join(self.path))
        except UnitError as error:
            fault = getattr(error, "fault", None)
            message = fault.message if fault else str(error)
            return self._refused(f"has a band that {message}", f'Write for example "+- {self._example()}".')
        if quantity.basis:
            return self._refused(
                f"is a width, which is not {quantity.basis}.",
                f'Write the word at the value: "1.8 bar {quantity.basis} +- 0.05 bar".')  # fmt: skip
        if quantity.value_si <= 0.0:
            return self._not_above()
        widths = (quantity.value_si,) * len(values)
        return Band(widths, widths, shape, text)

    def _kind(self) -> str:
        if self.parameter.kind == "temperature":
            return "temperature_difference"
        if self.parameter.also and self.unit in unit_names(self.parameter.also):
            return self.parameter.also
        return self.parameter.kind

    def _units(self) -> tuple[str, ...]:
        return unit_names(self._kind())

    def _example(self) -> str:
        if self.parameter.kind == "dimensionless":
            return "0.05"
        if self.parameter.kind == "temperature":
            return "5 K"
        return f"2 {self.unit}" if self.unit else "5 %"

    def _not_above(self) -> Band | None:
        return self._refused(
            "is not above zero.",
            "Leave the band out where the value is known exactly, or give its width.",
        )

    def _refused(self, message: str, remedy: str) -> Band | None:
        allowed = (
            "+- a width with its unit, or a share of the value in %, and where wanted uniform or triangular"
        )
        self.report.fault(self.path, self.shown, message, allowed, remedy)
        return None


def band_in_bounds(value: Value, raw: Any, path: KeyPath, report: Report) -> bool:
    """True when the whole band lies where the value may lie; else a fault with the widest band that would.

    The value must be on its stored basis.
    """
    from boostwright.units import format_quantity

    band, parameter = value.band, value.parameter
    if band is None:
        return True
    low, high = bounds_of(parameter)
    numbers = values_of(value)
    for number, below, above in zip(numbers, band.below, band.above, strict=True):
        least, most = number - below, number + above
        slack = 1e-9 * max(abs(number), below, above)
        if least >= low - slack and most <= high + slack:
            continue
        kind = parameter.kind
        shown = [format_quantity(end, kind) for end in (least, most)]
        end = format_quantity(low if least < low - slack else high, kind)
        what = "less" if least < low - slack else "more"
        room = min(number - low, high - number)
        width_kind = "temperature_difference" if kind == "temperature" else kind
        remedy = (
            f'At most "+- {format_quantity(0.999 * room, width_kind, digits=3)}" fits about this value.'
            if room > 0.0
            else "The value stands at the end of its range: no band fits about it."
        )
        message = f"has a band from {shown[0]} to {shown[1]}, and it cannot be {what} than {end}."
        report.fault(path, raw, message, f"a band that ends before {end}", remedy)
        return False
    return True


def values_of(value: Value) -> tuple[float, ...]:
    """The number, or the numbers of a curve, in SI on the stored basis."""
    if value.curve is not None:
        return value.curve.value_points
    if value.points is not None:
        return value.points.value_points
    return () if value.si is None else (value.si,)


def bounds_of(parameter: Parameter) -> tuple[float, float]:
    """Where a value may lie; a key without a lower bound still has the one of its kind."""
    from boostwright.build.values import bound

    low, high = bound(parameter.low, parameter), bound(parameter.high, parameter)
    if math.isnan(low):
        absolute = parameter.kind == "pressure" and parameter.stored_basis == "absolute"
        low = 0.0 if absolute or parameter.kind in _WITH_ZERO_FLOOR else -math.inf
    return low, math.inf if math.isnan(high) else high


def default_band(value: Value) -> Band | None:
    """The band that the schema gives a default nobody has confirmed; None where its default is no doubt.

    A declaration that cannot be read, or leaves the bounds, raises ValueError: a fault of ours.
    """
    parameter = value.parameter
    text = parameter.default_band
    numbers = values_of(value)
    if not text or not numbers:
        return None
    report = Report("schema", {})
    path = ("default", parameter.name)
    if " to " in text:
        words = text.split(" to ", 1)
        last, _, shape = words[1].rpartition(" ")
        if shape not in BAND_SHAPES:
            last, shape = words[1], "uniform"
        low, high = (parse_quantity(word, parameter.kind).value_si for word in (words[0], last))
        band: Band | None = Band((numbers[0] - low,), (high - numbers[0],), shape, text)
    else:
        band = read_band(parameter, text, numbers, value.unit, path, report)
    if band is None or not band_in_bounds(replace(value, band=band), text, path, report):
        raise ValueError(f"{parameter.name}: {report.faults[0] if report.faults else text}")
    return band
