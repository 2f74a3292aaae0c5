"""Parsing, converting and printing a quantity: text with a unit in, SI float out, and back.

Pressures carry a basis word beside the unit (``0.6 bar gauge``), kept apart from the number; inside the
program there are only SI floats.
"""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass

from boostwright.errors import Fault, UnitError
from boostwright.units.table import (
    AMBIGUOUS,
    BASIS_SPELLINGS,
    GAUGE_NAMES,
    KINDS,
    OFFSETS,
    PREFERRED,
    SPELLINGS,
    TABLE,
)

__all__ = [
    "Quantity",
    "QuantityError",
    "Unit",
    "convert",
    "format_quantity",
    "parse_quantity",
    "quantity_from_number",
    "to_si",
    "unit_names",
]

_SIGNS = str.maketrans(
    {"·": "*", "×": "*", "⋅": "*", "²": "2", "³": "3", "^": "", "µ": "u", "μ": "u", "°": "deg", "º": "deg"}
)
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_DECIMAL_COMMA = re.compile(r"[+-]?\d+,\d+")
_GAP_IN_NUMBER = re.compile(r"[+-]?\d{1,3}(?:[ _']\d{3})+(?!\d)")


@dataclass(frozen=True)
class Unit:
    """A name inside one kind: ``value_si = value * factor + offset`` (offset in K, temperatures only)."""

    name: str
    factor: float
    offset: float = 0.0


@dataclass(frozen=True)
class Quantity:
    """A number as the user wrote it, and in SI.

    value_si  the number in SI, on the basis it was written on (a gauge pressure stays a difference)
    unit      the name of the unit as the table has it
    basis     one of ``BASIS_WORDS``, or None when no word was given
    text      what was written
    """

    value_si: float
    unit: str
    basis: str | None
    text: str


class QuantityError(UnitError):
    """A quantity that cannot be read; ``fault`` says what and what to write."""

    def __init__(self, fault: Fault) -> None:
        """Keep the fault beside the message."""
        self.fault = fault
        super().__init__(str(fault))


def unit_names(kind: str) -> tuple[str, ...]:
    """The names a kind of quantity may be written in, SI first. Raises UnitError for an unknown kind."""
    return tuple(_table(kind))


def to_si(value: float, kind: str, unit: str) -> float:
    """The SI value of ``value`` in ``unit``; raises UnitError when the unit does not measure that kind."""
    entry = _find(kind, _normal(unit))
    return value * entry.factor + entry.offset


def convert(value_si: float, kind: str, unit: str) -> float:
    """The SI value ``value_si`` in ``unit``; raises UnitError when the unit does not measure that kind.

    >>> convert(373.15, "temperature", "degC")
    100.0
    """
    entry = _find(kind, _normal(unit))
    return (value_si - entry.offset) / entry.factor


def format_quantity(value_si: float, kind: str, unit: str | None = None, digits: int = 4) -> str:
    """The value with its unit, to ``digits`` significant figures; in the preferred unit when none is named.

    Raises UnitError when the unit does not measure that kind.
    """
    name = PREFERRED[kind] if unit is None else unit
    number = convert(value_si, kind, name)
    if number != 0 and math.isfinite(number) and 1e-4 <= abs(number) < 1e6:
        decimals = max(0, digits - 1 - math.floor(math.log10(abs(number))))
        text = f"{number:.{decimals}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
    else:
        text = f"{number:.{digits}g}"
    return f"{text} {name}".rstrip()


