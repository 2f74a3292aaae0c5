"""Three jobs done from start to end on the screen alone, by role and label: a first sizing, a what-if, a torque cap.

Each counts the screens visited, the values asked for and the presses; the figures stand in docs/explain/screen-walk.md,
and what a job needs on the screen must not grow unseen.
"""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Any

import pytest
from screen import Walk, rows_of, settled

PAGE = Path(__file__).parents[3] / "docs" / "explain" / "screen-walk.md"
WRITE = "BOOSTWRIGHT_WRITE_WALKS"
KNOWN_TORQUE = {
    2500: 192.0,
    3500: 201.0,
    4500: 203.0,
    5500: 184.0,
}  # Nm, of the estate's engine before; invented
HOUSINGS = ("0.020", "0.025", "0.030")


@pytest.fixture
def walk(page: Any) -> Walk:
    """A user in front of the first page."""
    page.set_default_timeout(20_000)
    settled(page, 90.0)
    return Walk(page, "Curves")


def noted(name: str, walk: Walk) -> None:
    """Hold what a job took against the page that says so; with the variable set, write it there."""
    text = PAGE.read_text(encoding="utf-8")
    line = f"| {name} | {walk.figures().replace(', ', ' | ')} |"
    pattern = re.compile(rf"(?m)^\| {re.escape(name)} \|.*$")
    assert pattern.search(text), f"{PAGE.name} has no line for {name}"
    if os.environ.get(WRITE):
        PAGE.write_text(pattern.sub(line, text), encoding="utf-8")
    else:
        assert line in text, f"{PAGE.name} says otherwise than {line}; run with {WRITE}=1"


def number(text: str) -> float:
    """The first number of a cell."""
    found = re.search(r"-?\d+(?:\.\d+)?", text.replace("\u2212", "-"))
    assert found, text
    return float(found.group())


def column(row: dict[str, str], name: str) -> float:
    """A figure of a row by the beginning of its heading."""
    return number(next(text for head, text in row.items() if head.startswith(name)))


def curve(walk: Walk, title: str, heading: str) -> dict[int, float]:
    """A curve as its table for those who do not see it says: engine speed -> value."""
    figure = walk.page.get_by_role("figure", name=title)
    table = figure.get_by_role("table")
    if not table.count():
        figure.get_by_text("Table", exact=True).click()
    rows = rows_of(table)
    return {round(number(row[next(iter(row))])): column(row, heading) for row in rows}


def test_first_sizing(walk: Walk) -> None:
    page = walk.page
    walk.part("Engine")
    for label, text in (
        ("Engine bore", "83 mm"),
        ("Stroke", "92 mm"),
        ("Compression ratio", "9.0"),
        ("Speed limit", "6800 rpm"),
    ):
        walk.enter(label, text)
    without_turbo(walk)
    walk.part("Limits")
    walk.enter("Torque", "390 Nm")
    walk.choose("Torque basis", "crank")
    walk.go("What-if")
    asked = page.get_by_role("complementary", name="What is tried")
    walk.tick("what I pick here")
    key = asked.get_by_role("combobox", name="Value to vary")
    key.fill("turbine.choked_flow")
    key.press("Enter")
    walk.inputs.append("Value to vary")
    walk.enter("Values of Turbine: choked flow", ", ".join(HOUSINGS), inside=asked)
    walk.choose("Part cards to try", "compressor", inside=asked)
    for card in ("estate-112mm", "invented-67mm-trim-55"):
        walk.tick(card, inside=asked)
    walk.press("Run", inside=asked)
    table = page.get_by_role("region", name="Ranked by").get_by_role("table")
    table.wait_for(timeout=120_000)
    rows = [row for row in rows_of(table) if "as it stands" not in row["case"]]
    assert len(rows) == 6
    for card in ("estate-112mm", "invented-67mm-trim-55"):
        sizes = [
            next(row for row in rows if card in row["case"] and size.rstrip("0") in row["case"])
            for size in HOUSINGS
        ]
        thresholds = [column(row, "threshold") for row in sizes]
        ratios = [column(row, "drive ratio") for row in sizes]
        assert thresholds == sorted(thresholds)
        assert ratios == sorted(ratios, reverse=True)
        assert all(column(row, "surge margin") > 0 and column(row, "choke margin") > 0 for row in sizes)
    page.get_by_role("button", name=re.compile(r"^Take .*0\.03 .*estate-112mm")).first.click()
    walk.presses.append("take")
    walk.go("Curves")
    walk.part("Turbine")
    assert walk.fields.get_by_role("textbox", name="Choked flow").input_value().startswith("0.03")
    walk.press("Save to build.toml")
    page.get_by_text("Saved to build.toml.").wait_for()
    walk.go("Sheets")
    walk.press("Fill in the sheets")
    sheet = page.get_by_role("article", name="Order sheet")
    sheet.wait_for(timeout=180_000)
    words = sheet.inner_text()
    assert "choked flow 0.03" in words
    assert "The guesses that matter" in words
    noted("First sizing", walk)


def without_turbo(walk: Walk) -> None:
    """The engine alone gives the torque its owner knows, within five per cent."""
    walk.part("Plan")
    walk.fields.get_by_role("heading", name="Prediction").click()
    walk.choose("Mode", "no turbo")
    settled(walk.page)
    torque = curve(walk, "Torque and power", "torque")
    for speed, known in KNOWN_TORQUE.items():
        assert torque[speed] == pytest.approx(known, rel=0.05)
    walk.choose("Mode", "target")
    settled(walk.page)
    assert max(curve(walk, "Torque and power", "torque").values()) > 300.0
