"""Ordinary builds and both examples beside the bands of the trade: what was computed must hold, the rest is shown."""

from __future__ import annotations

import re

import numpy as np
import pytest

from tools import levels as made
from tools.level_bands import BANDS

DECIDES = ("read", "computed")
NUMBER = re.compile(r"-?\d+(\.\d+)?")


@pytest.fixture(scope="module")
def ordinary() -> list[made.Level]:
    return made.sweep(30, seed=11)


@pytest.fixture(scope="module")
def known() -> list[made.Level]:
    return made.examples()


@pytest.mark.parametrize("band", [b for b in BANDS if b.status in DECIDES], ids=lambda band: band.name)
def test_what_was_computed_holds(
    band: made.Band, ordinary: list[made.Level], known: list[made.Level]
) -> None:
    values = made.together([*ordinary, *known], band)
    assert values.size > 100
    assert values.min() >= band.low
    assert values.max() <= band.high


@pytest.mark.parametrize("band", [b for b in BANDS if b.status not in DECIDES], ids=lambda band: band.name)
def test_no_band_lies_a_world_away(
    band: made.Band, ordinary: list[made.Level], known: list[made.Level]
) -> None:
    """A band from memory decides nothing; but the middle of all points lies within half and twice its ends."""
    values = made.together([*ordinary, *known], band)
    assert values.size
    assert 0.5 * band.low <= np.median(values) <= 2.0 * band.high


def test_solved_points_are_cycles_that_exist(ordinary: list[made.Level], known: list[made.Level]) -> None:
    """The table inside the solver against a direct run of the cycle at each point: the table's own worst errors."""
    for one in (*ordinary, *known):
        there = ~one.flagged & np.isfinite(one.opening)
        assert np.abs(one.opening[there]).max(initial=0.0) < 2.5
        assert np.abs(one.peak[there]).max(initial=0.0) < 0.016


def test_ordinary_builds_are_solved(ordinary: list[made.Level]) -> None:
    solved = np.concatenate([np.isfinite(one.opening) for one in ordinary])
    assert solved.size >= 300
    assert solved.mean() > 0.97


def test_the_page_is_what_the_tool_writes(ordinary: list[made.Level]) -> None:
    """The numbers are left out: the page takes more builds than a test should."""
    written = made.PAGE.read_text(encoding="utf-8")
    rows = [line for line in written.splitlines() if line.startswith("| ")][1:]
    assert [row.split(" | ")[0].removeprefix("| ") for row in rows] == [band.words for band in BANDS]
    for row, band in zip(rows, BANDS, strict=True):
        assert f"| {band.low:g} to {band.high:g} | {band.status} |" in row
        assert NUMBER.search(row.split(" | ")[4]), "run tools/levels.py"
    assert made.QUESTIONS.strip() in written
