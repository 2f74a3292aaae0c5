"""``boostwright import`` as a user runs it: into a build, asked, answered, noticed, refused."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from boostwright.cli.main import main

ROOT = Path(__file__).resolve().parents[2]
LOGS = ROOT / "tests" / "data" / "logs"


@pytest.fixture
def build(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "examples" / "hill_climb_estate", tmp_path / "estate")
    return tmp_path / "estate"


def test_from_a_log_to_channels_in_a_build(build: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["import", str(LOGS / "kit_trip_acceleration.csv"), "--build", str(build)]) == 0
    told = capsys.readouterr().out
    assert "No question is open." in told
    assert "pressure_im" in told
    assert (build / "logs" / "kit-trip-acceleration" / "original" / "kit_trip_acceleration.csv").is_file()
    assert main(["check", str(build)]) == 0


def test_asked_then_answered(build: Path, capsys: pytest.CaptureFixture[str]) -> None:
    log = build.parent / "log.csv"
    log.write_text("Time [s],RPM,Coolant\n" + "".join(f"{k / 10},{1000 + k},85\n" for k in range(30)))
    assert main(["import", str(log), "--build", str(build), "--json", "-"]) == 0
    document = json.loads(capsys.readouterr().out)
    columns = {c["column"]: c for c in document["logs"][0]["columns"]}
    assert columns["Coolant"]["status"] == "asked"
    assert {c["unit"] for c in columns["Coolant"]["choices"]} >= {"degC", "degF"}
    assert main(["import", str(log), "--build", str(build), "--unit", "Coolant=degC"]) == 0
    told = capsys.readouterr().out
    assert "had been imported before" in told
    assert "said" in told


def test_a_faulty_file_is_named_and_the_other_one_is_in(
    build: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    empty = build.parent / "empty.csv"
    empty.write_bytes(b"")
    assert main(["import", str(empty), str(LOGS / "kit_one_value_per_row.csv"), "--build", str(build)]) == 2
    told = capsys.readouterr()
    assert "empty.csv: is empty" in told.err
    assert [p.name for p in (build / "logs").iterdir()] == ["kit-one-value-per-row"]


def test_no_build_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["import", str(LOGS / "kit_one_value_per_row.csv"), "--build", str(tmp_path)]) == 2
    assert "no build" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["kit_multirate.mf4", "kit_multirate_3.mdf"])
def test_measurement_files_give_the_channels_of_the_text(tmp_path: Path, name: str) -> None:
    """The same trip as text and as ASAM MDF: the same readings at the same times."""
    import numpy as np

    from boostwright.logs.mapping.channels import open_channels
    from boostwright.tasks.import_log import import_logs

    channels = open_channels(import_logs([LOGS / name], tmp_path).logs[0].entry.folder)
    assert {"engine_speed", "pressure_im", "temperature_coolant", "mass_flow_air"} <= set(channels.names)
    speed = channels.read("engine_speed")
    assert np.median(np.diff(speed.time)) == pytest.approx(0.9, abs=0.05)  # polled so slowly, and kept so
    assert 300 <= speed.time[0] <= speed.time[-1] <= 420


def test_can_frames_with_their_database(tmp_path: Path) -> None:
    import numpy as np

    from boostwright.logs.mapping.channels import open_channels
    from boostwright.tasks.import_log import ImportOptions, import_logs

    options = ImportOptions(databases=(LOGS / "j1939_demo.dbc",))
    channels = open_channels(
        import_logs([LOGS / "truck_idle_can_raw.mf4"], tmp_path, options).logs[0].entry.folder
    )
    speed = channels.read("engine_speed")
    rpm = speed.value * 60 / (2 * np.pi)
    assert speed.time.size == pytest.approx(600, abs=10)  # 100 Hz for six seconds
    assert 640 < rpm.min() < rpm.max() < 660  # what the source says of the whole log: 646.5 to 653.75
    failed = import_logs([LOGS / "truck_idle_can_raw.mf4"], tmp_path / "without").failed
    assert "--dbc" in failed[0].faults[0].remedy
