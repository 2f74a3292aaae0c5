"""Cylinders apart through the command line: report, JSON, CSV and plots say the same, and only when the build asks."""

from __future__ import annotations

import contextlib
import csv
import io
import json
from pathlib import Path

import jsonschema
import pytest

from boostwright.cli.main import main
from boostwright.tasks.names import CYLINDER_QUANTITIES

ROOT = Path(__file__).parents[2]
BUILD = ROOT / "examples" / "hill_climb_estate"
SCHEMA = json.loads((ROOT / "docs" / "reference" / "prediction.schema.json").read_text(encoding="utf-8"))
SPEEDS = "2500, 4500, 6500 rpm"
ASKED = (
    "runners.air_share=[1.03, 1.00, 0.99, 1.00, 0.98]",
    "runners.fuel_share=[1.00, 0.94, 1.02, 1.00, 1.04]",
    "probe.card=thermocouple-k-3mm",
    "probe.place=runner",
    "probe.probe_length=36 mm",
    "probe.wall_depth=20 mm",
    "fuel.lambda_target=0.94",
    "limits.egt_reading=840 degC",
)


def run(*words: str) -> str:
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        assert main(["predict", str(BUILD), "--speeds", SPEEDS, *words]) == 0
    return printed.getvalue()


def settings(*asked: str) -> list[str]:
    return [word for setting in asked for word in ("--set", setting)]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cylinders")


@pytest.fixture(scope="module")
def report(folder: Path) -> str:
    files = [
        "--json",
        str(folder / "p.json"),
        "--csv",
        str(folder / "p.csv"),
        "--plot",
        str(folder / "plots"),
    ]
    return run(*settings(*ASKED), *files)


@pytest.fixture(scope="module")
def document(report: str, folder: Path) -> dict:  # type: ignore[type-arg]
    assert report
    return json.loads((folder / "p.json").read_text(encoding="utf-8"))  # type: ignore[no-any-return]


def test_json_holds_to_its_schema_and_carries_every_cylinder(document: dict) -> None:  # type: ignore[type-arg]
    jsonschema.Draft202012Validator(SCHEMA).validate(document)
    block = document["cylinders"]
    assert block["count"] == 5
    assert block["air_share"] == pytest.approx([1.03, 1.00, 0.99, 1.00, 0.98])
    assert set(block["quantities"]) == set(CYLINDER_QUANTITIES)
    for entry in block["quantities"].values():
        assert [len(row) for row in entry["values"]] == [3] * 5
    lam = [row[0] for row in block["quantities"]["lambda"]["values"]]
    shares = zip(block["air_share"], block["fuel_share"], strict=True)
    assert lam == pytest.approx([0.94 * air / fuel for air, fuel in shares])


def test_the_highest_reading_is_the_hottest_cylinder_s_and_its_limit_binds(document: dict) -> None:  # type: ignore[type-arg]
    readings = document["cylinders"]["quantities"]["egt_reading"]["values"]
    quantities = document["quantities"]
    for point, (highest, spread) in enumerate(
        zip(
            quantities["egt_reading_highest"]["values"],
            quantities["egt_reading_spread"]["values"],
            strict=True,
        )
    ):
        column = [row[point] for row in readings]
        assert column.index(max(column)) == 1  # least fuel for its air
        assert highest == max(column)
        assert spread == pytest.approx(max(column) - min(column))
    limit = next(limit for limit in document["limits"] if limit["name"] == "egt-hottest-cylinder")
    assert limit["utilisation"][-1] == pytest.approx(
        quantities["egt_reading_highest"]["values"][-1] / 1113.15
    )
    assert document["binding_limit"][-1] == "egt-hottest-cylinder"


def test_parts_of_the_reading_add_up(document: dict) -> None:  # type: ignore[type-arg]
    q = {name: entry["values"] for name, entry in document["quantities"].items()}
    for point in range(3):
        parts = [
            q[f"probe_{part}"][point] for part in ("recovery_error", "radiation_error", "conduction_error")
        ]
        assert all(part > 0.0 for part in parts)
        gas = q["egt_reading"][point] + sum(parts) + q["probe_cycle_offset"][point]
        assert q["temperature_em"][point] < gas < q["temperature_port"][point]  # 50 mm from the port


def test_the_report_names_hottest_and_coldest_and_what_reads_alike(report: str) -> None:
    words = " ".join(report.split())
    assert "a probe in each runner shows most in cylinder 2" in words
    assert "and least in cylinder 5" in words
    assert "equal mixture" in words
    assert "What a probe in each runner shows" in words
    assert "conduction along the sheath" in words
    assert "by its card thermocouple-k-3mm" in words
    assert "exhaust_manifold.runner_bore = 33.2 mm" in words


def test_csv_carries_the_same_in_the_units_of_the_workshop(document: dict, folder: Path) -> None:  # type: ignore[type-arg]
    names, units, *rows = csv.reader((folder / "p.csv").read_text(encoding="utf-8").splitlines())
    column = names.index("egt_reading_cylinder_2")
    assert units[column] == "degC"
    readings = document["cylinders"]["quantities"]["egt_reading"]["values"][1]
    assert [float(row[column]) + 273.15 for row in rows] == pytest.approx(readings)
    assert names[-4:] == ["binding_limit", "flags", "reason", "nearest_limit"]
    assert units[names.index("egt_reading_spread")] == "K"


def test_plots_show_three_cylinders_at_a_time(report: str, folder: Path) -> None:
    assert report
    for name in ("cylinders-1-3", "cylinders-4-5"):
        assert (folder / "plots" / f"{name}.svg").stat().st_size > 5000


def test_a_spark_too_early_for_one_cylinder_is_flagged() -> None:
    words = " ".join(run(*settings("runners.air_share=[1.08, 0.98, 0.98, 0.98, 0.98]")).split())
    assert "cylinder-knocks" in words
    assert "in cylinder 1, whose spark would have to come" in words


def test_a_mixture_outside_the_table_is_flagged() -> None:
    shares = "[1.28, 0.93, 0.93, 0.93, 0.93]"
    words = " ".join(run(*settings(f"runners.fuel_share={shares}", "fuel.lambda_target=0.82")).split())
    assert "cylinder-outside-cycle-table" in words
    assert "lambda of cylinder 1" in words


def test_a_probe_hotter_than_it_is_made_for_is_flagged() -> None:
    hot = ("probe.card=thermocouple-k-1.5mm", "probe.highest_temperature=700 degC")
    assert "probe-beyond-range" in run(*settings(*hot))


def test_nothing_of_it_without_being_asked(tmp_path: Path) -> None:
    text = run("--json", str(tmp_path / "p.json"))
    document = json.loads((tmp_path / "p.json").read_text(encoding="utf-8"))
    assert "cylinders" not in document
    assert "egt_reading_highest" not in document["quantities"]
    assert "runner" not in text
