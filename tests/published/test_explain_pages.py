"""Every explanation says what it stands on: equations, sources, ranges, limits, a picture; and its sums are run."""

from __future__ import annotations

import doctest
import re
from pathlib import Path

import pytest

from boostwright.proof.runner import load_relations
from tools.draw_explain import NO_POINTS, caption_of
from tools.explain.block import BEGIN, END, block
from tools.explain.pages import PAGES, Page, relations_of_page
from tools.explain.sheet import Sheet, cases_of

DOCS = Path(__file__).parents[2] / "docs"
FILES = sorted((DOCS / "explain").glob("*.md"))
PROGRAM = {
    "derived-channels",
    "digitiser",
    "log-import",
    "log-time",
    "made-logs",
    "pulls",
    "screen-safety",
    "screen-walk",
    "sensor-checks",
}
"""Pages that explain the program and no model of the physics: they stand on no relation."""
WITH_SUMS = [path for path in FILES if ">>>" in path.read_text(encoding="utf-8")]
EQUATION = re.compile(r"^ {4}(?!>>>|\.\.\.).*\S\s+[=~]\s+\S", re.MULTILINE)
LIMITS = re.compile(r"^## What (this|it) (page )?cannot do$|^## What .*(cannot|can not).*$", re.MULTILINE)
PICTURE = re.compile(r"!\[[^\]]+\]\(\.\./pictures/([\w.-]+)\)")

every_page = pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)


def what_is_missing(text: str) -> list[str]:
    """Parts that a page on a model must have and this text has not."""
    missing = []
    own = text.split(BEGIN)[0]
    if not EQUATION.search(own):
        missing.append("equations: an indented line with =")
    limits = LIMITS.search(own)
    if not limits or own[limits.end() :].count("\n- ") < 3:
        missing.append("limits: a section 'What this cannot do' with three points at least")
    made = text.partition(BEGIN)[2].partition(END)[0]
    if "## Source and range" not in made or made.count("\n| `") < 1:
        missing.append("sources and ranges: a table of its relations")
    if not PICTURE.search(made):
        missing.append("a picture")
    if "marks were" not in made and "Points were read" not in made and NO_POINTS not in made:
        missing.append("what the picture's points are, or that there are none")
    return missing


def text_of(page: Page) -> str:
    return (DOCS / "explain" / f"{page.name}.md").read_text(encoding="utf-8")


def test_every_page_is_known_and_every_known_page_is_there() -> None:
    assert {path.stem for path in FILES} - PROGRAM == {page.name for page in PAGES}
    assert {path.stem for path in FILES} >= PROGRAM


def test_every_relation_of_the_physics_is_on_a_page() -> None:
    named = {name for page in PAGES for name in relations_of_page(page)}
    assert named == set(load_relations())


@every_page
def test_page_has_all_its_parts(page: Page) -> None:
    assert what_is_missing(text_of(page)) == []


@every_page
def test_picture_is_there(page: Page) -> None:
    pictures = PICTURE.findall(text_of(page))
    assert page.file in pictures
    assert all((DOCS / "pictures" / name).is_file() for name in pictures)


@every_page
def test_made_part_is_up_to_date(page: Page) -> None:
    """Draws every picture; the table and what the points are must be what the code says now."""
    made = text_of(page).partition(BEGIN)[2].partition(END)[0].strip("\n")
    assert made == block(page, caption_of(page)), "run `make pictures`"


@pytest.mark.parametrize(
    ("part", "gone"),
    [
        ("equations", lambda text: EQUATION.sub("    nothing", text)),
        ("limits", lambda text: text.replace("## What this cannot do", "## More")),
        ("sources", lambda text: text.replace("| `", "| ")),
        ("picture", lambda text: text.replace("../pictures/", "")),
        ("points", lambda text: text.replace(NO_POINTS, "")),
    ],
)
def test_a_page_that_lacks_a_part_is_caught(part: str, gone) -> None:  # type: ignore[no-untyped-def]
    page = text_of(next(page for page in PAGES if page.name == "knock"))
    assert any(part in words for words in what_is_missing(gone(page)))


def test_a_value_of_our_own_formula_is_never_drawn_as_a_point() -> None:
    own = cases_of("cylinder.knock.ignition_delay_douaud_eyzat", "own formula")
    sheet = Sheet()
    sheet.case_points(0, own, lambda case: 0.0)
    assert own
    assert not sheet.axes[0].lines
    assert NO_POINTS in sheet.caption


def test_there_are_pages_with_sums() -> None:
    assert len(WITH_SUMS) >= 4


@pytest.mark.parametrize("page", WITH_SUMS, ids=lambda page: page.stem)
def test_sums_of_the_page(page: Path) -> None:
    result = doctest.testfile(str(page), module_relative=False, encoding="utf-8")
    assert result.attempted > 0
    assert result.failed == 0
