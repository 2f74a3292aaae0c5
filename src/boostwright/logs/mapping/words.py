"""What the name of a column speaks of, in the languages logs come in, each word brought to one notion of our own.

A name is cut into words at blanks, signs and changes of case; units in it are set apart. A single letter stands for a
kind of quantity only where nothing else says one. Whatever is not surely known leaves doubt.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from boostwright.logs.mapping.compounds import KNOWN, notions_of
from boostwright.logs.mapping.phrases import joined
from boostwright.logs.mapping.unit_words import UnitWord, find_unit, folded

__all__ = ["Spoken", "kind_notion", "spoken"]


@dataclass(frozen=True)
class Spoken:
    """What a name speaks of.

    notions  its notions
    numbers  the numbers in it, that of a cylinder or bank first
    unknown  words that are not known, or not surely
    unit     the unit that stands in it; None where none does
    """

    notions: frozenset[str]
    numbers: tuple[int, ...]
    unknown: tuple[str, ...]
    unit: UnitWord | None


_SIGNS = (
    *(("ä", "ae"), ("ö", "oe"), ("ü", "ue"), ("Ä", "Ae"), ("Ö", "Oe"), ("Ü", "Ue"), ("æ", "ae"), ("Æ", "Ae")),
    *(("œ", "oe"), ("Œ", "Oe"), ("µ", "u"), ("λ", " lambda "), ("Δ", " delta "), ("ϑ", " t "), ("θ", " t ")),
)
_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])|(?<=[A-Za-z])(?=\d)|(?<=\d)(?=[A-Za-z])")
_MIXED = re.compile(
    r"(?<![a-z])(?:kPa|hPa|MPa|mBar|inHg|mmHg|degC|degF)(?![a-z])|RPM\s*[x*]\s*1000"
)  # units with capitals inside
_CODE = re.compile(r"^\s*(o2s|eq_?rat|lambda_?|lam_?)([1-4])_?([1-4])\b")  # bank and sensor, as in SAE J1979
_SECOND = re.compile(r"\bb(?:ank)?[\s#-]*\d[\s,-]*(?:sensor|s)[\s#-]*[2-4]\b|\bsensor[\s#-]*[2-4][\s,-]*bank")
_COUNTED = re.compile(
    r"\b(?:cyl|cylinder|cylindre|cilindro|cilinder|cil|zyl|zylinder|cylinders?|bank|banc|bancata|bancada)"
    r"[\s.#-]*(?:no\.?|nr\.?|n)?[\s#°-]*(\d+)|#\s*(\d+)\s*(?:cyl|zyl)"
)
_OTHERS = re.compile(
    r"\b(turbo\w*|turbine|manifold|rail|gearbox|transmission|sensor|input|power|cooler|wastegate)[\s.#-]*(\d)\b"
)
_PROBE = re.compile(r"\b(lambda|o2|oxygen|egt|wideband|afr|pyro\w*)\b")
_UNIT_TEXT = re.compile(
    r"(?:(?<=[\s_\[(])|^)(?:[1u]/min|r/min|rev/min|km/h|mi/h|m/s|l/h|l/min|cc/min|g/s|kg/h|kg/s|lb/min|lb/h"
    r"|rpm\s*[x*]\s*1000|x\s*1000\s*rpm|1000\s*rpm|rpm\s*/\s*1000|°\s*[cfk]|deg[\s_.]*[cfk](?=$|[\s_\])]))(?=$|[\s_\])])"
)
_UNIT_TAIL = re.compile(r"\b([a-z]{2,}?)(kpa|psi|mbar|bar|hpa|rpm|pct|degc|degf|kmh|kph|mph)\b")
_UNIT_KINDS = {
    "rotational_speed", "velocity", "temperature", "pressure", "mass_flow", "volume_flow", "power", "torque",
    "angle", "voltage", "current", "time", "dimensionless", "frequency", "counts",
}  # fmt: skip
_NO_UNIT = {"atm", "gps", "pa", "ppm", "sec", "secs", "seconds", "torr"}  # which are words of names as well
_LETTERS = {
    **{"t": "temperature", "p": "pressure", "n": "rotation", "v": "speed"},
    **{"m": "flow", "q": "flow", "u": "voltage"},
}
_MAY_STAND_FOR = {
    "t": {"temperature", "time", "egt", "iat", "torque"},
    "p": {"pressure", "power", "position", "pedal"},
    "n": {"rotation", "speed"},
    "v": {"speed", "voltage"},
    "m": {"flow", "mass", "torque"},
    "q": {"flow"},
    "u": {"voltage", "rotation"},
}
_KINDS = {
    "temperature": "temperature",
    "pressure": "pressure",
    "rotational_speed": "rotation",
    "velocity": "speed",
    "mass_flow": "flow",
    "volume_flow": "flow",
    "torque": "torque",
    "power": "power",
    "voltage": "voltage",
    "time": "time",
    "angle": "angle",
    "air_fuel_ratio": "afr",
}
_SAY_KIND = frozenset(_KINDS.values()) | {"duty", "mass", "position", "level", "trim", "share", "load", "egt"}


def kind_notion(spoken: Spoken, kind: str) -> frozenset[str]:
    """The notion of a kind of unit where the name itself says nothing of kind; else nothing."""
    told = _KINDS.get(kind)
    return frozenset() if told is None or spoken.notions & _SAY_KIND else frozenset({told})


@lru_cache(maxsize=8192)
def spoken(name: str, kind: str = "") -> Spoken:
    """What a name speaks of; ``kind`` is that of the header's unit, which tells what a single letter stands for."""
    text = name.lower() if name.isupper() else name
    for sign, put in _SIGNS:
        text = text.replace(sign, put)
    code = _CODE.match(folded(text))
    text, unit = _unit_apart(_MIXED.sub(lambda found: f" {found[0].lower()} ", text))
    text, numbers, found = _counted(folded(_CAMEL.sub(" ", text).replace("_", " ")))
    if code is not None:
        numbers, found = [int(code[2])], found | ({"second"} if code[3] != "1" else set())
    letters: list[str] = []
    unknown: list[str] = []
    for word in re.findall(r"[a-z0-9]+", _UNIT_TAIL.sub(_tail_apart, joined(text))):
        measure = find_unit(word, strict=True)
        if word.isdigit():
            numbers += [int(word)] if code is None else []
        elif word in _LETTERS:
            letters.append(word)
        elif measure is None or word in KNOWN:
            got, doubt = notions_of(word)
            found |= got
            unknown += [word] if doubt else []
        if measure is not None and unit is None and measure.kind in _UNIT_KINDS and word not in _NO_UNIT:
            unit = measure
    unknown += _letters(letters, found, kind or (unit.kind if unit else ""), bool(numbers))
    probes = (number for number in numbers if number > 8 and "egt" in found)  # a cylinder, or bank and sensor
    unknown += [
        f"{number}" for number in (*probes, *(n for n in numbers if n in (100, 1000)))
    ]  # a scale perhaps
    if unknown and unknown[-1] in ("c", "f") and "temperature" in found:
        unknown.pop()  # a unit perhaps, which the numbers must show
    return Spoken(frozenset(found), tuple(numbers), tuple(unknown), unit)


