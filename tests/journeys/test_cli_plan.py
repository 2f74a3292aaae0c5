"""``boostwright plan`` on both examples: text, JSON against its schema, CSV, pictures, and refusals."""

from __future__ import annotations

import csv
import json
import math
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from boostwright.cli.main import main

SCHEMAS = Path(__file__).parents[2] / "docs" / "reference"
EXAMPLES = ("hill-climb-estate", "transverse-three")
SPEEDS = "2000:6000:1000 rpm"


def validated(text: str) -> dict[str, Any]:
    """Parse as strictly as JSON itself is, and hold against the schemas of the plan and of its prediction."""

    def refuse(word: str) -> None:
        raise AssertionError(f"{word} is no JSON")

    document: dict[str, Any] = json.loads(text, parse_constant=refuse)
    for name, part in (("plan", document), ("prediction", document["prediction"])):
        schema = json.loads((SCHEMAS / f"{name}.schema.json").read_text(encoding="utf-8"))
        jsonschema.Draft202012Validator(schema).validate(part)
    return document


@pytest.fixture(params=EXAMPLES)
def build(request: pytest.FixtureRequest, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    folder = tmp_path / "my car"
    assert main(["new", str(folder), "--example", request.param]) == 0
    capsys.readouterr()
    return folder


def test_a_plan_with_every_output(build: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = {path: path.read_bytes() for path in build.rglob("*") if path.is_file()}
    out = build.parent / "out"
    files = ["--json", f"{out}/plan.json", "--csv", f"{out}/plan.csv", "--plot", f"{out}/plots"]
    assert main(["plan", str(build), "--speeds", SPEEDS, "--samples", "40", "--seed", "3", *files]) == 0
    text, messages = capsys.readouterr()
    assert "Traceback" not in messages
    assert {path: path.read_bytes() for path in build.rglob("*") if path.is_file()} == before
    document = validated((out / "plan.json").read_text(encoding="utf-8"))
    along = ("target", "target_gauge", "ceiling", "floor", "spool", "binding", "binding_day", "margin")
    assert {len(document[name]) for name in along} == {5}
    assert document["risk"]["samples"] == 40
    assert document["risk"]["found"] <= document["risk"]["stated"] or not document["risk"]["met"]
    with (out / "plan.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.reader(stream))
    assert len(rows) == 2 + 5
    assert len({len(row) for row in rows}) == 1
    column = rows[0].index("pressure_target")
    assert rows[1][column] == "kPa absolute"
    for row, target in zip(rows[2:], document["target"], strict=True):
        assert (
            (float(row[column]) * 1e3 == pytest.approx(target)) if target is not None else row[column] == ""
        )
    for name in ("boost-plan.png", "boost-plan.svg"):
        assert (out / "plots" / name).stat().st_size > 10_000
    for words in ("The same table on every day", "What each limit costs", "Spring and base duty", "Risk"):
        assert words in text
    table = next(line for line in text.splitlines() if line.strip().startswith("3000")).split()
    target = document["target"][1]
    assert float(table[1]) == pytest.approx(target / 1e3)
    assert float(table[2]) == pytest.approx((target - document["pressure_amb"]) / 1e3, abs=0.51)


def test_json_to_standard_output_is_json_alone_and_its_numbers_are_finite(
    build: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    few = ["--speeds", "2500, 3000, 4500, 5000 rpm", "--samples", "0"]
    assert main(["plan", str(build), *few, "--json", "-"]) == 0
    text, messages = capsys.readouterr()
    document = validated(text)
    assert document["risk"] is None
    assert "boost plan" in messages
    worst = max(use for day in document["days"] for use in day["worst_use"] if use is not None)
    assert math.isfinite(worst)
    assert worst <= 1.0 + 1e-7


def test_a_floor_above_every_limit_is_an_answer_with_its_own_code(
    build: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    few = ["--speeds", "4000, 5000 rpm", "--samples", "0", "--set", "limits.egt_reading=400 degC"]
    few += ["--plot", str(build.parent / "plots"), "--csv", str(build.parent / "plan.csv")]
    assert main(["plan", str(build), *few]) == 3
    text, messages = capsys.readouterr()
    assert "creep floor" in text
    assert "What holds it there" in text
    assert "no boost is inside the limits" in messages


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--speeds", "3000"], "has no unit"),
        (["--csv", "build.toml"], "--csv"),
        (["--set", "plan.risk=7"], "plan.risk"),
        (["--set", 'plan.days=[{ name = "x", settings = ["ambient.temprature=5 degC"] }]'], "temprature"),
        (["--set", 'plan.parts=[{ name = "x" }]'], "changes nothing"),
        (["--set", "limits.torque="], None),
    ],
)
def test_bad_input_is_refused_with_its_place(
    options: list[str], words: str | None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "car"
    assert main(["new", str(folder), "--example", "transverse-three"]) == 0
    capsys.readouterr()
    code = main(["plan", str(folder), "--samples", "0", *(["--speeds", "3000, 4000 rpm"] if "--speeds" not in options else []), *options])  # fmt: skip  # noqa: E501
    _, messages = capsys.readouterr()
    assert code == (0 if words is None else 2)
    if words is not None:
        assert words in messages


def test_a_turbo_without_a_gate_that_runs_away_is_an_answer_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "car"
    assert main(["new", str(folder), "--example", "hill-climb-estate"]) == 0
    settings = ("wastegate.kind=none", "prediction.mode=gate-shut", "boost_control.target=", "plan.parts=")
    options = [word for setting in settings for word in ("--set", setting)]
    options += [
        "--speeds",
        "3000, 5000 rpm",
        "--samples",
        "5",
        "--plot",
        str(tmp_path / "plots"),
        "--json",
        "-",
    ]
    capsys.readouterr()
    assert main(["plan", str(folder), *options]) == 3
    document = validated(capsys.readouterr().out)
    assert document["target"] == [None, None]
    assert document["spring"] is None
    assert document["risk"] is None
