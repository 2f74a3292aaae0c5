"""One word of a name: known as a whole, as a compound of known parts, cut short, or with a slip in it."""

from __future__ import annotations

from functools import lru_cache

from boostwright.logs.mapping.tables import table_lines

__all__ = ["KNOWN", "NOT_OURS", "notions_of"]

KNOWN: dict[str, frozenset[str]] = {}
"""Notions of the words of the table."""

NOT_OURS = frozenset(
    {
        "acceleration", "average", "brake", "cam", "clutch", "egr", "error", "fan", "flag", "integral", "limit",
        "model", "other", "per", "raw", "steering",
    }
)  # fmt: skip
"""Notions of what is no channel of ours."""

_PARTS: dict[str, frozenset[str]] = {}
for _line in table_lines("words.txt"):
    _notion, _, _text = _line.partition(":")
    for _word in _text.split():
        _bare = _word.rstrip("*")
        KNOWN[_bare] = KNOWN.get(_bare, frozenset()) | {_notion}
        if _word.endswith("*") or len(_bare) >= 5:
            _PARTS[_bare] = _PARTS.get(_bare, frozenset()) | {_notion}
_LONGEST = max(map(len, _PARTS))
_LINKS = frozenset({"s", "n", "en", "e", "er", "es", "o", "r", "a", "i", "d"})
"""Letters that join the parts of a compound."""

_ENDS = frozenset(
    (
        *(
            "s",
            "e",
            "n",
            "en",
            "er",
            "es",
            "em",
            "et",
            "a",
            "i",
            "o",
            "y",
            "u",
            "h",
            "j",
            "k",
            "as",
            "os",
            "is",
        ),
        *(
            "ar",
            "or",
            "na",
            "ne",
            "nt",
            "ed",
            "al",
            "ale",
            "ali",
            "ele",
            "ens",
            "ern",
            "ets",
            "ns",
            "sk",
            "ska",
        ),
        *(
            "ego",
            "owa",
            "owy",
            "owe",
            "owej",
            "owego",
            "ych",
            "ow",
            "ami",
            "iem",
            "ie",
            "ia",
            "iu",
            "om",
            "ka",
            "ze",
        ),
        *(
            "ki",
            "eur",
            "age",
            "ant",
            "ee",
            "ique",
            "ico",
            "ica",
            "ata",
            "ato",
            "ado",
            "ada",
            "ing",
            "ings",
            "de",
            "te",
        ),
        *("ten", "ske", "ym", "yne", "wym", "owym", "nej", "nych", "rice"),
    )
)
"""Endings of an inflection."""

_TAILS = frozenset(word for word in KNOWN if len(word) >= 3) | {"dc", "pw", "sp"}
"""Words that may stand at an end of a compound without being a part elsewhere in one."""

_SHORTENED = 4  # letters from which a word may be the beginning of a longer one
_SLIP = 5  # letters from which one wrong letter still leaves a word to be known


@lru_cache(maxsize=8192)
def notions_of(word: str) -> tuple[frozenset[str], bool]:
    """The notions of one word in small letters without accents, and whether they leave doubt."""
    if word in KNOWN:
        return KNOWN[word], False
    if len(word) > 4 and word[-1] == "s" and word[:-1] in KNOWN:
        return KNOWN[word[:-1]], False
    for form in dict.fromkeys((word, word.replace("ae", "a").replace("oe", "o").replace("ue", "u"))):
        found, whole = (KNOWN[form], True) if form in KNOWN else _compound(form)
        if whole:
            return found, False
    if (pair := _pair(word)) is not None:
        return pair
    found = _compound(word)[0]
    return found or (_slip(word) or _cut_short(word)) - NOT_OURS, True  # a guess does not turn a column away


def _pair(word: str) -> tuple[frozenset[str], bool] | None:
    """The notions of two known words written as one (``ignadv``), and whether they leave doubt; None where none."""
    for cut in range(len(word) - 2, 1, -1):
        head, tail = word[:cut], word[cut:]
        if head in KNOWN and tail in KNOWN:
            found, brief = KNOWN[head] | KNOWN[tail], min(len(head), len(tail)) < 3
            if not (brief and "neutral" in found):
                return found, brief or "neutral" in found
    return None


def _compound(word: str) -> tuple[frozenset[str], bool]:
    """The notions of the parts of a word, and whether nothing of it is left but links and an ending."""
    best: list[tuple[float, tuple[tuple[str, bool], ...]]] = [(0.0, ())]
    for end in range(1, len(word) + 1):
        cost, spans = best[end - 1]
        letter = word[end - 1]
        grows = bool(spans) and not spans[-1][1]
        gap = (*spans[:-1], (spans[-1][0] + letter, False)) if grows else (*spans, (letter, False))
        choices = [(cost + 1.0, gap)]
        for begin in range(max(0, end - _LONGEST), end - 2):
            if word[begin:end] in _PARTS:
                choices.append((best[begin][0] + 0.3, (*best[begin][1], (word[begin:end], True))))
        best.append(min(choices, key=lambda choice: choice[0]))
    spans = best[-1][1]
    found: frozenset[str] = frozenset()
    whole, last = any(known for _, known in spans), len(spans) - 1
    if not whole:
        return found, False
    for k, (text, known) in enumerate(spans):
        if known or text in _TAILS:
            found |= _PARTS[text] if known else KNOWN[text]
        else:
            whole = whole and (text in _LINKS if 0 < k < last else k == last and text in _ENDS)
    return found, whole


def _cut_short(word: str) -> frozenset[str]:
    """The notion a word may be short for: where all words that begin so, or hold its letters in turn, speak of one."""
    if len(word) < _SHORTENED - 1:
        return frozenset()
    if len(word) >= _SHORTENED - 1:
        may = {notion for part, notions in _PARTS.items() if part.startswith(word) for notion in notions}
        if len(may) == 1:
            return frozenset(may)
    if any(letter in "aeiou" for letter in word):
        return frozenset()
    starting = ((part, notions) for part, notions in _PARTS.items() if part[0] == word[0])
    may = {notion for part, notions in starting if _in_turn(word, part) for notion in notions}
    return frozenset(may) if len(may) == 1 else frozenset()


def _in_turn(short: str, whole: str) -> bool:
    """True where the letters of one word stand in another in their order."""
    rest = iter(whole)
    return all(letter in rest for letter in short)


def _slip(word: str) -> frozenset[str]:
    """The notion of a word that differs by one letter: wrong, missing, too many, or two changed round."""
    if len(word) < _SLIP:
        return frozenset()
    may = {notion for part, notions in KNOWN.items() if _one_off(word, part) for notion in notions}
    return frozenset(may) if len(may) == 1 else frozenset()


def _one_off(one: str, other: str) -> bool:
    if abs(len(one) - len(other)) > 1 or len(other) < _SLIP - 1:
        return False
    pairs = zip(one, other, strict=False)
    at = next((k for k, (a, b) in enumerate(pairs) if a != b), min(len(one), len(other)))
    a, b = one[at:], other[at:]
    return a[1:] == b[1:] or a[1:] == b or a == b[1:] or (a[:2] == b[1::-1] and a[2:] == b[2:])
