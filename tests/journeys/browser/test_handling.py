"""By keyboard alone, on a phone's width, in units of one's own; curves and tables taken away; pages printed."""

from __future__ import annotations

import csv
import io
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pypdf
import pytest
from page_layout import badly_drawn
from screen import Walk, exactly, go, settled, use_theme
from served import Served

HOUSING = re.compile(r"^Choked flow.*, drag$")
SEEN_BY_TAB = """() => {
  const list = window.tabbed = new Set();
  addEventListener('focusin', (event) => list.add(event.target), true);
}"""
UNREACHED = """() => {
  const can = 'a[href], button, input, select, textarea, summary, [tabindex="0"]';
  const groups = new Set([...window.tabbed].filter((one) => one.type === 'radio').map((one) => one.name));
  return [...document.querySelectorAll(can)].filter((one) => one.checkVisibility({ visibilityProperty: true })
    && !one.disabled && one.tabIndex >= 0 && !window.tabbed.has(one)
    && !(one.type === 'radio' && groups.has(one.name)))
    .map((one) => one.ariaLabel || one.innerText || one.name || one.tagName);
}"""
FOCUS = """() => {
  const one = document.activeElement, style = getComputedStyle(one), box = one.getBoundingClientRect();
  const ring = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 1 || style.boxShadow !== 'none';
  const x = Math.min(Math.max(box.left + box.width / 2, 0), innerWidth - 1);
  const y = Math.min(Math.max(box.top + Math.min(box.height / 2, 12), 0), innerHeight - 1);
  const top = document.elementFromPoint(x, y);
  const inSight = box.bottom > 0 && box.top < innerHeight;
  const labelled = one.labels && [...one.labels].some((label) => label.contains(top));
  const covered = inSight && top && !one.contains(top) && !top.contains(one) && !labelled;
  const name = one.ariaLabel || one.innerText || one.id || one.tagName;
  return { name, ring, inSight, covered, body: one === document.body };
}"""


def readout(page: Any) -> str:
    """The line that says what stands at the speed pointed at."""
    text: str = page.get_by_role("status", name="Readout").inner_text()
    return text


def headline(page: Any, words: str) -> str:
    """A figure of the first line of the page."""
    text: str = page.get_by_role("definition").filter(has_text=words).first.inner_text()
    return text


@pytest.mark.parametrize("title", ["Curves", "Plan", "What-if", "Read a picture"])
def test_tab_reaches_everything_and_shows_where_it_is(page: Any, title: str) -> None:
    settled(page, 300.0)
    go(page, title)
    settled(page)
    page.evaluate("document.activeElement.blur()")
    page.evaluate(SEEN_BY_TAB)
    hidden, ringless, rounds = [], [], 0
    for _ in range(400):
        page.keyboard.press("Tab")
        now = page.evaluate(FOCUS)
        if now["body"]:
            rounds += 1
            if rounds == 2:
                break
            continue
        name = " ".join(now["name"].split())[:50]
        if not now["ring"]:
            ringless.append(name)
        if now["covered"] or not now["inSight"]:
            hidden.append(name)
    assert not ringless, f"focus is not to be seen on {ringless}"
    assert not hidden, f"focus is out of sight or covered on {hidden}"
    assert page.evaluate(UNREACHED) == []


def test_by_keyboard_alone(page: Any, build: Path) -> None:
    settled(page, 300.0)
    keys = page.keyboard
    page.evaluate("document.activeElement.blur()")
    keys.press("Tab")
    assert page.get_by_role("link", name="To the page").evaluate("one => one === document.activeElement")
    keys.press("Enter")
    before = readout(page)
    keys.press("ArrowRight")
    assert readout(page) != before
    keys.press("ArrowLeft")
    assert readout(page) == before
    keys.press("End")
    assert readout(page) == before, "End belongs to the page unless the speeds have the focus"
    page.get_by_role("slider", name="Engine speed pointed at").focus()
    keys.press("End")
    assert "6750" in readout(page).replace("\N{NO-BREAK SPACE}", " ").replace("\N{THIN SPACE}", "")
    for _ in range(60):
        keys.press("Tab")
        if page.evaluate("document.activeElement.innerText || ''").strip().startswith("Turbine"):
            break
    keys.press("Enter")
    field = page.get_by_role("textbox", name=exactly("Choked flow"))
    field.wait_for()
    for _ in range(60):
        keys.press("Tab")
        if field.evaluate("one => one === document.activeElement"):
            break
    keys.press("Control+a")
    keys.type("0.030 kg/s*sqrt(K)/kPa")
    keys.press("Tab")
    slider = page.get_by_role("slider", name=HOUSING)
    assert slider.evaluate("one => one === document.activeElement")
    torque = headline(page, "at ")
    settled(page)
    keys.press("ArrowLeft")
    settled(page)
    assert field.input_value() != "0.030 kg/s*sqrt(K)/kPa"
    keys.press("Control+s")
    page.get_by_text("Saved to build.toml.").wait_for()
    assert field.input_value() in (build / "build.toml").read_text(encoding="utf-8")
    assert torque
    page.evaluate("document.activeElement.blur()")
    page.get_by_role("button", name="Units").focus()
    keys.press("Enter")
    dialog = page.get_by_role("dialog", name="Units")
    dialog.wait_for()
    keys.press("Escape")
    dialog.wait_for(state="hidden")
    assert page.get_by_role("button", name="Units").evaluate("one => one === document.activeElement")


