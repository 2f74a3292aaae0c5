"""Saving changes: what is written, what is refused, and what a conflict says."""

from __future__ import annotations

import errno
import os
import random
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest
from served import copy_of
from sound_build import SOUND, write_build

from boostwright.build import read_build
from boostwright.errors import BuildError
from boostwright.saving import ChangedMeanwhile, save_atomically, sweep
from boostwright.tasks.edit_build import Conflict, Saved, read_stamped, save_changes, stamp_of
from boostwright.tasks.form import build_form

KILLED = """
import sys
from pathlib import Path
from boostwright.tasks.edit_build import read_stamped, save_changes
folder = Path(sys.argv[1])
for turn in range(100000):
    _, stamp = read_stamped(folder)
    if turn == 1:
        print("ready", flush=True)
    save_changes(folder, {"engine.bore": f"{82 + turn % 200 / 100:.2f} mm", "name": "x" * (turn % 50 + 1)}, stamp)
"""


def _saved(folder: Path, changes: dict[str, str | None]) -> Saved:
    done = save_changes(folder, changes, read_stamped(folder)[1])
    assert isinstance(done, Saved)
    return done


def test_a_save_says_what_the_file_then_is(tmp_path: Path) -> None:
    folder = copy_of("hill_climb_estate", tmp_path)
    before = (folder / "build.toml").read_text(encoding="utf-8")
    done = _saved(
        folder,
        {"engine.bore": "84 mm", "wastegate.takeoff_loss": "0.6", "compressor.surge_margin_wanted": None},
    )
    assert stamp_of((folder / "build.toml").read_bytes()) == done.stamp == read_stamped(folder)[1]
    build = read_build(folder)
    assert build["engine"].si("bore") == pytest.approx(0.084)
    assert build["wastegate"].si("takeoff_loss") == 0.6
    assert not build["compressor"].written("surge_margin_wanted")
    after = (folder / "build.toml").read_text(encoding="utf-8")
    for line in before.splitlines():
        if "#" in line:
            assert line.partition("#")[2] in after
    assert {path.name for path in folder.iterdir()} == {"build.toml", "cards", "whatif.toml"}


def test_nothing_to_write_writes_nothing(tmp_path: Path) -> None:
    folder = copy_of("hill_climb_estate", tmp_path)
    was = (folder / "build.toml").stat().st_mtime_ns
    _saved(folder, {})
    _saved(folder, {"engine.bore": "83 mm"})
    assert (folder / "build.toml").stat().st_mtime_ns == was


def test_a_sound_build_stays_sound(tmp_path: Path) -> None:
    folder = copy_of("hill_climb_estate", tmp_path)
    data, stamp = read_stamped(folder)
    for changes in (
        {"engine.bore": "84"},
        {"engine.bore": None},
        {"wastegate.spring_rating": "0.9 bar gauge", "boost_control.target": "150 kPa absolute"},
        {"nonsense.key": "1"},
        {"engine.bore=": "84 mm"},
        {"limits.own.hot.quantity": "no_such_quantity", "limits.own.hot.upper": "1"},
        {"engine": "5"},
        {"fuel.card": "../../secret"},
    ):
        with pytest.raises(BuildError) as error:
            save_changes(folder, changes, stamp)
        assert error.value.faults
        assert read_stamped(folder)[0] == data


def test_a_faulty_build_is_mended_fault_by_fault(tmp_path: Path) -> None:
    text = SOUND.replace('bore = "83 mm"', 'bore = "83"').replace('stroke = "92 mm"', "stroke = 92,0 # long")
    write_build(tmp_path, text)
    assert len(build_form(tmp_path, {}).faults) == 2
    with pytest.raises(BuildError):
        save_changes(tmp_path, {"engine.bore": "84"}, read_stamped(tmp_path)[1])
    _saved(tmp_path, {"engine.bore": "84 mm"})
    assert len(build_form(tmp_path, {}).faults) == 1
    assert not build_form(tmp_path, {"engine.stroke": "92 mm"}).faults
    _saved(tmp_path, {"engine.stroke": "92 mm"})
    assert not build_form(tmp_path, {}).faults
    assert "# long" in (tmp_path / "build.toml").read_text()


