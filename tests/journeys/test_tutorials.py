"""The tutorials show what the program prints: every command is run again, in order, in an empty folder."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[2]))
from tools import make_tutorials


@pytest.mark.parametrize("page", make_tutorials.pages(), ids=lambda page: page.stem)
def test_page_shows_what_is_printed(page: Path, tmp_path: Path) -> None:
    text = page.read_text(encoding="utf-8")
    assert make_tutorials.filled(text, tmp_path) == text


def test_every_journey_has_its_page() -> None:
    names = " ".join(page.stem for page in make_tutorials.pages())
    for subject in ("sizing", "what-if", "torque-cap", "altitude"):
        assert subject in names
