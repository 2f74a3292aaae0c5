"""``boostwright align`` as a user runs it: a polled log, a dyno's file on another clock, what cannot be told."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import numpy as np
import pytest
from made_logs_a import drive

from boostwright.cli.main import main
from boostwright.logs.records import LogError
from boostwright.tasks.align_log import (
    ALIGNMENT,
    align_clocks,
    align_log,
    on_one_clock,
    read_clocks,
)
from boostwright.tasks.log_place import open_log_place

ROOT = Path(__file__).resolve().parents[2]
LOGS = ROOT / "tests" / "data" / "logs"
SHIFT = 40.0  # the dyno's first row on the car's clock: each file's time counts from its first row


def _write(path: Path, head: str, columns: list[np.ndarray]) -> Path:
    lines = [head, *(",".join(f"{v:.3f}" for v in row) for row in zip(*columns, strict=True))]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.fixture
def files(tmp_path: Path) -> tuple[Path, Path, Path]:
    """A build, and a car's and a dyno's file of one made drive."""
    shutil.copytree(ROOT / "examples" / "hill_climb_estate", tmp_path / "estate")
    rng = np.random.default_rng(5)
    speed = drive(rng, 200.0)
    time = np.arange(0.0, 200.0, 0.05)
    rpm = speed(time)
    load = np.clip(rpm / 6500.0, 0.1, 1.0)
    car = [
        time,
        rpm,
        100.0 + 120.0 * load,
        30.0 + 10 * load,
        80.0 * load,
        0.8 + 0.2 * load,
        400.0 + 400.0 * load,
    ]
    head = (
        "Time [s],Engine Speed [rpm],Manifold Pressure [kPa],Intake Air Temp [degC],Throttle [%],Lambda [-],"
    )
    head += "EGT [degC]"
    first = _write(tmp_path / "car.csv", head, car)
    dyno = np.arange(40.0, 190.0, 0.1)
    second = [dyno - 37.4, speed(dyno) + rng.normal(0.0, 8.0, dyno.size), 3e-2 * speed(dyno)]
    return (
        tmp_path / "estate",
        first,
        _write(tmp_path / "dyno.csv", "Time [s],Engine Speed [rpm],Roller Speed [km/h]", second),
    )


def test_a_polled_log_stays_slow_and_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["align", str(LOGS / "kit_trip_acceleration.csv")]) == 0
    told = capsys.readouterr().out
    assert "polled" in told
    assert "samples-only" in told
    assert "one row in 10" in " ".join(told.split())
    assert "Between two samples there is nothing." in " ".join(told.split())


def test_the_clock_of_a_second_file_is_found_and_kept(files, capsys: pytest.CaptureFixture[str]) -> None:
    build, car, dyno = files
    assert main(["import", str(car), str(dyno), "--build", str(build)]) == 0
    capsys.readouterr()
    assert main(["align", "car", "dyno", "--build", str(build), "--json", "-"]) == 0
    document = json.loads(capsys.readouterr().out)
    best = document["clock"]["tried"][0]
    assert document["clock"]["found"]
    assert best["channel"] == best["channel_of_file"] == "engine_speed"
    assert best["offset"] == pytest.approx(SHIFT, abs=0.02)
    assert abs(best["offset"] - SHIFT) < 3 * best["standard_error"]
    (kept,) = read_clocks(build / "logs" / "car")
    assert kept.offset.offset == pytest.approx(best["offset"])
    assert kept.other == "dyno.csv"
    assert main(["align", "car", "dyno", "--build", str(build)]) == 0  # again: in place of the first
    assert len(read_clocks(build / "logs" / "car")) == 1
    channels = {one["channel"]: one for one in document["channels"]}
    assert channels["lambda"]["treatment"] == "put-back"
    assert channels["egt_reading"]["treatment"] in ("lag-undone", "lag-bound")
    assert "lag" in channels["egt_reading"]


def test_channels_of_both_on_one_clock(files) -> None:
    build, car, dyno = files
    first, second = open_log_place(car, build), open_log_place(dyno, build)
    clocks = align_clocks(first, second)
    assert clocks.best is not None
    assert clocks.stored == ""
    aligned = align_log(first)
    joined = on_one_clock(aligned.aligned.channels, second.channels, clocks.best.result)
    roller, speed = joined.read("vehicle_speed_roller"), joined.read("engine_speed")
    assert np.array_equal(speed.time, first.channels.read("engine_speed").time)
    there = np.interp(roller.time, speed.time, speed.value)
    assert np.corrcoef(there, roller.value)[0, 1] > 0.999


def test_a_bound_is_no_figure_anywhere(files, capsys: pytest.CaptureFixture[str]) -> None:
    """A dyno that shows means over 0.8 s may have smoothed afterwards, or be 0.4 s late: its file looks the same."""
    build, car, _ = files
    fine = np.arange(0.0, 200.0, 0.01)
    marks = np.array([0, 12, 14, 25, 29, 60, 62, 73, 77, 110, 112, 122, 127, 200])
    speed = np.interp(
        fine, marks, [900, 900, 2000, 6400, 1100, 900, 2000, 6200, 1100, 900, 2000, 6300, 1100, 900]
    )
    mean = np.convolve(speed, np.full(81, 1 / 81), mode="same")
    rng = np.random.default_rng(2)
    time, dyno = fine[:-100:4], fine[400:-400:10]
    first = [time, np.interp(time, fine, speed) + rng.normal(0.0, 4.0, time.size)]
    second = [dyno - 4.0, np.interp(dyno, fine, mean) + rng.normal(0.0, 4.0, dyno.size)]
    _write(car, "Time [s],Engine Speed [rpm]", first)
    smoothed = _write(build.parent / "smoothed.csv", "Time [s],Engine Speed [rpm]", second)
    assert main(["import", str(car), str(smoothed), "--build", str(build)]) == 0
    capsys.readouterr()
    assert main(["align", "car", "smoothed", "--build", str(build)]) == 3
    told = " ".join(capsys.readouterr().out.split())
    assert "no figure: between" in told
    assert "Not kept: a bound" in told
    assert "say it with --lag" in told
    assert main(["align", "car", "smoothed", "--build", str(build), "--json", "-"]) == 3
    clock = json.loads(capsys.readouterr().out)["clock"]
    assert not clock["found"]
    assert clock["bounded"]
    (only,) = clock["tried"]
    assert "offset" not in only
    assert only["reason"] == "bound-lag"
    assert only["low"] <= 4.0 <= only["high"]
    assert not read_clocks(build / "logs" / "car")
    clocks = align_clocks(open_log_place("car", build), open_log_place("smoothed", build))
    assert clocks.best is None
    assert clocks.bound is not None
    with pytest.raises(LogError, match="no figure"):
        on_one_clock(
            open_log_place("car", build).channels,
            open_log_place("smoothed", build).channels,
            clocks.bound.result,
        )
    assert main(["align", "car", "smoothed", "--build", str(build), "--lag", "0"]) == 0  # smoothed afterwards
    (kept,) = read_clocks(build / "logs" / "car")
    assert abs(kept.offset.offset - 4.0) < 0.05


@pytest.mark.parametrize("late", [0.0, 0.3])
def test_who_knows_how_late_an_instrument_is_gets_a_figure(
    files, late: float, capsys: pytest.CaptureFixture[str]
) -> None:
    """A plain delay looks like another offset of the clocks: only its maker knows it."""
    build, car, _ = files
    rng = np.random.default_rng(3)
    speed = drive(rng, 150.0)
    time, dyno = np.arange(0.0, 150.0, 0.05), np.arange(10.0, 140.0, 0.1)
    _write(
        car, "Time [s],Engine Speed [rpm]", [time, speed(time) + rng.normal(0.0, 150.0, time.size).round(-1)]
    )
    shown = speed(dyno - late) + rng.normal(0.0, 150.0, dyno.size)
    noisy = _write(build.parent / "noisy.csv", "Time [s],Engine Speed [rpm]", [dyno - 10.0, shown])
    assert main(["align", str(car), str(noisy), "--lag", str(late), "--json", "-"]) == 0
    (only,) = json.loads(capsys.readouterr().out)["clock"]["tried"]
    assert abs(only["offset"] - 10.0) < 0.05
    assert only["lag"] == pytest.approx(late)


def test_files_that_were_not_there_together(files, capsys: pytest.CaptureFixture[str]) -> None:
    build, car, _ = files
    other = np.arange(0.0, 120.0, 0.1)
    foreign = drive(np.random.default_rng(99), 120.0)(other)
    stranger = _write(build.parent / "other.csv", "Time [s],Engine Speed [rpm]", [other, foreign])
    assert main(["align", str(car), str(stranger)]) == 3
    told = " ".join(capsys.readouterr().out.split())
    assert "is not known" in told
    assert not list(build.parent.rglob(ALIGNMENT))


def test_nothing_in_common_and_wrong_names_are_refused(files, capsys: pytest.CaptureFixture[str]) -> None:
    build, car, _ = files
    time = np.arange(0.0, 60.0, 0.1)
    air = _write(build.parent / "air.csv", "Time [s],Coolant Temp [degC]", [time, 80.0 + time / 10])
    assert main(["align", str(car), str(air)]) == 2
    assert "no quantity in common" in capsys.readouterr().err
    assert main(["align", str(car), str(car), "--quantity", "shaft_speed"]) == 2
    assert "has no channel shaft_speed" in capsys.readouterr().err
    assert main(["align", str(build.parent / "gone.csv")]) == 2


def test_a_damaged_alignment_is_named(files, capsys: pytest.CaptureFixture[str]) -> None:
    build, car, dyno = files
    main(["import", str(car), str(dyno), "--build", str(build)])
    (build / "logs" / "car" / ALIGNMENT).write_text("{", encoding="utf-8")
    assert main(["align", "car", "dyno", "--build", str(build)]) == 2
    assert ALIGNMENT in capsys.readouterr().err
