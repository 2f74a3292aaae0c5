"""Spellings of units as logs have them, in several languages, and the unit of the program's table each one means.

The table of units itself is strict; here stand the habits of files. What a spelling leaves open (gauge or absolute,
which horsepower) stays open.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from boostwright.logs.mapping.tables import table_lines

__all__ = ["UnitWord", "find_unit", "folded"]


@dataclass(frozen=True)
class UnitWord:
    """What a spelling means.

    kind   kind of quantity in the table of units, or one of "counts", "air_fuel_ratio", "mass_per_stroke", which
           it does not hold
    unit   name in the table; '' where the spelling leaves it open (hp)
    basis  gauge or absolute where the spelling says so, else ''
    """

    kind: str
    unit: str
    basis: str = ""


_DIMENSIONLESS_SIGNS = {"%", ":1"}
_BASES = (
    (re.compile(r"[\s_,(]*(?:absolute|absolut|abs|absolu|assoluta|absoluta)\.?[)\s]*$"), "absolute"),
    (
        re.compile(r"[\s_,(]*(?:gauge|gage|rel|relative|relativ|überdruck|ueberdruck|boost)\.?[)\s]*$"),
        "gauge",
    ),
    (re.compile(r"(?<=[a-z])[\s_]*\(\s*a\s*\)$|(?<=[a-z])[\s_]+a$"), "absolute"),
    (re.compile(r"(?<=[a-z])[\s_]*\(\s*g\s*\)$|(?<=[a-z])[\s_]+g$"), "gauge"),
)
_ANGLE_TAIL = re.compile(
    r"^(.*?)[\s_]*(?:\(?\s*(?:btdc|atdc|ca|crank|crk|kw|bdc|v\.?\s?ot|vot|pmh|before tdc|adv)\s*\)?)$"
)
_STRICT_NO = frozenset(
    {
        "-", "1", "a", "afr", "at", "bit", "bits", "bool", "boost", "c", "cc", "ch", "count", "counts", "cv",
        "c°", "d", "f", "factor", "flag", "f°", "g", "gear", "grad", "grams", "h", "hex", "hk", "hours", "in",
        "index", "k", "kg", "km", "kp", "kw", "l", "la", "lambda", "load", "m", "ma", "min", "minutes", "mm",
        "none", "on/off", "pk", "ppm", "ps", "ratio", "raw", "rpm", "s", "second", "state", "v", "w",
    }
)  # fmt: skip


def folded(text: str) -> str:
    """Small letters without accents; sharp s and slashed letters written out."""
    text = text.replace("ß", "ss").replace("ø", "o").replace("Ø", "o").replace("ł", "l").replace("Ł", "l")
    plain = unicodedata.normalize("NFKD", text)
    return "".join(letter for letter in plain if not unicodedata.combining(letter)).lower()


def _table() -> dict[str, UnitWord]:
    found = {}
    for line in table_lines("units.txt"):
        head, _, words = line.partition(" :")
        kind, _, unit = head.partition("|")
        for spelling in words.split():
            found[spelling] = UnitWord(kind.strip(), unit.strip())
    return found


_TABLE = _table()
_GAUGE_LETTERS = {
    f"{u}{s}": (u, b)
    for u in ("psi", "bar", "mbar", "kpa", "hpa")
    for s, b in (("g", "gauge"), ("a", "absolute"))
}


@lru_cache(maxsize=4096)
def find_unit(text: str, strict: bool = False) -> UnitWord | None:
    """What a spelling means as a unit; None where it is none.

    strict  True where the text may as well be the last word of a name: spellings that are words or single letters
            are then refused
    """
    clean = text.strip()
    while clean[:1] in ("[", "(", "{") and clean[-1:] in ("]", ")", "}"):
        clean = clean[1:-1].strip()
    clean = re.sub(r"\s+", " ", clean.replace("�", "°").replace("\u00c2°", "°")).lower()
    if not clean or len(clean) > 24:
        return None
    if strict and clean in _STRICT_NO:
        return None
    found = _look_up(clean)
    if found is not None:
        return found
    for pattern, basis in _BASES:
        match = pattern.search(clean)
        if match and match.start() > 0:
            inner = _look_up(clean[: match.start()].strip(" _,"))
            if inner is not None and inner.kind == "pressure":
                return UnitWord(inner.kind, inner.unit, basis)
    if clean in _GAUGE_LETTERS:
        unit, basis = _GAUGE_LETTERS[clean]
        return UnitWord("pressure", _TABLE[unit].unit, basis)
    match = _ANGLE_TAIL.match(clean)
    if match and (not match.group(1) or _look_up(match.group(1).strip()) == UnitWord("angle", "deg")):
        return None if strict and not match.group(1) else UnitWord("angle", "deg")
    return None


def _look_up(clean: str) -> UnitWord | None:
    for form in (
        clean,
        clean.replace(" ", "_"),
        clean.replace(" ", ""),
        clean.replace("deg ", "deg"),
        folded(clean),
    ):
        if form in _TABLE:
            return _TABLE[form]
    return None
