"""Where a log is: its folder, its name in a build, a file read on the fly; and what is said where there is none."""

from __future__ import annotations

import gc
import shutil
from pathlib import Path

import numpy as np
import pytest

from boostwright.errors import BoostwrightError
from boostwright.logs.records import LogError
from boostwright.tasks.import_log import ImportOptions, import_logs
from boostwright.tasks.log_place import logs_of_build, open_log_place

ROOT = Path(__file__).resolve().parents[3]
LOG = ROOT / "tests" / "data" / "logs" / "kit_trip_acceleration.csv"
OTHER = ROOT / "tests" / "data" / "logs" / "kit_one_value_per_row.csv"


@pytest.fixture
def build(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "examples" / "hill_climb_estate", tmp_path / "estate")
    return tmp_path / "estate"


def test_a_log_of_a_build_by_folder_by_name_and_as_the_only_one(build: Path) -> None:
    folder = import_logs([LOG], build / "logs").logs[0].entry.folder
    for what, named in (
        (folder, None),
        (folder, build),
        (Path(folder.name), build),
        (Path(LOG.name), build),
        (build, None),
        (build, build / "build.toml"),
        (LOG, build),
    ):
        place = open_log_place(what, named)
        assert place.folder.resolve() == folder.resolve()
        assert place.kept
        assert place.build is not None
        assert place.name == LOG.name
        assert "engine_speed" in place.channels.names
    assert [entry.folder for entry in logs_of_build(build)] == [folder]


def test_a_log_outside_a_build_has_none(tmp_path: Path) -> None:
    folder = import_logs([LOG], tmp_path / "logs").logs[0].entry.folder
    assert open_log_place(folder).build is None


def test_a_file_is_read_on_the_fly_and_leaves_nothing(build: Path) -> None:
    place = open_log_place(LOG, build)
    assert not place.kept
    assert place.build is not None
    assert np.all(np.isfinite(place.channels.read("engine_speed").time))
    assert not (build / "logs").exists()
    folder = place.folder
    channels = place.of_part(1).channels
    del place
    gc.collect()
    assert channels.read("engine_speed").value.size
    del channels
    gc.collect()
    assert not folder.exists()


def test_channels_alone_keep_the_file_they_are_of() -> None:
    assert open_log_place(LOG).channels.read("engine_speed").value.size


def test_what_is_said_of_a_file_settles_its_columns(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    log.write_text("Time [s],RPM,Coolant\n" + "".join(f"{k / 10},{1000 + k},85\n" for k in range(30)))
    asked = open_log_place(log)
    assert [p.column for p in asked.questions] == ["Coolant"]
    assert "temperature_coolant" not in asked.channels.names
    said = open_log_place(log, options=ImportOptions(units=("Coolant=degC",)))
    assert not said.questions
    assert said.channels.read("temperature_coolant").value[0] == pytest.approx(358.15)


def test_a_faulty_build_round_a_log_is_said_and_one_that_was_named_is_refused(build: Path) -> None:
    folder = import_logs([LOG], build / "logs").logs[0].entry.folder
    (build / "build.toml").write_text("[engine]\nbore = 3\n")
    place = open_log_place(folder)
    assert place.build is None
    assert "boostwright check" in place.notes[0]
    with pytest.raises(BoostwrightError):
        open_log_place(folder, build)


def test_a_log_of_several_parts_opens_at_the_longest(tmp_path: Path) -> None:
    log = tmp_path / "two.csv"
    head = "Time [s],RPM\n"
    rows = [f"{k / 10},{1000 + k}\n" for k in range(40)]
    log.write_text(head + "".join(rows[:20]) + head + "".join(rows))
    place = open_log_place(log)
    assert place.parts == (1, 2)
    assert place.part == 2
    assert place.channels.read("engine_speed").time.size == 40
    assert any("2 parts" in note for note in place.notes)
    assert place.of_part(1).channels.read("engine_speed").time.size == 20
    with pytest.raises(LogError, match="has no part 3"):
        place.of_part(3)
    with pytest.raises(LogError, match="has no part 5"):
        open_log_place(log, part=5)


@pytest.mark.parametrize("what", ["nowhere", "nowhere/at/all"])
def test_no_log_is_refused_with_what_there_is(build: Path, what: str) -> None:
    with pytest.raises(LogError, match="no imported log"):
        open_log_place(Path(what))
    with pytest.raises(LogError, match="boostwright import"):
        open_log_place(build)
    import_logs([LOG, OTHER], build / "logs")
    with pytest.raises(LogError, match="kit-one-value-per-row"):
        open_log_place(Path(what), build)
    with pytest.raises(LogError, match="several logs"):
        open_log_place(build)


def test_an_empty_file_is_refused_with_its_name(tmp_path: Path) -> None:
    empty = tmp_path / "empty.csv"
    empty.write_bytes(b"")
    with pytest.raises(LogError, match=r"empty\.csv"):
        open_log_place(empty)
