"""From an example build to files on disk through the command line, in a copy outside the repository."""

from __future__ import annotations

import csv
import json
import math
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from boostwright.cli.main import main

SCHEMA = Path(__file__).parents[2] / "docs" / "reference" / "prediction.schema.json"
EXAMPLES = ("hill-climb-estate", "transverse-three")
MODES = ("gate-shut", "spring", "target", "gate-open", "no-turbo")


def snapshot(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def read_json(text: str) -> dict[str, Any]:
    """Parse as strictly as JSON itself is, and hold against the schema."""

    def refuse(word: str) -> None:
        raise AssertionError(f"{word} is no JSON")

    document: dict[str, Any] = json.loads(text, parse_constant=refuse)
    jsonschema.Draft202012Validator(json.loads(SCHEMA.read_text(encoding="utf-8"))).validate(document)
    return document


@pytest.fixture(params=EXAMPLES)
def build(request: pytest.FixtureRequest, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    folder = tmp_path / "my car"
    assert main(["new", str(folder), "--example", request.param]) == 0
    capsys.readouterr()
    return folder


def test_new_check_predict_with_every_output(build: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = snapshot(build)
    assert main(["check", str(build)]) == 0
    capsys.readouterr()
    out = build.parent / "out"
    options = ["--json", f"{out}/a.json", "--csv", f"{out}/a.csv", "--plot", f"{out}/plots"]
    assert main(["predict", str(build), *options]) == 0
    printed, messages = capsys.readouterr()
    assert "Traceback" not in messages
    assert snapshot(build) == before

    document = read_json((out / "a.json").read_text(encoding="utf-8"))
    with (out / "a.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.reader(stream))
    count = len(document["outcomes"])
    assert len(rows) == count + 2
    assert set(rows[0]) - {"flags", "reason", "nearest_limit", "binding_limit"} == set(document["quantities"])
    column = {name: place for place, name in enumerate(rows[0])}
    assert rows[1][column["pressure_im"]] == "kPa absolute"
    for point, row in enumerate(rows[2:]):
        value = document["quantities"]["pressure_im"]["values"][point]
        cell = row[column["pressure_im"]]
        assert (cell == "") == (value is None)
        if value is not None:
            assert float(cell) == pytest.approx(value / 1e3, rel=1e-8)
    pictures = {path.stem for path in (out / "plots").glob("*.svg")}
    assert pictures == {path.stem for path in (out / "plots").glob("*.png")}
    assert "rods" in pictures
    assert len(pictures) == 6 + ("fuel-system" in pictures)
    speeds = [f"{speed * 30 / math.pi:.0f}" for speed in document["quantities"]["engine_speed"]["values"]]
    assert [
        line.split()[0] for line in printed.splitlines() if line.split()[:1] and line.split()[0] in speeds
    ][:count] == speeds


@pytest.mark.parametrize("mode", MODES)
def test_every_mode_follows_the_schema(build: Path, mode: str, capsys: pytest.CaptureFixture[str]) -> None:
    code = main(["predict", str(build), "--mode", mode, "--json", "-"])
    out, err = capsys.readouterr()
    document = read_json(out)
    assert document["mode"] == mode
    solved = [outcome["solved"] for outcome in document["outcomes"]]
    assert code == (0 if any(solved) else 3)
    assert f"mode {mode}" in err
    for quantity in document["quantities"].values():
        assert len(quantity["values"]) == len(solved)
    for name in ("torque", "boost", "pressure_em", "mass_flow_air"):
        values = document["quantities"][name]["values"]
        assert [value is not None for value in values] == solved


def test_set_and_speeds_change_the_run_and_not_the_file(
    build: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = snapshot(build)
    options = ["--speeds", "3000, 2500 rpm", "--mode", "spring", "--json", "-"]

    def boost(rating: str) -> float:
        assert main(["predict", str(build), *options, "--set", f"wastegate.spring_rating={rating}"]) == 0
        document = read_json(capsys.readouterr().out)
        assert document["quantities"]["engine_speed"]["values"] == pytest.approx(
            [2500 * math.pi / 30, 3000 * math.pi / 30]
        )
        assert f"wastegate.spring_rating={rating}" in document["settings"]
        value: float = document["quantities"]["boost"]["values"][1]
        return value

    assert boost("0.30 bar gauge") < boost("0.45 bar gauge")
    assert snapshot(build) == before


def test_a_build_that_runs_away_everywhere_says_so_and_nothing_is_lost(
    build: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = snapshot(build)
    top = "5500, 5750 rpm"
    small = "turbine.choked_flow=0.008 kg/s*sqrt(K)/kPa"
    code = main(
        ["predict", str(build), "--mode", "gate-shut", "--speeds", top, "--set", small, "--json", "-"]
    )
    out, err = capsys.readouterr()
    assert code == 3
    document = read_json(out)
    assert all(outcome["reason"] and outcome["nearest_limit"] for outcome in document["outcomes"])
    assert "No steady state at 2 of 2 points" in err
    assert "Nearest limit" in err
    assert "Traceback" not in err
    assert snapshot(build) == before


@pytest.mark.parametrize(
    ("setting", "message"),
    [
        ("wastegate.spring_rating=0.8", "has no unit"),
        ("wastegate.spring_ratin=0.8 bar gauge", "spring_rating"),
        ("turbine.a_r=82", "0.82"),
        ("engine.bore=830 mm", "engine.bore"),
        ("nonsense", "--set"),
        ("ambient.pressure=0 bar gauge", "ambient.pressure"),
    ],
)
def test_a_wrong_setting_is_refused_with_its_key(
    build: Path, setting: str, message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    before = snapshot(build)
    assert main(["predict", str(build), "--set", setting]) == 2
    out, err = capsys.readouterr()
    assert message in err
    assert "Traceback" not in err
    assert out == ""
    assert snapshot(build) == before


def half_written(text: bytes) -> bytes:
    return text[: len(text) // 2]


def foreign(text: bytes) -> bytes:
    return text.replace(b"name = ", b"name = \xff\xfe ", 1)


@pytest.mark.parametrize("command", ["check", "predict"])
@pytest.mark.parametrize(
    "damage", [lambda _: b"", half_written, foreign], ids=["empty", "half-written", "foreign"]
)
def test_a_damaged_build_is_refused_and_left_as_it_is(
    build: Path, command: str, damage: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    path = build / "build.toml"
    path.write_bytes(damage(path.read_bytes()))
    before = snapshot(build)
    assert main([command, str(build)]) == 2
    _, err = capsys.readouterr()
    assert "build.toml" in err
    assert "Traceback" not in err
    assert snapshot(build) == before


@pytest.mark.parametrize("command", ["check", "predict"])
def test_a_folder_that_is_not_there_is_refused(
    tmp_path: Path, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([command, str(tmp_path / "nowhere")]) == 2
    assert "nowhere" in capsys.readouterr().err


def test_a_build_that_is_there_is_never_overwritten(build: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = snapshot(build)
    assert main(["new", str(build)]) == 2
    assert main(["predict", str(build), "--csv", str(build / "build.toml")]) == 2
    assert snapshot(build) == before
    assert "build.toml" in capsys.readouterr().err


def test_an_empty_template_says_what_is_missing_and_where(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["new", str(tmp_path / "car")]) == 0
    capsys.readouterr()
    assert main(["predict", str(tmp_path / "car")]) == 2
    err = capsys.readouterr().err
    assert err.count("build.toml, line ") > 10
    assert "Remedy" in err


def test_the_installed_command_writes_json_alone_on_standard_output(build: Path) -> None:
    command = Path(sys.executable).parent / "boostwright"
    done = subprocess.run(
        [str(command), "predict", str(build), "--speeds", "3000 rpm", "--json", "-"],
        capture_output=True,
        timeout=300,
        check=True,
    )
    assert len(read_json(done.stdout.decode("utf-8"))["outcomes"]) == 1
