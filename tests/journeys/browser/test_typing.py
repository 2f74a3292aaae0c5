"""Nothing typed is lost on the page: answers kept back until the hand is in the middle of the next value, fields that
change their place, a page loaded anew."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from form import Held, field, part, save, set_bore, type_over, unsaved, until, written
from screen import go, settled

ANSWERS = ("/api/live", "/api/build/check", "/api/predict")


@pytest.mark.parametrize("newest_first", [False, True])
@pytest.mark.parametrize("left_by", ["Enter", "Tab"])
def test_a_value_half_typed_when_the_answer_to_the_last_one_comes(
    page: Any, build: Path, left_by: str, newest_first: bool
) -> None:
    settled(page, 300.0)
    part(page, "Engine")
    held = Held(page, *ANSWERS)
    type_over(page, "Engine bore", "83.5 mm")
    page.keyboard.press(left_by)
    type_over(page, "Stroke", "93")
    held.wait()
    held.let_go(newest_first=newest_first)
    settled(page)
    assert field(page, "Stroke").input_value() == "93"
    page.keyboard.type(" mm")
    assert field(page, "Stroke").input_value() == "93 mm"
    page.keyboard.press(left_by)
    settled(page)
    assert "2 changes unsaved" in unsaved(page)
    save(page)
    until(lambda: '"93 mm"' in written(build, "stroke"), "the second value was not saved")
    assert '"83.5 mm"' in written(build, "bore")


def test_undo_and_escape_while_an_answer_comes(page: Any) -> None:
    settled(page, 300.0)
    part(page, "Engine")
    held = Held(page, *ANSWERS)
    set_bore(page, "83.5 mm")
    type_over(page, "Stroke", "93 mm")
    held.wait()
    held.let_go()
    settled(page)
    for key, text in (("Control+z", "92 mm"), ("Control+Shift+z", "93 mm"), ("Escape", "92 mm")):
        page.keyboard.press(key)
        assert field(page, "Stroke").input_value() == text
    page.keyboard.press("Tab")
    assert "1 change unsaved" in unsaved(page)
    page.get_by_role("button", name="Take back the change of Engine bore").click()
    settled(page)
    assert "as saved" in unsaved(page)


def test_a_point_of_a_curve_half_typed(page: Any, build: Path) -> None:
    settled(page, 300.0)
    part(page, "Wastegate")
    held = Held(page, *ANSWERS)
    type_over(page, "Boost target at 3500 rpm", "181")
    page.keyboard.press("Enter")
    type_over(page, "Boost target at 5000 rpm", "17")
    held.wait()
    held.let_go()
    settled(page)
    page.keyboard.type("7.5")
    page.keyboard.press("Tab")
    settled(page)
    save(page)
    until(lambda: "[165, 181, 177.5, 165]" in written(build, "target"), "a point was not saved")


def test_a_point_that_is_no_number_stays_to_be_mended(page: Any) -> None:
    settled(page, 300.0)
    part(page, "Wastegate")
    type_over(page, "Boost target at 3500 rpm", "1.8 bar")
    page.keyboard.press("Tab")
    page.get_by_text("“1.8 bar” is no number").wait_for()
    type_over(page, "Boost target at 5000 rpm", "177")
    page.keyboard.press("Enter")
    settled(page)
    assert field(page, "Boost target at 3500 rpm").input_value() == "1.8 bar"
    type_over(page, "Boost target at 3500 rpm", "181")
    page.keyboard.press("Enter")
    assert field(page, "Boost target at 3500 rpm").input_value() == "181"
    assert field(page, "Boost target at 5000 rpm").input_value() == "177"
    type_over(page, "Boost target at 3500 rpm", "")
    page.keyboard.press("Delete")
    page.get_by_role("button", name="Drop changes").click()
    assert field(page, "Boost target at 3500 rpm").input_value() == "180"


@pytest.mark.parametrize("by", ["keys", "mouse"])
def test_saving_while_the_last_value_is_still_being_typed(page: Any, build: Path, by: str) -> None:
    settled(page, 300.0)
    part(page, "Engine")
    type_over(page, "Stroke", "93 mm")
    if by == "keys":
        page.keyboard.press("Control+s")
    else:
        box = page.get_by_role("button", name="Save to build.toml").bounding_box()
        page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    until(lambda: (page.wait_for_timeout(50), '"93 mm"' in written(build, "stroke"))[1], "not saved")
    settled(page)
    assert field(page, "Stroke").input_value() == "93 mm"
    assert "as saved" in unsaved(page)


def test_a_page_loaded_anew_while_a_value_is_being_typed(page: Any, build: Path) -> None:
    settled(page, 300.0)
    set_bore(page, "83.5 mm")
    type_over(page, "Stroke", "93 mm")
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    page.reload()
    settled(page, 60.0)
    assert asked == ["beforeunload"]
    assert "2 changes unsaved" in unsaved(page)
    assert field(page, "Stroke").input_value() == "93 mm"
    save(page)
    until(lambda: '"93 mm"' in written(build, "stroke"), "not saved")
    assert '"83.5 mm"' in written(build, "bore")


def test_leaving_the_page_by_a_key_while_a_value_is_being_typed(page: Any) -> None:
    settled(page, 300.0)
    part(page, "Engine")
    page.get_by_role("navigation", name="Pages").get_by_role("link", name="Plan").click()
    page.go_back()
    type_over(page, "Stroke", "93")
    page.go_forward()
    page.get_by_role("heading", name="Plan", exact=True).first.wait_for()
    page.go_back()
    assert field(page, "Stroke").input_value() == "93"


def test_a_field_stays_under_the_hand_that_gives_it_its_first_value(page: Any) -> None:
    settled(page, 300.0)
    part(page, "Wastegate")
    page.get_by_text("not written, taken as follows").first.click()
    type_over(page, "Discharge coefficient", "0.7")
    page.keyboard.press("Enter")
    settled(page)
    page.keyboard.type("5")
    page.keyboard.press("Enter")
    settled(page)
    assert field(page, "Discharge coefficient").input_value() == "0.75"
    slider = page.get_by_role("slider", name="Seat discharge coefficient, drag")
    slider.scroll_into_view_if_needed()
    box = slider.bounding_box()
    middle = box["y"] + box["height"] / 2
    seen = []
    page.mouse.move(box["x"] + box["width"] / 2, middle)
    page.mouse.down()
    for step in (0.3, 0.2, 0.1):
        page.mouse.move(box["x"] + box["width"] * step, middle)
        page.wait_for_timeout(400)
        seen.append(float(field(page, "Seat discharge coefficient").input_value()))
    page.mouse.up()
    assert 0.72 > seen[0] > seen[1] > seen[2]
    settled(page)
    assert "2 changes unsaved" in unsaved(page)


def test_a_seed_half_typed_when_its_draw_begins_and_ends(page: Any) -> None:
    settled(page, 300.0)
    go(page, "Bands")
    page.get_by_role("main").get_by_role("combobox").first.select_option("200")
    page.get_by_role("button", name="Draw bands").click()
    seed = page.get_by_role("spinbutton")
    seed.click()
    page.keyboard.press("Control+a")
    page.keyboard.type("12")
    page.get_by_role("heading", name="About the bands").wait_for(timeout=120_000)
    page.keyboard.type("3")
    assert seed.input_value() == "123"


def test_faults_of_a_value_that_was_mended_meanwhile_do_not_come_back(page: Any) -> None:
    settled(page, 300.0)
    held = Held(page, "/api/build/check", "/api/predict")
    set_bore(page, "83.5")
    held.wait()
    set_bore(page, "83.5 mm")
    page.wait_for_timeout(500)
    held.let_go()
    settled(page)
    assert page.get_by_role("region", name="Faults").count() == 0
    assert field(page, "Engine bore").input_value() == "83.5 mm"


def test_a_late_answer_does_not_hide_the_faults_of_a_newer_value(page: Any) -> None:
    settled(page, 300.0)
    part(page, "Engine")
    older = Held(page, "/api/live")
    page.get_by_role("slider", name="Engine bore, drag").press("ArrowRight")
    older.wait()
    older.shut = False
    newer = Held(page, "/api/build/check", "/api/predict")
    set_bore(page, "83.5")
    box = page.get_by_role("region", name="Faults")
    box.wait_for()
    older.let_go()
    page.wait_for_timeout(500)
    assert box.count() == 1
    newer.let_go()
    settled(page)
    assert box.count() == 1
