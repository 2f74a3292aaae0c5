"""Everything a build can ask for besides, through the command line: table, JSON, CSV and plots carry the same."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import jsonschema
import pytest

from boostwright.cli.main import main

ROOT = Path(__file__).parents[2]
BUILD = ROOT / "examples" / "hill_climb_estate"
ASKED = (
    "power_correction.method=sae-j1349",
    "driveline.loss_model=share",
    "driveline.loss_share=14 %",
    "driveline.loss_status=believed",
    "fuel.blend_card=ethanol",
    "fuel.blend_share=30 %",
    "fuel.blend_share_basis=volume",
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("asked")


@pytest.fixture(scope="module")
def table(folder: Path) -> str:
    """One run with everything asked for; what it printed."""
    import contextlib
    import io

    words = [word for setting in ASKED for word in ("--set", setting)]
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        files = [
            "--json",
            str(folder / "p.json"),
            "--csv",
            str(folder / "p.csv"),
            "--plot",
            str(folder / "plots"),
        ]
        code = main(
            ["predict", str(BUILD), "--mode", "spring", "--speeds", "2500, 4500, 6500 rpm", *words, *files]
        )
    assert code == 0
    return printed.getvalue()


def test_the_table_shows_the_raw_figures_first(table: str) -> None:
    head = next(line for line in table.splitlines() if "corrected  corrected" in line)
    assert "at wheels  at wheels" in head
    words = " ".join(table.split())
    assert "Power correction by sae-j1349: dry pressure 100.13 kPa" in words
    assert "On boosted engines: what SAE J1349 says of engines with boost control could not be read" in words
    assert "driveline loss: 14 % of the power (believed; build)" in words
    assert "fuel card: petrol-ron98 with 30 % ethanol by volume (31.2 % by mass)" in words
    assert "Duty of the injectors 85 %" in words
    assert "Flow margin of the fuel pump 15 %" in words


def test_json_is_described_by_its_schema_and_carries_the_same(table: str, folder: Path) -> None:
    schema = json.loads((ROOT / "docs" / "reference" / "prediction.schema.json").read_text(encoding="utf-8"))
    document = json.loads((folder / "p.json").read_text(encoding="utf-8"))
    jsonschema.validate(document, schema)
    found = {name: entry["values"] for name, entry in document["quantities"].items()}
    assert list(found)[:3] == ["engine_speed", "torque", "power"]
    for raw, factor, corrected, wheel in zip(
        found["power"],
        found["power_correction_factor"],
        found["power_corrected"],
        found["power_wheel"],
        strict=True,
    ):
        assert corrected == pytest.approx(raw * factor)
        assert wheel == pytest.approx(0.86 * raw)
    assert {"injector", "pump"} <= {limit["name"] for limit in document["limits"]}
    assert document["constants"]["correction_dry_pressure"]["unit"] == "Pa"
    assert "correction-for-unboosted" in {flag["code"] for flag in document["flags"][0]}


def test_csv_has_them_with_their_units(table: str, folder: Path) -> None:
    names, units, *_ = csv.reader((folder / "p.csv").read_text(encoding="utf-8").splitlines())
    unit = dict(zip(names, units, strict=True))
    assert (unit["power_corrected"], unit["torque_wheel"], unit["rail_pressure"]) == ("kW", "Nm", "kPa gauge")
    assert (unit["pump_flow"], unit["injector_duty"], unit["volume_flow_fuel"]) == ("L/h", "%", "L/h")


def test_plots_show_them_beside_the_raw_curve(table: str, folder: Path) -> None:
    text = (folder / "plots" / "torque-and-power.svg").read_text(encoding="utf-8")
    for words in ("at the crankshaft, raw", "in the reference atmosphere", "at the wheels, raw"):
        assert words in text
    assert (folder / "plots" / "fuel-system.svg").is_file()


def test_what_is_not_asked_for_is_not_there(capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        main(["predict", str(BUILD), "--set", "fuel_system.injection=none", "--set", "fuel_system.pump=none"])
        == 0
    )
    text = capsys.readouterr().out
    for words in ("corrected  corrected", "at wheels", "injector", "Power correction", "driveline loss"):
        assert words not in text.partition("Defaults nobody")[0].replace("correct the", "")