def parse_quantity(text: str, kind: str, *, place: str = "", key: str = "") -> Quantity:
    """Read a quantity such as ``83 mm``, ``20 °C`` or ``0.6 bar gauge``.

    text   number, unit, and where it can be two things the word for its basis
    kind   one of ``KINDS``
    place  file and line or option, for the message
    key    key it stands under, for the message
    Raises QuantityError (a UnitError and a ValueError) whose ``fault`` says what is wrong and what to write.

    >>> boost = parse_quantity("0.6 bar gauge", "pressure")
    >>> round(boost.value_si), boost.basis
    (60000, 'gauge')
    """

    def refuse(message: str, remedy: str = "") -> QuantityError:
        allowed = f"a number and a unit of {kind.replace('_', ' ')}: {_listed(kind)}"
        if kind == "dimensionless":
            allowed = "a plain number, or a share in %"
        return QuantityError(Fault(place, key, f'"{text}"', message, allowed, remedy))

    cleaned = text.strip()
    name = key.rpartition(".")[2] or "value"
    if not cleaned:
        raise refuse("is empty.", f'Write for example {name} = "{_example(kind)}".')
    gap = _GAP_IN_NUMBER.match(cleaned)
    if gap:
        joined = re.sub(r"[ _']", "", gap.group()) + cleaned[gap.end() :]
        raise refuse("has a gap inside the number.", f'Write {name} = "{joined}".')
    if _DECIMAL_COMMA.match(cleaned):
        raise refuse(
            "has a comma in the number.", f'Use a decimal point: {name} = "{cleaned.replace(",", ".", 1)}".'
        )
    match = _NUMBER.match(cleaned)
    if match is None:
        raise refuse("does not begin with a number.", f'Write for example {name} = "{_example(kind)}".')
    number = float(match.group())
    if not math.isfinite(number):
        raise refuse("is not a finite number.")
    unit, basis = _split_basis(cleaned[match.end() :], kind)
    if not unit and kind != "dimensionless":
        said = f'Write for example {name} = "{match.group()} {PREFERRED[kind]}" if that is the unit you mean.'
        raise refuse("has no unit.", said)
    try:
        entry = _find(kind, unit)
    except UnitError as error:
        raise refuse(f"{error}.", _suggestion(unit, kind)) from None
    return Quantity(number * entry.factor + entry.offset, entry.name, basis, text)


def quantity_from_number(number: float, kind: str, unit: str, basis: str | None = None) -> Quantity:
    """A quantity from a number and a unit's name; raises UnitError when the unit is not of that kind."""
    entry = _find(kind, _normal(unit))
    text = f"{number:g} {entry.name}".rstrip() + (f" {basis}" if basis else "")
    return Quantity(number * entry.factor + entry.offset, entry.name, basis, text)


def _table(kind: str) -> dict[str, float]:
    """The names of a kind."""
    try:
        return TABLE[kind]
    except KeyError:
        raise UnitError(f"no kind of quantity is called {kind!r}; known are {', '.join(KINDS)}") from None


def _find(kind: str, unit: str) -> Unit:
    """The unit of a normalised name; raises UnitError with the reason alone."""
    table = _table(kind)
    name = SPELLINGS.get(kind, {}).get(unit, unit)
    if name in table:
        offset = OFFSETS.get(name, 0.0) if kind == "temperature" else 0.0
        return Unit(name, table[name], offset)
    if (kind, unit) in AMBIGUOUS:
        raise UnitError(f'has the unit "{unit}", and {AMBIGUOUS[kind, unit]}')
    others = [other for other in KINDS if unit in TABLE[other] or unit in SPELLINGS.get(other, {})]
    if others:
        measured, wanted = others[0].replace("_", " "), kind.replace("_", " ")
        raise UnitError(f'has the unit "{unit}", which measures {measured}, not {wanted}')
    raise UnitError(f'has the unknown unit "{unit}"')


def _normal(unit: str) -> str:
    """One spelling of signs: no space round * and /, plain digits for powers, deg for the degree sign."""
    unit = unit.replace("**", "").translate(_SIGNS).replace("√K", "sqrt(K)")
    unit = re.sub(r"\s*([*/])\s*", r"\1", unit.strip())
    return re.sub(r"\s+", " ", re.sub(r"^deg ([CFR])$", r"deg\1", unit))


def _split_basis(rest: str, kind: str) -> tuple[str, str | None]:
    """Unit and basis word of what follows the number."""
    unit = _normal(rest)
    if kind == "pressure" and unit in GAUGE_NAMES:
        return GAUGE_NAMES[unit]
    head, _, last = unit.rpartition(" ")
    basis = BASIS_SPELLINGS.get(last) or ("QNH" if last.upper() == "QNH" else None)
    if basis is not None and (head or last not in _table(kind)):
        return head, basis
    return unit, None


def _suggestion(unit: str, kind: str) -> str:
    """The nearest name of that kind; nothing for a name known elsewhere, which is no slip of the pen."""
    if (kind, unit) in AMBIGUOUS or any(unit in names for names in TABLE.values()):
        return ""
    names = [*_table(kind), *SPELLINGS.get(kind, {})]
    lower = {name.lower(): name for name in reversed(names)}
    near = difflib.get_close_matches(unit.lower(), lower, n=1, cutoff=0.5)
    return f'Did you mean "{lower[near[0]]}"?' if near else ""


def _listed(kind: str) -> str:
    """The names of a kind, for a message."""
    return ", ".join(name for name in _table(kind) if name)


def _example(kind: str) -> str:
    """A harmless example of a kind."""
    return f"10 {PREFERRED[kind]}".rstrip()