def _tail_apart(found: re.Match[str]) -> str:
    """A word with a unit at its end cut in two, where the rest of it is known: ``mapkpa``."""
    word, head = found[0], found[1]
    return f"{head} {found[2]}" if word not in KNOWN and not notions_of(head)[1] else word


def _counted(text: str) -> tuple[str, list[int], set[str]]:
    """A name without the numbers of what is not counted in a channel, the number of its cylinder or bank, and "second".

    A second probe of one bank, or of a second turbocharger, is not the first of them.
    """
    numbers = [int(next(filter(None, found.groups()))) for found in _COUNTED.finditer(text)]
    if _SECOND.search(text):
        return text, numbers, {"second"}
    if _PROBE.search(text) and not numbers:
        return text, numbers, set()
    other = any(int(found[2]) > 1 for found in _OTHERS.finditer(text))
    return _OTHERS.sub(r"\1 ", text), numbers, {"second"} if other and not numbers else set()


def _unit_apart(text: str) -> tuple[str, UnitWord | None]:
    """A name without the unit written in it with signs, and that unit."""
    small = text.lower()
    match = _UNIT_TEXT.search(small)
    if match is None or len(small) != len(text):
        return text, None
    unit = find_unit(re.sub(r"[\s_.]", "", match[0]).replace("°", "deg"))
    return text[: match.start()] + " " + text[match.end() :], unit


def _letters(letters: list[str], found: set[str], kind: str, counted: bool) -> list[str]:
    """Adds what single letters stand for where nothing else of the name says its kind; those that say something else.

    counted  True where a number stands in the name: its n may be "number"
    """
    told = _KINDS.get(kind, kind)
    said = bool(found & _SAY_KIND)
    left = []
    for letter in letters:
        if said:
            left += [] if _MAY_STAND_FOR[letter] & found or (letter == "n" and counted) else [letter]
        elif letter == "m" and told in ("flow", "torque"):
            found |= {"flow", "mass"} if told == "flow" else {"torque"}
        elif letter in "uv" and ("battery" in found or told == "voltage"):
            found.add("voltage")
        elif letter == "p" and told == "power":
            found.add("power")
        elif letter in "mq":
            left.append(letter)
        elif not told or _LETTERS[letter] == told:
            found.add(_LETTERS[letter])
        else:
            left.append(letter)
    return left
