"""A picture of a known card, read on the screen as its user reads it: marks, lines, islands and the surge line clicked.

The card that comes out is the one that was drawn, within one per cent of full scale. The hand here misses by up to half
a pixel of the screen, since a pointer stands on whole pixels.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from map_clicks import departure, spaced
from map_pictures import MapPicture, Style, draw_map, lines_of
from screen import go, settled
from served import Served

from boostwright.cards.card import Card
from boostwright.cards.digitise.compressor import read_compressor
from boostwright.cards.digitise.session import session_from
from boostwright.cards.look_up import find_card
from boostwright.units import convert

CARD = "invented-58mm-trim-55"
STYLE = Style(size=(9.0, 7.0), dpi=100, flow_unit="kg/s")


class Hand:
    """A pointer over the picture that is being read."""

    def __init__(self, page: Any) -> None:
        """Find where the picture lies on the screen, by what the page says of two places pointed at."""
        self.page = page
        self.area = page.get_by_role("application", name="Picture being read")
        self.area.scroll_into_view_if_needed()
        box = self.area.bounding_box()
        self.left, self.top = box["x"], box["y"]
        near, far = self._told(60, 60), self._told(box["width"] - 60, box["height"] - 60)
        self.scale = [(far[i] - near[i]) / (box[side] - 120) for i, side in ((0, "width"), (1, "height"))]
        self.origin = [near[i] - 60 * self.scale[i] for i in (0, 1)]

    def _told(self, x: float, y: float) -> tuple[float, float]:
        self.page.mouse.move(self.left + x, self.top + y)
        text = self.page.get_by_text("pixels").first.inner_text().split("pixels")[0]
        u, v = text.split(",")
        return float(u), float(v)

    def click(self, place: Any) -> None:
        """Click on a place of the picture."""
        x, y = ((float(place[i]) - self.origin[i]) / self.scale[i] for i in (0, 1))
        self.page.mouse.click(round(self.left + x), round(self.top + y))


def steps_to_axes(page: Any, picture: MapPicture, card: Card, hand: Callable[[], Hand]) -> None:
    """What the picture is, its axes, its reference and its marks."""
    page.get_by_role("radio", name="compressor").check()
    page.get_by_role("button", name="On to step 2").click()
    page.get_by_label("Unit of the x axis").select_option(label=STYLE.flow_unit)
    page.get_by_label("Reference pressure").fill(card.quantity("reference_pressure").text)
    page.get_by_label("Reference temperature").fill(card.quantity("reference_temperature").text)
    page.get_by_label("Exit diameter of the wheel").fill(card.quantity("wheel_diameter").text)
    page.get_by_label("Exit diameter of the wheel").press("Tab")
    pointer = hand()
    for number, (place, x, y) in enumerate(picture.corners, start=1):
        pointer.click(place)
        page.get_by_role("textbox", name=f"Mark {number}, value on the x axis").fill(f"{x:.6g}")
        page.get_by_role("textbox", name=f"Mark {number}, value on the y axis").fill(f"{y:.6g}")
        page.get_by_role("textbox", name=f"Mark {number}, value on the y axis").press("Tab")
    page.get_by_role("button", name="On to step 3").click()


def click_lines(page: Any, picture: MapPicture, hand: Callable[[], Hand]) -> int:
    """Every speed line, island and the surge line; how many there are."""
    strokes = [
        ("New speed line", f"{convert(speed, 'rotational_speed', 'rpm'):.0f} rpm", spaced(line, 45.0, 8, 14))
        for speed, line in picture.lines
    ]
    strokes += [
        ("New island", f"{100 * level:g} %", spaced(line, 45.0, 6, 16, closed))
        for level, line, closed in picture.islands
    ]
    strokes.append(("New surge line", "", picture.surge))
    open_ones = [f"Island {k + 1}" for k, one in enumerate(strokes) if one[0] == "New island"]
    closed_ones = [closed for _, _, closed in picture.islands]
    for number, (button, value, places) in enumerate(strokes, start=1):
        page.get_by_role("button", name=button).click()
        if value:
            word = "Line" if button == "New speed line" else "Island"
            box = page.get_by_role("textbox", name=f"{word} {number}: value")
            box.fill(value)
            box.press("Tab")
        pointer = hand()
        for place in places:
            pointer.click(place)
    for name, closed in zip(open_ones, closed_ones, strict=True):
        page.get_by_role("checkbox", name=f"{name} is closed").set_checked(closed)
    return len(strokes)


@pytest.fixture
def drawn(tmp_path: Path) -> tuple[Card, MapPicture, Path]:
    """A known card, its picture, and the file of it."""
    card = find_card("compressor", CARD, None)
    picture = draw_map(card, STYLE)
    file = tmp_path / "a map.png"
    file.write_bytes(picture.data)
    return card, picture, file


def test_a_known_card_comes_back(
    drawn: tuple[Card, MapPicture, Path], server: Served, build: Path, open_page: Callable[..., Any]
) -> None:
    card, picture, file = drawn
    page = open_page(server.link, 1900, 1300)
    settled(page, 300.0)
    go(page, "Read a picture")
    page.get_by_label("Picture (PNG").set_input_files(file)
    page.get_by_label("Name of the reading").fill("my-map")
    page.get_by_role("button", name="Begin").click()
    page.get_by_role("heading", name="Read a picture: my-map").wait_for()

    def hand() -> Hand:
        return Hand(page)

    steps_to_axes(page, picture, card, hand)
    click_lines(page, picture, hand)
    page.get_by_role("button", name="On to step 4").click()
    page.get_by_role("status").filter(has_text="islands met to").wait_for(timeout=60_000)
    page.get_by_role("button", name="On to step 5").click()
    page.get_by_label("Where the picture is from").fill("drawn by a test")
    page.get_by_label("Terms under which").fill("own data, free to use")
    page.get_by_label("How well the values are known").select_option(index=1)
    page.get_by_label("Read by").fill("a test")
    page.get_by_label("Read on").fill("2026-01-02")
    page.get_by_label("Read on").press("Tab")
    page.get_by_role("button", name="Save as card my-map").click()
    page.get_by_role("status").filter(has_text="Saved as cards/compressor/my-map.toml").first.wait_for()
    page.get_by_role("link", name="To the curves").click()
    settled(page, 60.0)
    assert "my-map" in page.get_by_role("figure", name="Operating line").inner_text()
    read = find_card("compressor", "my-map", build)
    assert len(lines_of(read)) == len(lines_of(card))
    (kept,) = (path for path in build.rglob("*my-map*") if path.suffix == ".json" or "reading" in path.name)
    reading = read_compressor(session_from(kept.read_text(encoding="utf-8"), "session"))
    off = departure(card, reading)
    told = {name: f"{100 * np.abs(values).max():.2f} %" for name, values in off.items() if values.size}
    for name in ("flow_ratio", "missing", "efficiency"):
        assert np.abs(off[name]).max() < 0.01, told
    for (_, flow, ratio, efficiency), line in zip(lines_of(read), reading.lines, strict=True):
        assert flow == pytest.approx(line.flow, rel=1e-3)
        assert ratio == pytest.approx(line.ratio, rel=1e-3)
        assert efficiency == pytest.approx(line.efficiency, abs=1e-3)


def test_what_is_no_picture_is_refused_in_words(page: Any, tmp_path: Path) -> None:
    settled(page, 300.0)
    go(page, "Read a picture")
    file = tmp_path / "holiday.png"
    file.write_bytes(b"this is no picture" * 100)
    page.get_by_label("Picture (PNG").set_input_files(file)
    page.get_by_role("button", name="Begin").click()
    page.get_by_role("main").get_by_text("picture").filter(has_text="PNG").last.wait_for()
    page.get_by_role("listitem").filter(has_text="no picture").or_(
        page.get_by_role("listitem").filter(has_text="not a picture")
    ).or_(page.get_by_role("listitem").filter(has_text="cannot be read")).first.wait_for()