def test_units_and_theme_are_remembered(
    server: Served, build: Path, open_page: Callable[..., Any], watch: Any
) -> None:
    watch.expected = ("ERR_CONNECTION_REFUSED",)
    page = open_page(server.link)
    settled(page, 300.0)
    go(page, "Curves")
    page.get_by_role("button", name="Units").click()
    dialog = page.get_by_role("dialog", name="Units")
    dialog.get_by_role("combobox", name="Torque", exact=True).select_option(label="lbf·ft")
    dialog.get_by_role("combobox", name="Power", exact=True).select_option(label="hp (mechanical)")
    dialog.get_by_role("button", name="Close").click()
    use_theme(page, "dark")
    figure = page.get_by_role("figure", name="Torque and power")
    figure.get_by_text("left: lbf·ft, right: hp").wait_for()
    assert "lbf·ft" in readout(page)
    port = server.port
    server.stop()
    with Served(build, port=port) as again:
        page.goto(again.link)
        settled(page, 300.0)
        figure.get_by_text("left: lbf·ft, right: hp").wait_for()
        assert page.get_by_label("Theme").input_value() == "dark"
        other = open_page(again.link)  # a profile that never was here
        settled(other, 300.0)
        other.get_by_role("figure", name="Torque and power").get_by_text("left: Nm, right: kW").wait_for()


def test_on_a_phone(server: Served, build: Path, open_page: Callable[..., Any]) -> None:
    page = open_page(server.link, 390, 844, has_touch=True, is_mobile=True, reduced_motion="reduce")
    settled(page, 300.0)
    walk = Walk(page, "Curves")
    walk.part("Turbine")
    before = headline(page, "at ")
    slider = page.get_by_role("slider", name=HOUSING)
    slider.scroll_into_view_if_needed()
    box = slider.bounding_box()
    page.touchscreen.tap(box["x"] + 0.8 * box["width"], box["y"] + box["height"] / 2)
    settled(page)
    assert headline(page, "at ") != before
    walk.press("Save to build.toml")
    page.get_by_text("Saved to build.toml.").wait_for()
    assert walk.fields.get_by_role("textbox", name=exactly("Choked flow")).input_value() in (
        build / "build.toml"
    ).read_text(encoding="utf-8")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    walk.go("Plan")
    assert not badly_drawn(page)


def test_pointing_moves_one_speed_everywhere(page: Any) -> None:
    settled(page, 300.0)
    go(page, "Curves")
    said = set()
    for title in ("Torque and power", "Boost and pressures", "Exhaust temperatures", "Limits in use"):
        figure = page.get_by_role("figure", name=title)
        figure.scroll_into_view_if_needed()
        box = figure.bounding_box()
        page.mouse.move(box["x"] + 0.55 * box["width"], box["y"] + 0.5 * box["height"])
        page.mouse.move(box["x"] + 0.45 * box["width"], box["y"] + 0.5 * box["height"])
        page.wait_for_timeout(100)
        said.add(re.search(r"At (\S+)", readout(page)).group(1))  # type: ignore[union-attr]
        assert page.get_by_role("heading", name="What binds at").inner_text().rsplit("at ")[-1] in readout(
            page
        )
    assert all(
        2500 < float(speed.replace("\N{THIN SPACE}", "").split("\N{NO-BREAK SPACE}")[0]) < 5500
        for speed in said
    )


def test_curves_and_tables_are_taken_away(page: Any) -> None:
    settled(page, 300.0)
    go(page, "Curves")

    def taken(name: str) -> bytes:
        with page.expect_download() as waiting:
            page.get_by_role("button", name=name, exact=True).click()
        return Path(waiting.value.path()).read_bytes()

    rows = list(csv.reader(io.StringIO(taken("Save as CSV: Torque and power").decode("utf-8-sig"))))
    assert rows[1][1:3] == ["Nm", "kW"] or "Nm" in rows[0][1]
    numbers = [[float(cell) for cell in row[:3]] for row in rows[2:]]
    assert len(numbers) >= 20
    for speed, torque, power in numbers:
        assert power == pytest.approx(torque * speed * 3.14159265 / 30 / 1e3, rel=2e-2)
    for title in ("Torque and power", "Operating line on the compressor map", "Limits in use"):
        assert taken(f"Save as PNG: {title}").startswith(b"\x89PNG")
        drawn = ET.fromstring(taken(f"Save as SVG: {title}"))
        assert drawn.tag.endswith("svg")
        assert title in "".join(drawn.itertext())


def test_pages_print_on_few_sheets(page: Any, tmp_path: Path) -> None:
    settled(page, 300.0)
    go(page, "Curves")
    settled(page)
    printed = pypdf.PdfReader(io.BytesIO(page.pdf(format="A4")))
    assert len(printed.pages) <= 4
    words = " ".join(sheet.extract_text() for sheet in printed.pages)
    assert "Torque and power" in words
    assert "Hill climb estate" in words
    assert "Save to build.toml" not in words
