"""The page of the veteran's questions shows what its commands print today."""

from __future__ import annotations

import re

import pytest

from tools import answer_the_veteran as made

NUMBER = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?(?:e-?\d+)?")


def test_page_is_what_the_commands_print() -> None:
    """Words exactly, numbers within 1 % or one in the last digit."""
    written, fresh = made.PAGE.read_text(encoding="utf-8"), made.page()
    assert NUMBER.sub("#", written) == NUMBER.sub("#", fresh), "run tools/answer_the_veteran.py"
    for old, new in zip(NUMBER.findall(written), NUMBER.findall(fresh), strict=True):
        last = 10.0 ** -len(old.partition(".")[2]) if "e" not in old else 0.0
        assert float(new) == pytest.approx(float(old), rel=0.01, abs=1.01 * last)


def test_commands_on_the_page_are_commands() -> None:
    commands = re.findall(r"^    (boostwright .*)$", made.PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    assert len(commands) >= 10
    assert all(command.startswith("boostwright predict examples/") for command in commands)
