"""The tutorials show what the program prints: every command is run again, in order, in an empty folder."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[2]))
from tools import make_tutorials

NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
SHARE = (
    0.02  # a table rounded down to 1 kPa moves by one where another processor rounds the 16th digit otherwise
)


def words_and_numbers(text: str) -> tuple[list[str], list[str]]:
    """The text without its numbers, word by word, and the numbers."""
    words = NUMBER.sub("#", text).split()
    return [word for word in words if not re.fullmatch("-{2,}", word)], NUMBER.findall(text)


def near(shown: str, printed: str) -> bool:
    """Whether two printed numbers are the same but for rounding: one in the last place, or two per cent."""
    place = 10.0 ** -len(shown.partition(".")[2])
    return abs(float(shown) - float(printed)) <= max(1.01 * place, SHARE * abs(float(shown)))


@pytest.mark.parametrize("page", make_tutorials.pages(), ids=lambda page: page.stem)
def test_page_shows_what_is_printed(page: Path, tmp_path: Path) -> None:
    text = page.read_text(encoding="utf-8")
    words, numbers = words_and_numbers(text)
    again, today = words_and_numbers(make_tutorials.filled(text, tmp_path))
    assert again == words
    off = [(a, b) for a, b in zip(numbers, today, strict=True) if not near(a, b)]
    assert not off


def test_every_journey_has_its_page() -> None:
    names = " ".join(page.stem for page in make_tutorials.pages())
    for subject in ("sizing", "what-if", "torque-cap", "altitude"):
        assert subject in names


def test_a_number_that_moved_is_seen() -> None:
    assert near("154", "155")
    assert not near("154", "158")
    assert not near("0.0", "0.3")
