"""The sums printed in the explanations are run, so that no page can say what the program no longer does."""

from __future__ import annotations

import doctest
from pathlib import Path

import pytest

PAGES = sorted((Path(__file__).parents[2] / "docs" / "explain").glob("*.md"))
WITH_SUMS = [page for page in PAGES if ">>>" in page.read_text(encoding="utf-8")]


def test_there_are_pages_with_sums() -> None:
    assert len(WITH_SUMS) >= 4


@pytest.mark.parametrize("page", WITH_SUMS, ids=lambda page: page.stem)
def test_sums_of_the_page(page: Path) -> None:
    result = doctest.testfile(str(page), module_relative=False, encoding="utf-8")
    assert result.attempted > 0
    assert result.failed == 0
