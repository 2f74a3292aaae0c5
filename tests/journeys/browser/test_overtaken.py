"""Nothing is lost between the page and the file, whichever comes first: a save under way, an edit outside, another
build that is opened, a second tab, a page loaded anew."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from form import Held, field, part, save, set_bore, type_over, unsaved, until, written
from screen import settled, track
from served import Served, copy_of

OUTSIDE = "build.toml was changed outside"


def replace_in(build: Path, old: str, new: str) -> None:
    """Edit the file as another program would."""
    file = build / "build.toml"
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


def save_under_way(page: Any) -> Held:
    """A bore of 83.5 mm whose save has come to the server and is held back."""
    settled(page, 300.0)
    set_bore(page, "83.5 mm")
    settled(page)
    held = Held(page, "/api/build/save")
    save(page)
    held.wait()
    return held


@pytest.mark.parametrize("by", ["button", "keys"])
def test_a_value_half_typed_while_the_save_of_another_is_under_way(page: Any, build: Path, by: str) -> None:
    held = save_under_way(page)
    type_over(page, "Stroke", "93")
    if by == "keys":
        page.keyboard.type(" mm")
        page.keyboard.press("Control+s")  # is done once the first is
    held.let_go()
    if by == "button":
        settled(page)
        assert "as saved" in unsaved(page)
        page.keyboard.type(" mm")
        page.keyboard.press("Enter")
        assert "1 change unsaved" in unsaved(page)
        settled(page)
        save(page)
    until(lambda: (page.wait_for_timeout(50), '"93 mm"' in written(build, "stroke"))[1], "not saved")
    settled(page)
    assert "as saved" in unsaved(page)
    assert field(page, "Stroke").input_value() == "93 mm"
    assert '"83.5 mm"' in written(build, "bore")


@pytest.mark.parametrize("how", ["typed", "taken back"])
def test_a_value_put_back_while_its_save_is_under_way(page: Any, build: Path, how: str) -> None:
    held = save_under_way(page)
    if how == "typed":
        set_bore(page, "83 mm")
    else:
        page.get_by_role("button", name="Take back the change of Engine bore").click()
    held.let_go()
    settled(page)
    assert field(page, "Engine bore").input_value() == "83 mm"
    assert "1 change unsaved" in unsaved(page)
    assert '"83.5 mm"' in written(build, "bore")
    save(page)
    until(lambda: '"83 mm"' in written(build, "bore"), "not saved")


@pytest.mark.parametrize("first", ["save", "look"])
def test_the_look_at_the_file_that_overtakes_a_save_finds_nobody_else(page: Any, first: str) -> None:
    """The page looks once a second whether the file is as it was; its own save is no change outside."""
    settled(page, 300.0)
    set_bore(page, "83.5 mm")
    settled(page)
    looks = Held(page, "/api/build/stamp", late=first == "look")
    looks.wait()
    saves = Held(page, "/api/build/save")
    save(page)
    saves.wait()
    for held in (saves, looks) if first == "save" else (looks, saves):
        held.let_go()
        page.wait_for_timeout(500)
        assert page.get_by_role("dialog", name=OUTSIDE).count() == 0
        assert page.get_by_text("changed outside and has been read again").count() == 0
    settled(page)
    assert "as saved" in unsaved(page)


@pytest.mark.parametrize(
    ("button", "bore"), [("Write mine over these keys", "83.5 mm"), ("Take the file's", "84 mm")]
)
def test_an_edit_outside_while_another_value_is_half_typed(
    page: Any, build: Path, button: str, bore: str
) -> None:
    settled(page, 300.0)
    set_bore(page, "83.5 mm")
    type_over(page, "Stroke", "93 m")
    replace_in(build, 'bore = "83 mm"', 'bore = "84 mm"')
    dialog = page.get_by_role("dialog", name=OUTSIDE)
    dialog.wait_for(timeout=5_000)
    page.keyboard.type("m")  # the hand goes on for a moment; it must press nothing
    assert dialog.is_visible()
    dialog.get_by_role("button", name=button).click()
    dialog.wait_for(state="hidden")
    settled(page)
    assert field(page, "Stroke").input_value() == "93 m"
    page.keyboard.type("m")
    page.keyboard.press("Enter")
    settled(page)
    save(page)
    until(lambda: '"93 mm"' in written(build, "stroke"), "the value half-typed was lost")
    assert f'"{bore}"' in written(build, "bore")


def test_an_edit_outside_of_the_very_value_that_is_half_typed_is_asked_about(page: Any, build: Path) -> None:
    settled(page, 300.0)
    part(page, "Engine")
    type_over(page, "Engine bore", "83.5 m")
    replace_in(build, 'bore = "83 mm"', 'bore = "84 mm"')
    dialog = page.get_by_role("dialog", name=OUTSIDE)
    dialog.wait_for(timeout=5_000)
    for words in ("83 mm", "84 mm", "83.5 m"):
        assert dialog.get_by_text(words, exact=True).first.is_visible()
    dialog.get_by_role("button", name="Write mine").click()
    dialog.wait_for(state="hidden")
    settled(page)
    page.keyboard.type("m")
    page.keyboard.press("Control+s")
    until(lambda: (page.wait_for_timeout(50), '"83.5 mm"' in written(build, "bore"))[1], "not saved")


@pytest.mark.parametrize("same", [False, True])
def test_a_save_that_comes_before_an_edit_outside_was_noticed(page: Any, build: Path, same: bool) -> None:
    settled(page, 300.0)
    looks = Held(page, "/api/build/stamp", late=True)
    looks.wait()
    key = 'bore = "83 mm"' if same else 'stroke = "92 mm"'
    replace_in(build, key, key.replace('"8', '"9').replace("2 mm", "1 mm"))
    set_bore(page, "83.5 mm")
    save(page)
    dialog = page.get_by_role("dialog", name=OUTSIDE)
    if same:
        dialog.wait_for()
        assert '"93 mm"' in written(build, "bore")
        assert dialog.get_by_role("rowheader").all_inner_texts() == ["engine.bore"]
        dialog.get_by_role("button", name="Write mine").click()
    until(lambda: (page.wait_for_timeout(50), '"83.5 mm"' in written(build, "bore"))[1], "not saved")
    assert ('"92 mm"' if same else '"91 mm"') in written(build, "stroke")
    looks.let_go()
    settled(page)
    assert dialog.count() == 0
    assert "as saved" in unsaved(page)


def test_a_second_edit_outside_while_the_first_is_asked_about(page: Any, build: Path) -> None:
    settled(page, 300.0)
    set_bore(page, "83.5 mm")
    field(page, "Stroke").fill("93 mm")
    field(page, "Stroke").press("Enter")
    settled(page)
    replace_in(build, 'bore = "83 mm"', 'bore = "84 mm"')
    dialog = page.get_by_role("dialog", name=OUTSIDE)
    dialog.wait_for(timeout=5_000)
    replace_in(build, 'stroke = "92 mm"', 'stroke = "91 mm"')
    dialog.get_by_role("button", name="Write mine").click()
    dialog.get_by_role("rowheader", name="engine.stroke").wait_for()
    assert '"91 mm"' in written(build, "stroke")
    dialog.get_by_role("button", name="Take the file's").click()
    dialog.wait_for(state="hidden")
    settled(page)
    assert field(page, "Engine bore").input_value() == "83.5 mm"
    assert field(page, "Stroke").input_value() == "91 mm"


@pytest.mark.parametrize("newest_first", [False, True])
def test_another_build_that_is_slow_to_open_takes_no_changes_of_this_one(
    page: Any, build: Path, newest_first: bool
) -> None:
    other = copy_of("transverse_three", build.parent, "the three")
    before = (other / "build.toml").read_bytes()
    settled(page, 300.0)
    set_bore(page, "83.5 mm")
    settled(page)
    held = Held(page, "/api/build")
    page.get_by_role("button", name="Builds").click()
    page.get_by_role("button", name="the three", exact=True).click()
    held.wait()
    page.wait_for_timeout(2_500)  # the page looks at the file twice
    held.let_go(newest_first=newest_first)
    settled(page, 120.0)
    assert "as saved" in unsaved(page)
    assert page.get_by_role("dialog").count() == 0
    page.get_by_role("button", name="Builds").click()
    page.get_by_role("button", name=build.name, exact=True).click()
    settled(page, 120.0)
    part(page, "Engine")
    assert field(page, "Engine bore").input_value() == "83.5 mm"
    assert (other / "build.toml").read_bytes() == before


def test_a_build_that_cannot_be_opened_leaves_this_one_as_it_is(page: Any, build: Path) -> None:
    other = copy_of("transverse_three", build.parent, "the three")
    settled(page, 300.0)
    set_bore(page, "83.5 mm")
    settled(page)
    page.get_by_role("button", name="Builds").click()
    choice = page.get_by_role("button", name="the three", exact=True)
    choice.wait_for()
    other.rename(other.with_name("gone"))
    choice.click()
    page.get_by_role("dialog").get_by_role("alert").first.wait_for()
    page.get_by_role("button", name="Close").click()
    page.wait_for_timeout(1_500)
    save(page)
    until(lambda: (page.wait_for_timeout(50), '"83.5 mm"' in written(build, "bore"))[1], "not saved")


def test_what_two_tabs_have_unsaved_outlives_a_reload(page: Any, server: Served, watch: Any) -> None:
    settled(page, 300.0)
    set_bore(page, "83.5 mm")
    settled(page)
    other = page.context.new_page()
    watch.on(other)
    track(other)
    other.on("dialog", lambda dialog: dialog.accept())
    other.goto(server.link)
    settled(other, 60.0)
    offer = other.get_by_role("region", name="Changes kept from before")
    assert offer.get_by_text("engine.bore").is_visible()
    part(other, "Engine")
    field(other, "Stroke").fill("93 mm")
    field(other, "Stroke").press("Enter")
    settled(other)
    other.reload()
    settled(other, 60.0)
    assert field(other, "Stroke").input_value() == "93 mm"
    offer.get_by_role("button", name="Use them").click()
    settled(other)
    assert field(other, "Engine bore").input_value() == "83.5 mm"
    assert "2 changes unsaved" in unsaved(other)
    assert "1 change unsaved" in unsaved(page)


def test_changes_of_a_page_loaded_anew_over_a_file_that_was_changed_meanwhile(
    page: Any, build: Path, server: Served
) -> None:
    settled(page, 300.0)
    set_bore(page, "83.5 mm")
    settled(page)
    page.on("dialog", lambda dialog: dialog.accept())
    page.goto("about:blank")
    replace_in(build, 'bore = "83 mm"', 'bore = "84 mm"')
    page.goto(server.link)
    dialog = page.get_by_role("dialog", name=OUTSIDE)
    dialog.wait_for()
    for words in ("83 mm", "84 mm", "83.5 mm"):
        assert dialog.get_by_text(words, exact=True).first.is_visible()
    dialog.get_by_role("button", name="Take the file's").click()
    settled(page)
    assert field(page, "Engine bore").input_value() == "84 mm"


def test_an_edit_outside_of_something_else_leaves_what_is_half_typed(page: Any, build: Path) -> None:
    settled(page, 300.0)
    part(page, "Engine")
    type_over(page, "Stroke", "93")
    replace_in(build, 'bore = "83 mm"', 'bore = "84 mm"')
    page.get_by_text("changed outside and has been read again").wait_for(timeout=5_000)
    settled(page)
    page.keyboard.type(" mm")
    page.keyboard.press("Tab")
    assert field(page, "Stroke").input_value() == "93 mm"
    assert field(page, "Engine bore").input_value() == "84 mm"
    settled(page)
    save(page)
    until(lambda: '"93 mm"' in written(build, "stroke"), "not saved")
    assert '"84 mm"' in written(build, "bore")
