"""Nothing typed is lost and nothing on disk is spoilt: two tabs, a text editor on the same file, a server killed in the
middle of a save and started again, a full disk."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from form import field, part, save, set_bore, unsaved, until, written
from screen import settled
from served import PROGRAM, Served, copy_of

STOPS_AT_REPLACE = """
import os, time
real = os.replace
def replace(old, new):
    if str(new).endswith("build.toml"):
        print("in the middle of the save", flush=True)
        time.sleep(60)
    real(old, new)
os.replace = replace
"""
FULL_DISK = """
import errno, os
real = os.fsync
def fsync(handle):
    if os.path.exists("disk is full"):
        raise OSError(errno.ENOSPC, "No space left on device")
    real(handle)
os.fsync = fsync
"""
RUN = "from boostwright.cli.main import run; run()"


def test_saving_writes_the_one_value_and_keeps_every_comment(page: Any, build: Path) -> None:
    settled(page, 300.0)
    before = (build / "build.toml").read_text(encoding="utf-8")
    set_bore(page, "83.5 mm")
    settled(page)
    assert "1 change unsaved" in unsaved(page)
    assert (build / "build.toml").read_text(encoding="utf-8") == before
    save(page)
    page.get_by_text("Saved to build.toml.").wait_for()
    assert "as saved" in unsaved(page)
    assert (build / "build.toml").read_text(encoding="utf-8") == before.replace(
        'bore = "83 mm"', 'bore = "83.5 mm"'
    )


def test_an_edit_outside_is_read_when_nothing_is_unsaved(page: Any, build: Path) -> None:
    settled(page, 300.0)
    part(page, "Engine")
    file = build / "build.toml"
    file.write_text(
        file.read_text(encoding="utf-8").replace('bore = "83 mm"', 'bore = "84 mm"'), encoding="utf-8"
    )
    page.get_by_text("changed outside and has been read again").wait_for(timeout=5_000)
    assert field(page, "Engine bore").input_value() == "84 mm"


@pytest.mark.parametrize(
    ("button", "bore", "stroke"),
    [
        ("Take the file's, keep my other changes", "84 mm", "93 mm"),
        ("Write mine over these keys", "83.5 mm", "93 mm"),
        ("Drop all my changes", "84 mm", "92 mm"),
    ],
)
def test_an_edit_outside_of_what_is_unsaved_is_asked_about(
    page: Any, build: Path, button: str, bore: str, stroke: str
) -> None:
    settled(page, 300.0)
    set_bore(page, "83.5 mm")
    field(page, "Stroke").fill("93 mm")
    field(page, "Stroke").press("Enter")
    settled(page)
    file = build / "build.toml"
    edited = file.read_text(encoding="utf-8").replace(
        'bore = "83 mm"', 'bore = "84 mm"  # the editor was here'
    )
    file.write_text(edited, encoding="utf-8")
    dialog = page.get_by_role("dialog", name="build.toml was changed outside")
    dialog.wait_for(timeout=5_000)
    for words in ("83 mm", "84 mm", "83.5 mm"):
        assert dialog.get_by_text(words, exact=True).first.is_visible()
    assert file.read_text(encoding="utf-8") == edited
    dialog.get_by_role("button", name=button).click()
    dialog.wait_for(state="hidden")
    settled(page)
    assert field(page, "Engine bore").input_value() == bore
    assert field(page, "Stroke").input_value() == stroke
    if page.get_by_role("button", name="Save to build.toml").is_enabled():
        save(page)
        until(lambda: stroke in written(build, "stroke"), "not saved")
    assert f'"{bore}"' in written(build, "bore")
    assert f'"{stroke}"' in written(build, "stroke")
    assert "# the editor was here" in written(build, "bore")


def test_a_second_tab_learns_what_the_first_one_saved(
    page: Any, open_page: Callable[..., Any], server: Served, build: Path
) -> None:
    settled(page, 300.0)
    other = open_page(server.link)
    settled(other, 300.0)
    set_bore(other, "82 mm")  # not saved
    set_bore(page, "84 mm")
    settled(page)
    save(page)
    dialog = other.get_by_role("dialog", name="build.toml was changed outside")
    dialog.wait_for(timeout=5_000)
    dialog.get_by_role("button", name="Take the file's").click()
    settled(other)
    assert field(other, "Engine bore").input_value() == "84 mm"
    assert '"84 mm"' in written(build, "bore")


def test_an_editor_that_leaves_the_file_broken_for_a_while(page: Any, build: Path, watch: Any) -> None:
    settled(page, 300.0)
    set_bore(page, "83.5 mm")
    settled(page)
    file = build / "build.toml"
    sound = file.read_text(encoding="utf-8")
    file.write_text(sound.replace('bore = "83 mm"', 'bore = "83 m'), encoding="utf-8")
    page.wait_for_timeout(2_500)
    assert field(page, "Engine bore").input_value() == "83.5 mm"
    page.get_by_text("cannot be read").first.wait_for(timeout=4_000)
    file.write_text(sound, encoding="utf-8")
    page.wait_for_timeout(2_500)
    settled(page)
    assert field(page, "Engine bore").input_value() == "83.5 mm"
    save(page)
    until(lambda: "83.5" in written(build, "bore"), "not saved after the file was mended")


@pytest.fixture
def dying(build: Path) -> Iterator[Served]:
    """A server that stops in the middle of a save, waiting to be killed."""
    with Served(build, program=[PROGRAM[0], "-c", STOPS_AT_REPLACE + RUN]) as served:
        yield served


def test_killed_in_the_middle_of_a_save(
    dying: Served, open_page: Callable[..., Any], build: Path, watch: Any
) -> None:
    watch.expected = ("Failed to load resource", "ERR_CONNECTION", "ERR_EMPTY_RESPONSE")
    page = open_page(dying.link)
    settled(page, 300.0)
    before = (build / "build.toml").read_bytes()
    set_bore(page, "83.5 mm")
    settled(page)
    save(page)
    until(lambda: any(build.glob(".build.toml.*.part")), "the save did not begin")
    dying.kill()
    page.get_by_role("alert").get_by_text("The server has gone").wait_for()
    assert (build / "build.toml").read_bytes() == before
    assert field(page, "Engine bore").input_value() == "83.5 mm"
    with Served(build, port=dying.port) as again:
        page.goto(again.link)
        settled(page, 300.0)
        part(page, "Engine")
        assert field(page, "Engine bore").input_value() == "83.5 mm"
        assert "1 change unsaved" in unsaved(page)
        save(page)
        until(lambda: "83.5" in written(build, "bore"), "not saved after the restart")
        assert (build / "build.toml").read_bytes() == before.replace(b'bore = "83 mm"', b'bore = "83.5 mm"')


def test_a_full_disk_loses_nothing(tmp_path: Path, open_page: Callable[..., Any], watch: Any) -> None:
    watch.expected = ("ERR_CONNECTION_REFUSED",)  # the page outlives its server by a moment
    build = copy_of("hill_climb_estate", tmp_path)
    with Served(build, program=[PROGRAM[0], "-c", FULL_DISK + RUN]) as served:
        page = open_page(served.link)
        settled(page, 300.0)
        set_bore(page, "83.5 mm")
        settled(page)
        before = (build / "build.toml").read_bytes()
        flag = tmp_path / "disk is full"
        flag.touch()
        save(page)
        page.get_by_text("No space left on device").first.wait_for()
        assert (build / "build.toml").read_bytes() == before
        assert "1 change unsaved" in unsaved(page)
        flag.unlink()
        save(page)
        until(lambda: "83.5" in written(build, "bore"), "not saved once there was room")
    with contextlib.suppress(StopIteration):
        raise AssertionError(f"left behind: {next(build.glob('.build.toml.*'))}")
