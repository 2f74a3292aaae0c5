"""Writing into a build file: what is not meant stays byte for byte, and a crash loses nothing."""

from __future__ import annotations

import os
import tomllib
from pathlib import Path

import pytest
from sound_build import SOUND, swap, write_build

from boostwright.build import read_build
from boostwright.build.writer import edited_text, save_settings
from boostwright.errors import BuildError
from boostwright.saving import save_atomically, save_new

COMMENTED = swap(
    ('bore = "83 mm"', '# measured with a bore gauge, cold\nbore   =   "83 mm"    # nominal 82.5'),
    ("[fuel]", "\n\n# what the pump has\n[fuel] # petrol"),
    ('name = "Test build"', "name = 'Überland'  # quotes of the other kind"),
)


def _changed_lines(old: str, new: str) -> list[tuple[str, str]]:
    before, after = old.split("\n"), new.split("\n")
    assert len(before) == len(after)
    return [(a, b) for a, b in zip(before, after, strict=True) if a != b]


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
def test_only_the_line_that_is_meant_changes(line_end: str) -> None:
    text = COMMENTED.replace("\n", line_end)
    new = edited_text(text, ["engine.bore=84 mm"])
    changed = _changed_lines(text, new)
    assert len(changed) == 1
    assert changed[0][1].rstrip("\r") == 'bore   =   "84 mm"    # nominal 82.5'
    assert new.count("\r\n") == text.count("\r\n")


def test_writing_nothing_changes_nothing() -> None:
    assert edited_text(COMMENTED, []) == COMMENTED


def test_new_keys_sections_and_curves(tmp_path: Path) -> None:
    settings = ["limits.torque=350 Nm", "limits.torque_basis=crank", "engine.connecting_rod_length=148 mm"]
    new = edited_text(SOUND, [*settings, "fuel.lambda_target=0.9"])
    data = tomllib.loads(new)
    assert data["limits"] == {"torque": "350 Nm", "torque_basis": "crank"}
    assert data["engine"]["connecting_rod_length"] == "148 mm"
    assert data["fuel"]["lambda_target"] == 0.9
    new = edited_text(new, ['fuel.lambda_target={ speed = [2000, 6000], unit = "rpm", value = [0.9, 0.8] }'])
    assert tomllib.loads(new)["fuel"]["lambda_target"]["value"] == [0.9, 0.8]
    assert read_build(write_build(tmp_path, new))["limits"].si("torque") == 350.0


def test_one_value_inside_a_curve() -> None:
    new = edited_text(SOUND, ["boost_control.target.value=[170, 180]"])
    assert len(_changed_lines(SOUND, new)) == 1
    assert tomllib.loads(new)["boost_control"]["target"]["value"] == [170, 180]


def test_an_empty_value_takes_the_key_out() -> None:
    data = tomllib.loads(edited_text(SOUND, ["boost_control.target=", "limits.torque="]))
    assert data["boost_control"] == {}
    assert "limits" not in data


def test_saved_settings_are_those_of_the_run(tmp_path: Path) -> None:
    build = read_build(write_build(tmp_path, COMMENTED))
    saved = save_settings(build, ["wastegate.takeoff_angle=90 deg", "wastegate.outlet=open"])
    assert saved["wastegate"].si("takeoff_angle") == pytest.approx(1.5707963)
    assert saved["wastegate"].text("outlet") == "open"
    assert "# measured with a bore gauge, cold" in (tmp_path / "build.toml").read_text(encoding="utf-8")
    assert [path.name for path in tmp_path.iterdir()] == ["build.toml"]


def test_a_byte_order_mark_stays(tmp_path: Path) -> None:
    build = read_build(write_build(tmp_path, b"\xef\xbb\xbf" + SOUND.encode()))
    save_settings(build, ["engine.bore=84 mm"])
    assert (tmp_path / "build.toml").read_bytes().startswith(b"\xef\xbb\xbfschema")


def test_a_refused_setting_changes_nothing(tmp_path: Path) -> None:
    build = read_build(write_build(tmp_path))
    with pytest.raises(BuildError, match="has no unit"):
        save_settings(build, ["engine.bore=84"])
    assert (tmp_path / "build.toml").read_text() == SOUND


def test_a_file_changed_by_someone_else_is_not_overwritten(tmp_path: Path) -> None:
    build = read_build(write_build(tmp_path))
    theirs = SOUND.replace('"Test build"', '"Their name"')
    write_build(tmp_path, theirs)
    with pytest.raises(BuildError, match="changed by another program"):
        save_settings(build, ["engine.bore=84 mm"])
    assert (tmp_path / "build.toml").read_text() == theirs


@pytest.mark.parametrize("fails", ["fsync", "replace"])
def test_a_crash_while_saving_leaves_the_old_file_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails: str
) -> None:
    path = tmp_path / "build.toml"
    path.write_text("old")

    def broken(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, fails, broken)
    with pytest.raises(OSError, match="No space"):
        save_atomically(path, b"new and longer")
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_permissions_and_links_stay(tmp_path: Path) -> None:
    real, link = tmp_path / "real.toml", tmp_path / "build.toml"
    real.write_text("old")
    real.chmod(0o640)
    link.symlink_to(real)
    save_atomically(link, b"new")
    assert link.is_symlink()
    assert real.read_text() == "new"
    assert real.stat().st_mode & 0o777 == 0o640


def test_a_new_file_never_takes_the_place_of_another(tmp_path: Path) -> None:
    path = tmp_path / "build.toml"
    save_new(path, b"first")
    with pytest.raises(FileExistsError):
        save_new(path, b"second")
    assert path.read_text() == "first"
    assert list(tmp_path.iterdir()) == [path]
