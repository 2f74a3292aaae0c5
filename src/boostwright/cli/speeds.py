"""Reading ``--speeds``: a range with a step or a list, with the unit said once."""

from __future__ import annotations

import math

from boostwright.errors import Fault, FaultyInput, UnitError

__all__ = ["SpeedsError", "parse_speeds"]

_OPTION = "--speeds"
_EXAMPLE = '"2000:6500:250 rpm" (from, to, step) or "2000, 2500, 4000 rpm"'
_MOST = 5000


class SpeedsError(FaultyInput):
    """The engine speeds asked for cannot be read."""


def _refuse(text: str, message: str, remedy: str = "") -> SpeedsError:
    return SpeedsError(
        [Fault(_OPTION, "", f'"{text}"', message, allowed=_EXAMPLE, remedy=remedy or f"write {_EXAMPLE}")]
    )


def _number(part: str, text: str) -> float:
    try:
        number = float(part)
    except ValueError:
        raise _refuse(text, f'"{part.strip()}" is not a number.') from None
    if not math.isfinite(number) or number <= 0:
        raise _refuse(text, f"a speed or step of {part.strip()} has no meaning; both are above zero.")
    return number


def _range(parts: list[str], text: str) -> list[float]:
    if len(parts) != 3:
        raise _refuse(text, f"a range has three parts, from:to:step; this one has {len(parts)}.")
    first, last, step = (_number(part, text) for part in parts)
    if last < first:
        raise _refuse(text, f"the range ends ({last:g}) below its start ({first:g}).")
    count = math.floor((last - first) / step + 1e-9) + 1
    if count > _MOST:
        raise _refuse(text, f"that is {count} points; the most is {_MOST}.", "take a larger step")
    return [first + index * step for index in range(count)]


def parse_speeds(text: str) -> list[float]:
    """Engine speeds in rad/s, rising, each once.

    text  ``from:to:step unit`` with the end included where a step meets it, or ``a, b, c unit``; the unit is
          asked for and stands once, at the end
    Returns a list of rad/s. Raises SpeedsError with what to write instead.
    """
    from boostwright.units import to_si

    body = text.strip()
    numbers = body.rstrip("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ/ ")
    unit = body[len(numbers) :].strip()
    if not numbers:
        raise _refuse(text, "there is no number in it.")
    if not unit:
        raise _refuse(text, "has no unit.", f'write "{body} rpm" if that is the unit you mean')
    try:
        to_si(1.0, "rotational_speed", unit)
    except UnitError as error:
        raise _refuse(text, f"{error}.") from None
    if ":" in numbers:
        values = _range(numbers.split(":"), text)
    else:
        values = [_number(part, text) for part in numbers.split(",")]
    if len(values) > _MOST:
        raise _refuse(text, f"that is {len(values)} points; the most is {_MOST}.", "ask for fewer")
    return sorted({to_si(value, "rotational_speed", unit) for value in values})
