"""A fault as it is asked for: ``offset pressure_im by=4kPa``; read, checked, and kept for the truth."""

from __future__ import annotations

import difflib
import re
import shlex
from collections.abc import Mapping
from dataclasses import dataclass

from boostwright.errors import Fault as Wrong
from boostwright.errors import FaultyInput
from boostwright.logs.made.fault_kinds import FAULT_KINDS, FaultKind, Said
from boostwright.logs.mapping.names import channel_of
from boostwright.units.quantity import QuantityError, parse_quantity

__all__ = ["AskedFault", "SimulationError", "read_fault"]

_NUMBER = re.compile(r"-?\d{1,9}(\.\d{1,6})?")
_DIFFERENCES = {"temperature": "temperature_difference"}


class SimulationError(FaultyInput):
    """What was asked of a made-up log cannot be; nothing was written."""

    @classmethod
    def of(
        cls, place: str, message: str, remedy: str = "", value: str = "", allowed: str = ""
    ) -> SimulationError:
        """An error with one fault."""
        return cls([Wrong(place, "", value, message, allowed, remedy)])


@dataclass(frozen=True)
class AskedFault:
    """A fault that is to be put into a log.

    code     one of FAULT_KINDS
    channel  our name; '' where it befalls the whole file
    numbers  what was said or taken, in SI; words the same for what is no number
    """

    code: str
    channel: str
    numbers: Mapping[str, float]
    words: Mapping[str, str]

    @property
    def kind(self) -> FaultKind:
        """What kind of fault it is."""
        return FAULT_KINDS[self.code]


def read_fault(text: str, place: str = "--fault") -> AskedFault:
    """A fault from its text; raises SimulationError that says what can be written.

    >>> read_fault("offset pressure_im by=4kPa").numbers["by"]
    4000.0
    """
    try:
        words = shlex.split(text)
    except ValueError:
        raise SimulationError.of(place, "has a quotation mark without its partner.", "", text) from None
    if not words:
        raise SimulationError.of(place, "is empty.", "write for example: offset pressure_im by=4kPa")
    code, rest = words[0], words[1:]
    if code not in FAULT_KINDS:
        near = difflib.get_close_matches(code, FAULT_KINDS, 1)
        remedy = f"did you mean {near[0]}?" if near else ""
        raise SimulationError.of(
            place, f'"{code}" is no kind of fault.', remedy, text, ", ".join(FAULT_KINDS)
        )
    kind = FAULT_KINDS[code]
    bare = [word for word in rest if "=" not in word]
    channel = _channel(kind, bare, text, place)
    said = {}
    for word in rest:
        name, sign, value = word.partition("=")
        if sign:
            said[name] = value
    return _filled(kind, channel, said, text, place)


def _channel(kind: FaultKind, bare: list[str], text: str, place: str) -> str:
    """The channel a fault befalls; raises where there must be one and is none, or the other way round."""
    whole = kind.place == "file" or kind.code == "no-barometer"
    if whole:
        if bare:
            raise SimulationError.of(
                place, f"{kind.code} befalls the whole file.", f'leave out "{bare[0]}"', text
            )
        return "pressure_amb" if kind.code == "no-barometer" else ""
    if len(bare) != 1:
        raise SimulationError.of(place, f"{kind.code} needs one channel.", f"{kind.code} CHANNEL ...", text)
    (name,) = bare
    if channel_of(name) is None:
        raise SimulationError.of(place, f"{name} is no channel.", "see docs/reference/log-channels.md", text)
    if kind.only and not name.startswith(kind.only):
        raise SimulationError.of(
            place,
            f"{kind.code} cannot befall {name}.",
            "",
            text,
            f"channels that begin with {', '.join(kind.only)}",
        )
    return name


def _filled(kind: FaultKind, channel: str, said: dict[str, str], text: str, place: str) -> AskedFault:
    numbers: dict[str, float] = {}
    words: dict[str, str] = {}
    for one in kind.said:
        value = said.pop(one.name, None)
        if one.kind == "word":
            words[one.name] = str(one.default or "") if value is None else value
        elif value is not None:
            numbers[one.name] = _number(one, channel, value, text, place)
        elif isinstance(one.default, float):
            numbers[one.name] = one.default
        elif one.kind == "difference":
            numbers[one.name] = _usual(channel, one.name)
    if said:
        allowed = ", ".join(one.name for one in kind.said) or "nothing more"
        raise SimulationError.of(
            place, f'"{next(iter(said))}" cannot be said of {kind.code}.', "", text, allowed
        )
    if "shows" in words and words["shows"] != "empty" and not _NUMBER.fullmatch(words["shows"]):
        raise SimulationError.of(
            place, "shows= is empty or a number.", "", text, "empty, 0, 65535, 3276.7 ..."
        )
    if kind.code == "swapped":
        _refuse_unlike(channel, words["with"], text, place)
    return AskedFault(kind.code, channel, numbers, words)


def _refuse_unlike(channel: str, other: str, text: str, place: str) -> None:
    """Raise where two plugs cannot be mixed up: no such channel, the same one, or another kind of sensor."""
    first, second = channel_of(channel), channel_of(other)
    if second is None:
        raise SimulationError.of(place, "needs the other channel.", f"swapped {channel} with=CHANNEL", text)
    if first is None or other == channel or first[0].kind != second[0].kind:
        message = f"{channel} and {other} are not two sensors of one kind."
        raise SimulationError.of(place, message, "name two of one kind, such as two pressures", text)


def _number(one: Said, channel: str, value: str, text: str, place: str) -> float:
    found = channel_of(channel)
    kind = one.kind
    if kind in ("same", "difference"):
        own = found[0].kind if found else ""
        own = "dimensionless" if own in ("", "air_fuel_ratio") else own
        kind = _DIFFERENCES.get(own, own) if one.kind == "difference" else own
    try:
        number = parse_quantity(value, kind, place=place, key=one.name).value_si
    except QuantityError as error:
        raise SimulationError([error.fault]) from None
    if not one.low <= number <= one.high:
        allowed = f"{one.low:g} to {one.high:g} in SI"
        raise SimulationError.of(place, f"{one.name}={value} is out of range.", "", text, allowed)
    return number


_USUAL = {
    "pressure": (4e3, 3e3),
    "temperature": (12.0, 15.0),
    "rotational_speed": (20.0, 30.0),
    "velocity": (1.0, 1.0),
    "mass_flow": (4e-3, 4e-3),
    "torque": (15.0, 15.0),
    "power": (8e3, 8e3),
    "voltage": (0.5, 0.4),
    "angle": (0.05, 0.05),
    "time": (0.5e-3, 0.5e-3),
}


def _usual(channel: str, name: str) -> float:
    """An offset, or rms of noise, that is plainly too much for a channel of this kind."""
    found = channel_of(channel)
    pair = _USUAL.get(found[0].kind if found else "", (0.05, 0.04))
    return pair[name == "rms"]
