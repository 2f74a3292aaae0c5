"""Sheets on paper: one A4 page of real text in black, white and grey, with the numbers of the plan on it."""

from __future__ import annotations

import io
import json
import re
from functools import cache

import numpy as np
import pypdf
import pytest
from green_build import ESTATE, GREEN
from pypdf.generic import ContentStream
from small_plan import small_plan

from boostwright.build import read_build
from boostwright.report.sheets.dyno_page import dyno_card_document, dyno_card_page
from boostwright.report.sheets.go_no_go_page import go_no_go_document, go_no_go_page
from boostwright.report.sheets.numbers import cell
from boostwright.report.sheets.order_page import order_sheet_document, order_sheet_page
from boostwright.report.sheets.page import Column, Page, Pairs, Prose, Table
from boostwright.report.sheets.page_pdf import page_pdf
from boostwright.report.sheets.page_text import page_text
from boostwright.tasks.sheets.answer import GoNoGo
from boostwright.tasks.sheets.dyno_card import DynoCard, dyno_card_of
from boostwright.tasks.sheets.facts import facts_of
from boostwright.tasks.sheets.go_no_go import judged
from boostwright.tasks.sheets.order_sheet import Guess, OrderSheet, order_sheet_of

A4 = (595.2756, 841.8898)  # points: 210 mm x 297 mm
SHEETS = ("dyno", "order", "go", "go, nothing answered")


@cache
def dyno() -> DynoCard:
    return dyno_card_of(*small_plan())


@cache
def order() -> OrderSheet:
    guess = Guess(
        "turbine.choked_flow", "0.0250 +- 10 %", "40 % of threshold", "measure exhaust pressure at full load"
    )
    return order_sheet_of(*small_plan(), (guess,) * 9)


@cache
def sheet(empty: bool) -> GoNoGo:
    build = read_build(ESTATE, GREEN)
    if empty:
        sections = ("oil", "coolant", "hoses", "fail_safes", "sensors", "clearance", "dyno")
        keys = [
            f"{name}.{key}" for name in sections for key in build[name].values if build[name].written(key)
        ]
        build = read_build(ESTATE, [*GREEN, *(f"{key}=" for key in keys)])
    return judged(facts_of(build, speeds=small_plan()[1].speeds[::3]))


@cache
def page(name: str) -> Page:
    if name == "dyno":
        return dyno_card_page(dyno())
    if name == "order":
        return order_sheet_page(order())
    return go_no_go_page(sheet(name != "go"))


@cache
def printed(name: str) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(page_pdf(page(name))))


def squeezed(text: str) -> str:
    return re.sub(r"\s+", "", text)


@pytest.mark.parametrize("name", SHEETS)
def test_a_sheet_is_one_a4_page(name: str) -> None:
    assert len(printed(name).pages) == 1
    box = printed(name).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(A4, abs=0.01)


@pytest.mark.parametrize("name", SHEETS)
def test_its_text_is_text_and_all_of_it_is_there(name: str) -> None:
    text = squeezed(printed(name).pages[0].extract_text())
    shown = page(name)
    assert squeezed(shown.title) in text
    for caution in shown.cautions:
        assert squeezed(caution) in text
    for block in shown.blocks:
        if isinstance(block, Table | Pairs):
            wanted = [part for row in block.rows for part in row]
        elif isinstance(block, Prose):
            wanted = list(block.lines)
        else:
            wanted = [part for row in block.rows for part in (row.mark, row.question, row.figure, row.mend)]
        missing = [part for part in wanted if squeezed(part) not in text]
        assert not missing


@pytest.mark.parametrize("name", SHEETS)
def test_it_reads_in_grey(name: str) -> None:
    """Every colour set on the page is a grey: one number, or three that are equal."""
    reader = printed(name)
    content = ContentStream(reader.pages[0].get_contents(), reader)
    colours = [
        [float(number) for number in operands if not isinstance(number, str)]
        for operands, operator in content.operations
        if operator in (b"g", b"G", b"rg", b"RG", b"k", b"K", b"sc", b"SC", b"scn", b"SCN")
    ]
    assert colours
    for colour in colours:
        assert len(colour) in (1, 3)
        assert max(colour) - min(colour) < 1e-6


def test_the_smallest_type_can_be_read() -> None:
    """A sheet on which nothing is answered is the longest, and still wants no smaller type than 6.5 pt."""
    from boostwright.report.sheets.page_pdf import SIZES

    assert min(SIZES) >= 6.5


def test_the_same_sheet_gives_the_same_bytes() -> None:
    assert page_pdf(page("dyno")) == page_pdf(page("dyno"))