def test_a_conflict_names_the_keys_and_writes_nothing(tmp_path: Path) -> None:
    folder = copy_of("hill_climb_estate", tmp_path)
    data, stamp = read_stamped(folder)
    path = folder / "build.toml"
    theirs = data.replace(b'bore = "83 mm"', b'bore = "82 mm"').replace(
        b'stroke = "92 mm"', b'stroke = "90 mm"'
    )
    path.write_bytes(theirs)
    changes: dict[str, str | None] = {"engine.bore": "84 mm", "engine.compression_ratio": "9.2"}
    done = save_changes(folder, changes, stamp, data)
    assert isinstance(done, Conflict)
    assert path.read_bytes() == theirs
    assert done.stamp == stamp_of(theirs)
    found = {one.key: (one.mine, one.theirs, one.was, one.both) for one in done.keys}
    assert found == {
        "engine.bore": ("84 mm", "82 mm", "83 mm", True),
        "engine.compression_ratio": ("9.2", "9.0", "9.0", True),
        "engine.stroke": (None, "90 mm", "92 mm", False),
    }
    # mine over theirs: only the keys I changed
    _saved(folder, changes)
    text = path.read_text(encoding="utf-8")
    assert 'bore = "84 mm"' in text
    assert 'stroke = "90 mm"' in text


def test_an_editor_that_saves_in_the_last_moment_wins(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = copy_of("hill_climb_estate", tmp_path)
    path = folder / "build.toml"
    data, stamp = read_stamped(folder)
    theirs = data + b"# a note of mine\n"
    real = os.fsync

    def meanwhile(handle: int) -> None:
        real(handle)
        path.write_bytes(theirs)

    monkeypatch.setattr(os, "fsync", meanwhile)
    done = save_changes(folder, {"engine.bore": "84 mm"}, stamp, data)
    assert isinstance(done, Conflict)
    assert path.read_bytes() == theirs
    assert not list(folder.glob("*.part")) + list(folder.glob(".*.part"))


@pytest.mark.parametrize("place", ["fsync", "replace"])
def test_a_full_disk_is_a_fault_and_nothing_is_lost(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, place: str
) -> None:
    folder = copy_of("hill_climb_estate", tmp_path)
    data, stamp = read_stamped(folder)

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, place, full)
    with pytest.raises(BuildError, match="No space left"):
        save_changes(folder, {"engine.bore": "84 mm"}, stamp)
    monkeypatch.undo()
    assert read_stamped(folder)[0] == data
    assert {path.name for path in folder.iterdir()} == {"build.toml", "cards", "whatif.toml"}


def test_a_file_that_is_gone_is_a_fault(tmp_path: Path) -> None:
    folder = copy_of("hill_climb_estate", tmp_path)
    _, stamp = read_stamped(folder)
    (folder / "build.toml").unlink()
    with pytest.raises(BuildError, match="cannot be read"):
        save_changes(folder, {"engine.bore": "84 mm"}, stamp)


def test_a_program_killed_at_any_moment_leaves_a_whole_file(tmp_path: Path) -> None:
    folder = copy_of("hill_climb_estate", tmp_path)
    rng = random.Random(11)
    seen = set()
    for number in range(12):
        before = (folder / "build.toml").read_bytes()
        process = subprocess.Popen([sys.executable, "-c", KILLED, str(folder)], stdout=subprocess.PIPE)
        assert process.stdout is not None
        process.stdout.readline()
        patience = time.monotonic() + 20.0
        # every other time not before its first save, which a busy machine may not come to in the time that follows
        while number % 2 and (folder / "build.toml").read_bytes() == before and time.monotonic() < patience:
            time.sleep(0.01)
        time.sleep(rng.uniform(0.0, 0.4))
        process.kill()
        process.communicate()
        text = (folder / "build.toml").read_text(encoding="utf-8")
        data = tomllib.loads(text)
        assert data["engine"]["stroke"] == "92 mm"
        assert text.endswith("\n")
        assert text.startswith("# A hill-climb estate")
        assert read_build(folder).name
        seen.add(data["engine"]["bore"])
    assert len(seen) > 1, "no save was ever under way"
    # what a killed save left behind is swept up by a later one
    for left in folder.glob(".build.toml.*.part"):
        os.utime(left, (0, 0))
    sweep(folder / "build.toml")
    assert not list(folder.glob(".build.toml.*.part"))


def test_saving_instead_of_something_else_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a"
    path.write_bytes(b"theirs")
    with pytest.raises(ChangedMeanwhile):
        save_atomically(path, b"mine", instead_of=b"as read")
    assert path.read_bytes() == b"theirs"
    assert list(tmp_path.iterdir()) == [path]
    save_atomically(path, b"mine", instead_of=b"theirs")
    assert path.read_bytes() == b"mine"
