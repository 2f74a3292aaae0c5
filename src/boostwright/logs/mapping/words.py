"""Words that name a channel, in the languages logs come in, each brought to one notion of our own.

A name is cut into words at blanks, signs and changes of case; German and Nordic compounds are cut where a known stem
ends. Short words count only when they stand alone.
"""

from __future__ import annotations

import re
from functools import lru_cache

from boostwright.logs.mapping.tables import table_lines
from boostwright.logs.mapping.unit_words import find_unit, folded

__all__ = ["notions"]


_ALONE: dict[str, set[str]] = {}
_STEMS: list[tuple[str, str]] = []
for _line in table_lines("words.txt"):
    _notion, _, _text = _line.partition(":")
    for _word in _text.split():
        _bare = _word.rstrip("*_")
        _ALONE.setdefault(_bare, set()).add(_notion)
        if _word.endswith("*") and len(_bare) >= 3:
            _STEMS.append((_bare, _notion))
_STEMS.sort(key=lambda pair: -len(pair[0]))

_SHORTENED = 4  # letters from which a word may be the beginning of a longer one

_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])|(?<=[A-Z])(?=[A-Z][a-z])|(?<=[A-Za-z])(?=\d)|(?<=\d)(?=[A-Za-z])")
_PHRASES = (
    (re.compile(r"\bfly[\s_-]*wheel\b"), " engine "),
    (re.compile(r"\bdrivers?[\s_-]*demand\b"), " pedal "),
    (re.compile(r"\ba/f\b"), " afr "),
    (re.compile(r"\bacc(el(erator)?)?[\s_.-]*(?=pedal)"), " "),
    (re.compile(r"^t[\s_.]+(?=[a-z]{3})"), "temperature "),
    (re.compile(r"\btemps[\s_]+d?'?(?=inj)"), " time "),
    (re.compile(r"\btit\b"), " turbine before temperature "),
    (re.compile(r"\bfuel[\s_-]*pr\b"), " fuel pressure "),
    (re.compile(r"\bh 2 o\b"), " h2o "),
    (re.compile(r"\b(turbine|turbo|compressor|comp|cooler|ic)[\s_-]+in\b"), r"\1 intake"),
    (re.compile(r"\bair[\s/_-]*fuel\b"), " afr "),
    (
        re.compile(r"\bmass[\s_-]*air([\s_-]*flow)?\b|\bair[\s_-]*mass\b|\bair[\s_-]*flow([\s_-]*rate)?\b"),
        " maf ",
    ),
    (
        re.compile(
            r"\bmasse[\s_-]*d?[' ]?air\b|\bmasa[\s_-]*(de[\s_-]*)?aire\b|\bdebit[\s_-]*d?[' ]?air\b"
            r"|\bflusso[\s_-]*aria\b"
        ),
        " maf ",
    ),
    (re.compile(r"\bpulse[\s_-]*width\b"), " pulsewidth "),
    (re.compile(r"\bback[\s_-]*pressure\b"), " backpressure pressure "),
    (re.compile(r"\bwaste[\s_-]*gate\b"), " wastegate "),
    (
        re.compile(r"\bcharge[\s_-]*air[\s_-]*cooler\b|\binter[\s_-]*cooler\b|\bcharge[\s_-]*cooler\b"),
        " cooler ",
    ),
    (re.compile(r"\bcharge[\s_-]*(air|temp)"), r" intake \1"),
    (re.compile(r"\bcharge[\s_-]*pressure"), " boost pressure"),
    (re.compile(r"\bto[\s_-]*rail\b"), " rail "),
    (re.compile(r"\bset[\s_-]*point\b"), " target "),
    (re.compile(r"\bflex[\s_-]*fuel\b"), " ethanol "),
    (re.compile(r"\bfuel[\s_-]*trim\b"), " trim "),
    (re.compile(r"\bduty[\s_-]*cycle\b"), " duty "),
    (re.compile(r"\bpre([\s_-]+(?=[a-z])|(?=turb|comp|throt|cool|cat))"), " before "),
    (re.compile(r"\bpost([\s_-]+(?=[a-z])|(?=turb|comp|throt|cool|cat))"), " after "),
    (re.compile(r"\bbrake[\s_-]*(?=torque|power)"), "engine "),
    (re.compile(r"\bo2\b"), " oxygen "),
    (re.compile(r"\bt[\s_]?amb\b"), " ambient temperature "),
    (re.compile(r"\bde[\s_-]*tours\b|\bdu[\s_-]*moteur\b"), " rpm engine "),
)


@lru_cache(maxsize=8192)
def notions(name: str) -> tuple[frozenset[str], tuple[int, ...], tuple[str, ...]]:
    """What a name speaks of: its notions, the numbers in it, and the words that are not known."""
    text = _CAMEL.sub(" ", re.sub(r"\bO2", "oxygen", name))
    text = folded(
        text.replace("ä", "ae")
        .replace("ö", "oe")
        .replace("ü", "ue")
        .replace("Ä", "ae")
        .replace("Ö", "oe")
        .replace("Ü", "ue")
    )
    for pattern, put in _PHRASES:
        text = pattern.sub(put, text)
    found: set[str] = set()
    numbers: list[int] = []
    unknown: list[str] = []
    for word in re.split(r"[^a-z0-9]+", text):
        if not word:
            continue
        if word.isdigit():
            numbers.append(int(word))
            continue
        got = _of_word(word)
        if got:
            found |= got
        elif find_unit(word, strict=True) is None:  # a unit in the name says nothing of the channel
            found |= _cut_short(word)
            unknown.append(word)  # even so: what it may be short for leaves doubt
    return frozenset(found), tuple(numbers), tuple(unknown)


def _of_word(word: str) -> set[str]:
    """The notions of one word: of the whole, else of the stems it is made of."""
    if word in _ALONE:
        return _ALONE[word]
    found: set[str] = set()
    rest = word
    for stem, notion in _STEMS:
        if (len(stem) >= 4 and stem in rest) or (rest.startswith(stem) and len(stem) >= 4):
            found.add(notion)
            rest = rest.replace(stem, " ", 1)
    for piece in rest.split():
        if piece in _ALONE and len(piece) >= 3:
            found |= _ALONE[piece]
    return found


def _cut_short(word: str) -> set[str]:
    """The notion a word may be short for: where all words that begin so speak of one."""
    if len(word) < _SHORTENED:
        return set()
    may = {notion for stem, notion in _STEMS if stem.startswith(word)}
    return may if len(may) == 1 else set()