@pytest.mark.parametrize("words", ["*bold* _x_ #let y = 1", "$a$ <b> @c \\ [d] // e", "degC ≥ – ²"])
def test_words_are_printed_as_they_are(words: str) -> None:
    shown = Page(
        "Title", "Build", (words,), (Prose("Head", (words,)), Pairs("Pairs", ((words, words),))), (words,)
    )
    text = squeezed(pypdf.PdfReader(io.BytesIO(page_pdf(shown))).pages[0].extract_text())
    assert text.count(squeezed(words)) >= 5


def test_a_sheet_that_is_too_long_runs_over_and_loses_nothing() -> None:
    rows = tuple((f"row {number}",) for number in range(200))
    shown = Page("Long", "Build", (), (Table("", (Column("a", left=True),), rows),))
    reader = pypdf.PdfReader(io.BytesIO(page_pdf(shown)))
    text = "".join(squeezed(found.extract_text()) for found in reader.pages)
    assert len(reader.pages) > 1
    assert all(f"row{number}" in text for number in range(200))


def test_the_table_on_the_card_is_the_plans() -> None:
    build, plan = small_plan()
    table = next(block for block in page("dyno").blocks if isinstance(block, Table))
    headings = [column.heading for column in table.columns]
    absolute = [row[headings.index("table")] for row in table.rows]
    gauge = [row[headings.index("gauge")] for row in table.rows]
    assert absolute == [cell(value / 1e3, 0) for value in plan.target]
    assert gauge == [cell((value - plan.pressure_amb) / 1e3, 0) for value in plan.target]
    assert absolute[0] == "-"
    assert len(table.rows) == plan.speeds.size
    assert "at wheels" not in headings, "no driveline in the build"
    assert plan.name == build.name


def test_json_holds_the_same_numbers_in_si() -> None:
    _, plan = small_plan()
    document = json.loads(json.dumps(dyno_card_document(dyno()), allow_nan=False))
    got = np.array([np.nan if value is None else value for value in document["target"]])
    np.testing.assert_array_equal(got, plan.target)
    assert document["engine_speed"] == plan.speeds.tolist()
    assert {stop["quantity"] for stop in document["stops"]} >= {
        "knock", "pressure_im", "lambda_error", "egt_reading", "shaft_speed", "injector_pressure_difference",
        "oil_pressure",
    }  # fmt: skip
    assert json.loads(json.dumps(order_sheet_document(order()), allow_nan=False))["ranked"] is True
    lines = json.loads(json.dumps(go_no_go_document(sheet(True)), allow_nan=False))["lines"]
    assert len(lines) == len(sheet(True).lines)
    assert any(line["verdict"] == "not answered" and not line["go"] for line in lines)


@pytest.mark.parametrize("name", SHEETS)
@pytest.mark.parametrize("width", [60, 100, 200])
def test_the_terminal_shows_it_within_its_width(name: str, width: int) -> None:
    text = page_text(page(name), width)
    assert text.endswith("\n")
    assert max(len(line) for line in text.splitlines()) <= width
    assert page(name).title in text


def test_a_red_line_says_what_was_wanted() -> None:
    build = read_build(ESTATE, [*GREEN, "oil.drain_angle=5 deg"])
    red = go_no_go_page(judged(facts_of(build, speeds=small_plan()[1].speeds[::4])))
    text = page_text(red, 100)
    assert "NO GO" in red.verdict
    assert "[STOP] Does the drain fall all the way?" in text
    assert "wanted: 30 deg" in " ".join(text.split())


def test_an_unranked_list_of_guesses_is_not_called_ranked() -> None:
    bare = order_sheet_page(order_sheet_of(*small_plan()))
    headings = [block.heading for block in bare.blocks]
    assert "Guesses nobody has confirmed" in headings
    assert "To know first" not in page_text(bare, 100)
    assert "The guesses that matter, ranked" in [block.heading for block in page("order").blocks]


def test_the_pocket_card_holds_a_table_for_every_barometer() -> None:
    from boostwright.report.sheets.pocket_page import pocket_card_document, pocket_card_page
    from boostwright.tasks.sheets.pocket_card import pocket_card_of

    build, plan = small_plan()
    card = pocket_card_of(build, plan)
    shown = pocket_card_page(card)
    tables = [block for block in shown.blocks if isinstance(block, Table)]
    assert len(tables) == 2
    assert len(tables[0].rows) == len(card.rows) == len(tables[1].columns) - 1
    assert len(tables[1].rows) == plan.speeds.size
    assert tables[1].rows[3][1] == cell(float(card.rows[0].target[3]) / 1e3, 0)
    reader = pypdf.PdfReader(io.BytesIO(page_pdf(shown)))
    assert len(reader.pages) == 1
    document = json.loads(json.dumps(pocket_card_document(card), allow_nan=False))
    assert [row["pressure_amb"] for row in document["rows"]] == [row.pressure_amb for row in card.rows]
