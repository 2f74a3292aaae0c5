"""The page of the three housings shows what the program answers today."""

from __future__ import annotations

import re

import pytest

from tools import which_housing as made

NUMBER = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?")


def test_page_is_what_the_program_answers() -> None:
    """Words exactly, numbers within 1 % or one in the last digit."""
    written, fresh = made.PAGE.read_text(encoding="utf-8"), made.page()
    assert NUMBER.sub("#", written) == NUMBER.sub("#", fresh), "run tools/which_housing.py"
    for old, new in zip(NUMBER.findall(written), NUMBER.findall(fresh), strict=True):
        last = 10.0 ** -len(old.partition(".")[2])
        assert float(new) == pytest.approx(float(old), rel=0.01, abs=1.01 * last)


def test_page_says_that_it_is_unproven_and_shows_a_picture_that_is_there() -> None:
    text = made.PAGE.read_text(encoding="utf-8")
    assert "**Unproven.**" in text
    assert "UNPROVEN" in text
    assert f"../pictures/{made.PICTURE.name}" in text
    assert made.PICTURE.read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"
