"""The page that defends the examples' numbers shows what the program answers today."""

from __future__ import annotations

import re

import numpy as np
import pytest

from tools import is_this_believable as made
from tools.level_bands import BANDS

NUMBER = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?")


def test_page_is_what_the_program_answers() -> None:
    """Words exactly, numbers within 1 % or two in the last digit."""
    written, fresh = made.PAGE.read_text(encoding="utf-8"), made.page()
    assert NUMBER.sub("#", written) == NUMBER.sub("#", fresh), "run tools/is_this_believable.py"
    for old, new in zip(NUMBER.findall(written), NUMBER.findall(fresh), strict=True):
        last = 10.0 ** -len(old.partition(".")[2])
        assert float(new) == pytest.approx(float(old), rel=0.01, abs=2.01 * last)


@pytest.mark.parametrize("example", [made.ESTATE, made.THREE])
def test_no_example_leaves_a_band_that_was_read_or_computed(example: str) -> None:
    for run in made.RUNS.values():
        found = made.measured(example, run)
        for band in BANDS:
            if band.status not in ("read", "computed"):
                continue
            values = found[band.name][np.isfinite(found[band.name])]
            assert ((values >= band.low) & (values <= band.high)).all(), band.name
