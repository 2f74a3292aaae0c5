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
from screen import Walk, exactly, rows_of, settled

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
    settled(page, 300.0)
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


def in_hand(walk: Walk) -> dict[str, float]:
    """The figures of the case in hand, beside those that are held."""
    settled(walk.page)
    return {row["Figure"]: number(row[next(head for head in row if head.startswith("In hand"))])
            for row in walk.table("Table of cases") if row["Figure"] in FIGURES}  # fmt: skip


FIGURES = (
    "Most torque",
    "Most power",
    "Threshold (lower bound)",
    "Drive-pressure ratio at most power, absolute",
)
ONE_AT_A_TIME = (
    ("Turbine", "Choked flow", "0.020 kg/s*sqrt(K)/kPa", {"Threshold": -1, "Drive-pressure ratio": +1}),
    ("Wastegate", "Valve diameter", "25 mm", {}),
    ("Wastegate", "Spring rating", "0.50 bar gauge", {}),
    ("Exhaust", "Pressure drop", "24 kPa", {"Threshold": +1, "Most power": -1}),
)
"""Part, field, text -> which way a figure must move."""


def test_what_if(walk: Walk) -> None:
    page = walk.page
    walk.press("Hold this case")
    as_it_stands = in_hand(walk)
    for part, label, text, moves in ONE_AT_A_TIME:
        walk.part(part)
        walk.enter(label, text)
        now = in_hand(walk)
        for figure, sign in moves.items():
            name = next(one for one in FIGURES if one.startswith(figure))
            assert (now[name] - as_it_stands[name]) * sign > 0, (label, name)
        walk.fields.get_by_role("button", name=f"Take back the change of {label}").click()
        walk.presses.append("take back")
    assert in_hand(walk) == as_it_stands
    walk.part("Wastegate")  # the gate that is there: a small one, which lets boost creep
    walk.enter("Valve diameter", "30 mm")
    walk.enter("Branch bore", "30 mm")
    walk.go("What-if")
    tornado(walk)
    walk.tick("every combination, ranked")
    walk.press("Run", inside=page.get_by_role("complementary", name="What is tried"))
    cure = page.get_by_role("listitem").filter(has_text="creep floor above the boost that must be held")
    cure.get_by_text("50 mm gate").first.wait_for(timeout=120_000)
    assert "290 EUR" in cure.inner_text()
    cure.get_by_role("button", name="Take 50 mm gate").click()
    walk.presses.append("take")
    walk.go("Curves")
    walk.part("Wastegate")
    assert walk.fields.get_by_role("textbox", name=exactly("Valve diameter")).input_value() == "50 mm"
    walk.press("Save to build.toml")
    page.get_by_text("Saved to build.toml.").wait_for()
    noted("What-if", walk)


def tornado(walk: Walk) -> None:
    """One key at a time: which of them moves the threshold, and by how much."""
    walk.tick("one key at a time (tornado)")
    walk.press("Run", inside=walk.page.get_by_role("complementary", name="What is tried"))
    found = walk.page.get_by_role("region", name="One key at a time")
    found.wait_for(timeout=120_000)
    found.get_by_role("combobox", name="Figure").select_option(label="threshold")
    walk.inputs.append("Figure")
    figure = found.get_by_role("figure", name="What moves the threshold")
    rows = {row[next(iter(row))]: row for row in rows_of(figure.get_by_role("table"))}
    housing = next(row for key, row in rows.items() if key.startswith("turbine.choked_flow"))
    assert column(housing, "at the low end") < column(housing, "at the high end")
    assert next(iter(rows)).startswith("turbine.choked_flow"), "the housing moves the threshold most"


def test_torque_cap(walk: Walk) -> None:
    page = walk.page
    walk.part("Limits")
    walk.enter("Torque", "380 Nm")
    walk.choose("Torque basis", "wheel")
    walk.fields.get_by_role("alert").filter(has_text="driveline").first.wait_for()
    walk.choose("Torque basis", "crank")
    settled(page)
    assert not walk.fields.get_by_role("alert").filter(has_text="driveline").count()
    walk.part("Rods")
    walk.enter("Believed torque", "420 Nm")
    walk.enter("Piston mass", "310 g")
    walk.enter("Rod mass", "0.55 kg")
    walk.go("Plan")
    asked = page.get_by_role("complementary", name="What the plan must keep")
    walk.enter("Spike", "7 %", inside=asked)
    walk.press("Plan", inside=asked)
    page.get_by_role("button", name="Use this target").wait_for(timeout=180_000)
    rows = walk.table("The table, speed by speed")
    assert max(column(row, "torque") for row in rows) < 380.0
    for row in rows:
        assert column(row, "target kPa absolute") <= column(row, "ceiling")
        assert 0.0 <= column(row, "base duty") <= 100.0
    walk.press("Use this target")
    walk.press("Save to build.toml")
    page.get_by_text("Saved to build.toml.").wait_for()
    walk.go("Curves")
    torque = curve(walk, "Torque and power", "torque")
    assert max(torque.values()) < 380.0
    walk.go("Sheets")
    walk.tick("Dyno card")
    walk.press("Fill in the sheets")
    sheet = page.get_by_role("article", name="Dyno card")
    sheet.wait_for(timeout=180_000)
    assert "stop" in sheet.inner_text().lower()
    noted("Torque cap", walk)
