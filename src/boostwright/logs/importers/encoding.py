"""How the bytes of a text become letters: byte order mark, strict UTF-8, then single-byte encodings by their signs.

Only names, units and words hang on this; digits are the same in all of them. The choice is shown with its reason and
can be overruled.
"""

from __future__ import annotations

import codecs
import re
from dataclasses import dataclass

from boostwright.logs.records import LogError

__all__ = ["Encoding", "decode_line", "detect_encoding", "mend_twice_encoded"]

_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
# signs of units, and letters of the languages channel names are written in
_SIGNS = frozenset("°µ²³·½‰λΔΩ℃")
_LETTERS = frozenset("äöüßÄÖÜéèêëàâçñóíáúåæøÅÆØôîûùÉÈ")
_EASTERN = frozenset("ąćęłńóśźżĄĆĘŁŃŚŹŻčšžřěůťďáíýéúČŠŽŘ")
# between digits a letter is no letter, and a blank that does not break is the mark of a thousand
_GROUP_BLANK = re.compile(r"(?<=\d)[\u00a0\u202f](?=\d{3})")
_LETTER_IN_NUMBER = re.compile(r"(?<=\d)[^\W\d_a-zA-Z](?=\d)")
_SINGLE = ("cp1252", "mac_roman", "cp850", "cp1250", "cp1251", "shift_jis")


@dataclass(frozen=True)
class Encoding:
    """Name as Python knows it, length of its byte order mark, and why it was taken."""

    name: str
    mark: int
    reason: str

    @property
    def single_bytes(self) -> bool:
        """True where digits and separators are single bytes, so that the text can be read as it lies."""
        return not self.name.startswith(("utf-16", "utf-32"))


def detect_encoding(samples: list[bytes], named: str | None = None) -> Encoding:
    """The encoding of a text from its head and other samples.

    samples  the head first; the others may begin and end within a character
    named    what the user says; raises LogError where no such encoding is known
    """
    head = samples[0]
    mark = next(((len(m), name) for m, name in _MARKS if head.startswith(m)), (0, ""))
    if named is not None:
        try:
            name = codecs.lookup(named).name
        except LookupError:
            remedy = "write for example utf-8, cp1252, mac-roman or utf-16-le"
            raise LogError.of("--encoding", "is not an encoding known here.", remedy, named) from None
        return Encoding(name, mark[0], "as you said")
    if mark[0]:
        return Encoding(mark[1], mark[0], "byte order mark")
    for name, first in (("utf-16-le", 1), ("utf-16-be", 0)):
        zeros, letters = head[first:2000:2], head[1 - first : 2000 : 2]
        if zeros.count(0) > 0.4 * max(len(zeros), 1) and letters.count(0) < 0.1 * max(len(letters), 1):
            return Encoding(name, 0, "every other byte is zero")
    if all(_is_utf8(sample) for sample in samples):
        plain = all(sample.isascii() for sample in samples)
        return Encoding("utf-8", 0, "plain ASCII as far as looked at" if plain else "valid UTF-8")
    return _single_byte(b"\n".join(samples))


def _is_utf8(sample: bytes) -> bool:
    """True where a sample is UTF-8, but for a character cut at its ends."""
    for cut in range(4):
        decoder = codecs.getincrementaldecoder("utf-8")()
        try:
            decoder.decode(sample[cut:])
        except UnicodeDecodeError:
            if cut == 0 and sample[:1].isascii():
                return False
            continue
        return True
    return False


def _single_byte(text: bytes) -> Encoding:
    """The single-byte encoding whose reading has the signs and letters one expects."""
    high = [line for line in text.splitlines() if not line.isascii()]
    sample = b"\n".join(sorted(set(high), key=high.index)[:200])
    best, name = 0.0, ""
    for candidate in _SINGLE:
        try:
            decoded = sample.decode(candidate)
        except UnicodeDecodeError:
            continue
        score = _score(decoded, candidate)
        if score > best:
            best, name = score, candidate
    if name:
        return Encoding(name, 0, "its reading has the signs and letters of units and names")
    from charset_normalizer import from_bytes

    guess = from_bytes(sample, cp_isolation=["cp1252", "latin_1"]).best()
    return Encoding(guess.encoding if guess else "latin_1", 0, "a guess: no letter settles it")


def _score(text: str, candidate: str) -> float:
    """How much of what is not ASCII looks like units, names and marks of thousands, in -1 to 1."""
    groups = len(_GROUP_BLANK.findall(text))
    broken = len(_LETTER_IN_NUMBER.findall(text))
    strange = [letter for letter in text if not letter.isascii()]
    letters = _SIGNS | _LETTERS
    if candidate == "cp1250":
        letters = _SIGNS | _EASTERN
    elif candidate == "cp1251":
        letters = _SIGNS | {letter for letter in strange if "А" <= letter <= "я"}
    elif candidate == "shift_jis":
        letters = _SIGNS | {letter for letter in strange if "぀" <= letter <= "鿿"}
    good = sum((letter in letters) + (letter in _SIGNS) for letter in strange) + 2 * groups - broken
    bad = sum(letter not in letters for letter in strange) - groups + broken
    prior = 0.02 * _SINGLE.index(candidate)
    return (good - 2 * bad) / max(len(strange), 1) - prior


def decode_line(line: bytes, encoding: Encoding) -> str:
    """One line as text: UTF-8 where it is that, else the file's encoding; files glued together may have both."""
    try:
        return line.decode("utf-8")
    except UnicodeDecodeError:
        return line.decode(encoding.name if encoding.name != "utf-8" else "cp1252", errors="replace")


def mend_twice_encoded(text: str) -> str:
    """The text meant where UTF-8 was read as single bytes and written as UTF-8 again; the text itself elsewhere."""
    if not any(letter in text for letter in "ÂÃâ"):
        return text
    for codec in ("cp1252", "latin_1"):
        try:
            return text.encode(codec).decode("utf-8")
        except (UnicodeEncodeError, UnicodeDecodeError):
            continue
    return text
