"""What a what-if is to vary, as people write it: keys with values, cards, choices of parts with prices, whole cases.

turbine.choked_flow = 0.022:0.032:6 kg/s*sqrt(K)/kPa       from, to, how many
wastegate.valve_diameter & wastegate.branch_bore = 38, 44, 50 mm
wastegate.spring_rating = 0.4, 0.6 bar gauge
wastegate.takeoff_relation = gardel, idelchik
turbine.efficiency_peak = +- 5 %                            for the tornado
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from boostwright.build import Build
from boostwright.build.parameter import NUMBER_KINDS, Parameter
from boostwright.build.schema import SECTIONS
from boostwright.errors import Fault, FaultyInput

__all__ = ["Choice", "Option", "Step", "WhatIfError", "parse_card", "parse_step", "parse_vary"]

_MOST_VALUES = 10_000
_EXAMPLE = (
    '"wastegate.valve_diameter=38, 44, 50 mm" (values), "turbine.choked_flow=0.022:0.032:6 kg/s*sqrt(K)/kPa" '
    "(from, to, how many)"
)
_NUMBERS = re.compile(r"(?P<numbers>[-+0-9.eE:,;\s]*[0-9.])\s*(?P<unit>[^0-9\s,:;].*)?", re.DOTALL)
_SIGN = re.compile(r"^\s*(\+\s*/?\s*-|±)\s*(?P<width>.+)$", re.DOTALL)


class WhatIfError(FaultyInput):
    """What a what-if is asked to vary cannot be read, or means nothing."""


@dataclass(frozen=True)
class Option:
    """One way of a choice: its words, what it lays over the build, and its price, None where none is given."""

    words: str
    settings: tuple[str, ...]
    price: float | None = 0.0
    currency: str = ""


@dataclass(frozen=True)
class Choice:
    """Something that is chosen in one of several ways: name, options, and the keys that one written value sets."""

    name: str
    options: tuple[Option, ...]
    keys: tuple[str, ...] = ()


@dataclass(frozen=True)
class Step:
    """A key for the tornado: low and high as settings would write them, and where they come from."""

    keys: tuple[str, ...]
    low: str
    high: str
    source: str


def parse_vary(text: str, place: str = "--vary") -> Choice:
    """A key, or several joined by ``&`` that take the same value, and its values.

    Raises WhatIfError with what to write instead.
    """
    keys, values = _split(text, place)
    if not values:
        raise _refuse(place, text, "has no values.", _EXAMPLE)
    parameter = _declared(keys[0], place, text)
    for key in keys[1:]:
        _declared(key, place, text)
    written = _values(parameter, values, place, text)
    if len(written) < 2:
        raise _refuse(
            place, text, "is one value, and nothing varies.", "two values or more", "Use --set for one."
        )
    if len(set(written)) < len(written):
        raise _refuse(place, text, "has a value twice.", "each value once")
    short = keys[0].partition(".")[2].replace("_", " ")
    return Choice(
        " and ".join(keys),
        tuple(Option(f"{short} {value}", tuple(f"{key}={value}" for key in keys)) for value in written),
        keys,
    )


def parse_card(text: str, place: str = "--card") -> Choice:
    """``compressor=NAME, NAME``: part cards that are tried one after the other. Raises WhatIfError."""
    kind, equals, names = text.partition("=")
    kind = kind.strip()
    if kind not in ("compressor", "turbine", "wastegate", "fuel"):
        allowed = "compressor=, turbine=, wastegate= or fuel=, then names of cards"
        raise _refuse(place, text, f'"{kind}" is no kind of card that a build chooses.', allowed)
    found = [name.strip() for name in names.split(",") if name.strip()]
    if not equals or not found:
        raise _refuse(place, text, "names no card.", f"{kind}=NAME, NAME")
    extra = (f"{kind}.given_as=card",) if kind in ("compressor", "turbine") else ()
    options = tuple(Option(f"{kind} {name}", (f"{kind}.card={name}", *extra)) for name in found)
    return Choice(f"{kind}.card", options, (f"{kind}.card",))


def parse_step(text: str, build: Build, place: str = "--vary") -> Step:
    """A key for the tornado: with two values, with ``+- width``, or alone, when its band in the build counts.

    A default nobody has confirmed has a band of its own. Raises WhatIfError.
    """
    keys, values = _split(text, place)
    parameter = _declared(keys[0], place, text)
    for key in keys[1:]:
        _declared(key, place, text)
    sign = _SIGN.match(values)
    if values and not sign:
        written = _values(parameter, values, place, text)
        if len(written) < 2:
            allowed = 'two values, a step such as "+- 5 %", or the key alone'
            raise _refuse(place, text, "is one value; one at a time needs a low and a high one.", allowed)
        return Step(keys, written[0], written[-1], "stated")
    from boostwright.tasks.whatif_band import ends_of_band

    ends = ends_of_band(build, keys[0], parameter, sign["width"].strip() if sign else "")
    if isinstance(ends, str):
        remedy = f'Write for example "{keys[0]} = +- 10 %", or its low and high value.'
        raise _refuse(place, text, ends, "two values, a step, or a key with a band", remedy)
    low, high, source = ends
    return Step(keys, low, high, source)


def _split(text: str, place: str) -> tuple[tuple[str, ...], str]:
    """Keys and what stands behind the equals sign."""
    names, _, values = text.partition("=")
    keys = tuple(name.strip() for name in names.split("&"))
    if not all(keys) or any(" " in key for key in keys):
        raise _refuse(place, text, "names no key.", _EXAMPLE)
    return keys, values.strip()


def _declared(key: str, place: str, text: str) -> Parameter:
    """The declaration of a key; refused where there is none."""
    from boostwright.build.faults import nearest

    section, _, name = key.partition(".")
    for schema in SECTIONS:
        if schema.name == section:
            for parameter in schema.parameters:
                if parameter.name == name:
                    return parameter
            if name in schema.keys:  # the word that says a basis
                raise _refuse(
                    place, text, f"{key} says how a value is meant, and is nothing to vary.", _EXAMPLE
                )
    known = [f"{schema.name}.{parameter.name}" for schema in SECTIONS for parameter in schema.parameters]
    near = nearest(key, known)
    raise _refuse(
        place, text, f"{key} is no key of a build.", "section.key", f"Did you mean {near}?" if near else ""
    )


def _values(parameter: Parameter, values: str, place: str, text: str) -> tuple[str, ...]:
    """The values as settings would write them."""
    if parameter.kind in ("text", "choice"):
        return tuple(word.strip().strip("\"'") for word in values.split(",") if word.strip())
    if values[0] in "[{":
        raise _refuse(
            place, text, "is a curve or a list.", "single values", "Write the curves as cases in a file."
        )
    found = _NUMBERS.fullmatch(values)
    if found is None:
        raise _refuse(place, text, "has values that are no numbers.", _EXAMPLE)
    unit = (found["unit"] or "").strip()
    if not unit and parameter.kind not in NUMBER_KINDS:
        raise _refuse(place, text, "has no unit.", _EXAMPLE, "Write the unit once, behind the last value.")
    numbers = found["numbers"]
    listed = _range(numbers, place, text) if ":" in numbers else _list(numbers, place, text)
    if parameter.kind == "integer" and any(number != int(number) for number in listed):
        raise _refuse(place, text, "has values that are no whole numbers.", "whole numbers")
    return tuple(f"{_plain(number)} {unit}".strip() for number in listed)


def _range(numbers: str, place: str, text: str) -> list[float]:
    parts = numbers.split(":")
    if len(parts) != 3:
        raise _refuse(
            place, text, f"is a range of {len(parts)} parts.", "from:to:how many, with the unit behind it"
        )
    low, high, count = (_number(part, place, text) for part in parts)
    if count != int(count) or not 2 <= count <= _MOST_VALUES:
        message = (
            f"asks for {parts[2].strip()} values: the last part of a range is how many there are, not a step."
        )
        raise _refuse(place, text, message, f"from 2 to {_MOST_VALUES} values")
    return [float(value) for value in np.linspace(low, high, int(count))]


def _list(numbers: str, place: str, text: str) -> list[float]:
    return [_number(part, place, text) for part in re.split(r"[,;]", numbers)]


def _number(part: str, place: str, text: str) -> float:
    try:
        value = float(part)
    except ValueError:
        message = (
            f'"{part.strip()}" is no number; a decimal point is a point, and values are parted by commas.'
        )
        raise _refuse(place, text, message, _EXAMPLE) from None
    if not np.isfinite(value):
        raise _refuse(place, text, f'"{part.strip()}" is not finite.', _EXAMPLE)
    return value


def _plain(number: float) -> str:
    return f"{number:.10g}"


def _refuse(place: str, text: str, message: str, allowed: str, remedy: str = "") -> WhatIfError:
    return WhatIfError([Fault(place, "", f'"{text}"', message, allowed, remedy)])
