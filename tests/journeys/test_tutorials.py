"""The tutorials show what the program prints: every command is run again, in order, in an empty folder.

In one process, by what the installed command calls; that each runs in a process of its own too is held by
``test_tutorial_commands.py``, and for every command by the tools that make the pages.
"""

from __future__ import annotations

import contextlib
import re
import shlex
import sys
import warnings
from pathlib import Path

import pytest

from boostwright.cli.main import main

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


@pytest.fixture
def in_this_process(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """Commands of the pages run without a start of Python each."""

    def run(command: str, folder: Path) -> str:
        words = shlex.split(command)
        assert words[0] == "boostwright"
        with contextlib.chdir(folder), warnings.catch_warnings():
            warnings.simplefilter("default")  # as they are outside of a test
            code = main(words[1:])
        output, errors = capsys.readouterr()
        assert code != 4, f"{command}\n{errors}"
        assert "Traceback" not in errors
        return make_tutorials.said(output, errors)

    monkeypatch.setenv("COLUMNS", make_tutorials.COLUMNS)
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("MPLBACKEND", "Agg")
    monkeypatch.setattr(make_tutorials, "run", run)


@pytest.mark.parametrize("page", make_tutorials.pages(), ids=lambda page: page.stem)
@pytest.mark.usefixtures("in_this_process")
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
