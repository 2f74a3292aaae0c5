"""``boostwright pulls`` as a user runs it: on a log of a build, on a file, changed by a rule, refused."""

from __future__ import annotations

import csv
import json
import math
import shutil
from pathlib import Path

import numpy as np
import pytest

from boostwright.cli.main import main

ROOT = Path(__file__).resolve().parents[2]
LOGS = ROOT / "tests" / "data" / "logs"
THIRD = 1.37 * 3.73 / 0.306  # rad/m in third gear of the hill-climb estate


@pytest.fixture
def build(tmp_path: Path) -> Path:
    shutil.copytree(ROOT / "examples" / "hill_climb_estate", tmp_path / "estate")
    return tmp_path / "estate"


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """An invented drive at 20 rows a second: a pull in third gear, a short one, one at three quarters of throttle."""
    rpm = [np.full(100, 850.0)]
    throttle = [np.full(100, 3.0)]
    for high, opening, seconds in ((6200.0, 100.0, 9.0), (3400.0, 100.0, 2.0), (5600.0, 75.0, 9.0)):
        rpm += [np.linspace(850, 2300, 40), np.full(60, 2300.0), np.linspace(2300, high, round(20 * seconds))]
        throttle += [np.full(100, 20.0), np.full(round(20 * seconds), opening)]
        rpm += [np.linspace(high, 850, 100)]
        throttle += [np.full(100, 2.0)]
    speed, opening = np.concatenate(rpm), np.concatenate(throttle)
    road = np.where(speed > 1500, speed * np.pi / 30 / THIRD * 3.6, 0.0)
    lines = ["Time [s],RPM,TPS [%],Speed [km/h],CLT [degC],MAP [kPa abs]"]
    for k in range(speed.size):
        pressure = 40 + 60 * opening[k] / 100 + 60 * (opening[k] > 90)
        lines.append(
            f"{k / 20:.2f},{speed[k]:.0f},{opening[k]:.0f},{road[k]:.2f},{84 + k / 200:.0f},{pressure:.0f}"
        )
    file = tmp_path / "drive.csv"
    file.write_text("\n".join(lines) + "\n")
    return file


def test_pulls_of_a_log_in_a_build(build: Path, log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["import", str(log), "--build", str(build), "--unit", "MAP=kPa absolute"]) == 0
    capsys.readouterr()
    table = build.parent / "pulls.csv"
    assert main(["pulls", "drive", "--build", str(build), "--json", "-", "--csv", str(table)]) == 0
    told = capsys.readouterr()
    assert "1 pull; not taken: 2 stretches" in told.err
    assert "by the build's gear ratios" in told.err
    document = json.loads(told.out)
    assert document["build"] == "estate"
    (part,) = document["parts"]
    (pull,) = part["pulls"]
    assert pull["gear"] == "3"
    assert pull["end"] - pull["start"] == pytest.approx(9.0, abs=0.3)
    assert pull["ramp"] == pytest.approx((6200 - 2300) / 9 * np.pi / 30, rel=0.02)
    assert {one["channel"] for one in pull["state"]} >= {"temperature_coolant"}
    assert [one["code"] for one in part["not_taken"]] == ["lifted", "throttle-not-full"]
    rows = list(csv.DictReader(table.read_text().splitlines()))
    assert rows[0]["start"] == "s"  # the row of units
    assert [row["kind"] for row in rows[1:]] == ["pull", "not taken", "not taken"]
    assert float(rows[1]["ramp"]) == pytest.approx((6200 - 2300) / 9, rel=0.02)
    assert float(rows[1]["temperature_coolant_at_start"]) == pytest.approx(85, abs=1)


def test_pulls_of_a_file_without_a_build(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pulls", str(log)]) == 0
    told = " ".join(capsys.readouterr().out.split())  # lines are filled to the terminal's width
    assert "1 pull; not taken: 2 stretches" in told
    assert "no gear ratios are known" in told
    assert "1500 needed; then the throttle was closed" in told
    assert "read 75 %" in told
    assert not (log.parent / "logs").exists()


def test_a_rule_changes_what_is_a_pull(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pulls", str(log), "--rule", "least_rise=900 rpm", "--rule", "full_throttle=70 %"]) == 0
    told = capsys.readouterr().out
    assert "3 pulls; not taken: 0 stretches" in told
    assert "throttle at 70 % of its travel" in told


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        ("least_rize=900", "has no least_rize"),
        ("least_rise=900 km", "not a number in its unit"),
        ("least_rise=much", "not a number in its unit"),
        ("full_throttle=5 %", "out of range"),
    ],
)
def test_a_rule_that_cannot_be_is_refused(
    log: Path, capsys: pytest.CaptureFixture[str], rule: str, words: str
) -> None:
    assert main(["pulls", str(log), "--rule", rule]) == 2
    assert words in capsys.readouterr().err


def test_a_road_car_that_never_does_a_pull_is_told_why(capsys: pytest.CaptureFixture[str]) -> None:
    """A real log, each channel asked every 0.9 s: its throttle stands open at idle, so the pedal has to tell."""
    assert main(["pulls", str(LOGS / "kit_multirate.mf4")]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "0 pulls" in told
    assert "even while the engine idles" in told
    assert "pedal_position_1 read 26 to 50 %" in told
    assert "every 0.87 s" in told


def test_a_log_without_engine_speed_is_an_answer(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pulls", str(LOGS / "dyno cell roller and fuel.txt"), "--json", "-"]) == 0
    told = capsys.readouterr()
    assert "has no engine speed" in told.err
    assert json.loads(told.out)["parts"][0]["pulls"] == []


def test_no_log_and_no_such_part_are_refused(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pulls", str(log.parent / "nowhere.csv")]) == 2
    assert "no imported log and no file" in capsys.readouterr().err
    assert main(["pulls", str(log), "--part", "3"]) == 2
    assert "has no part 3" in capsys.readouterr().err


def test_rows_that_are_only_counted_have_no_ramp(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A curve over engine speed, as a dyno prints: the stretch is a pull, its rate of rise is nobody's."""
    file = tmp_path / "curve.csv"
    rows = "\n".join(f"{n},100,{n / 100:.0f}" for n in range(2000, 6600, 100))
    file.write_text(f"Engine Speed (rpm),Throttle (%),Boost (kPa)\n{rows}\n")
    assert main(["pulls", str(file), "--json", "-"]) == 0
    told = capsys.readouterr()
    (pull,) = json.loads(told.out)["parts"][0]["pulls"]
    assert [pull[name] for name in ("ramp", "ramp_error", "ramp_low", "ramp_high")] == [None] * 4
    assert pull["speed_end"] - pull["speed_start"] == pytest.approx(4500 * math.pi / 30, rel=0.01)
    assert "nan" not in told.err
