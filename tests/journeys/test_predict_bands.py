"""``predict --bands`` as a user meets it: text, CSV, JSON by its schema, pictures, and what is refused."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from pathlib import Path

import jsonschema
import numpy as np
import pytest

from boostwright.cli.main import main

ROOT = Path(__file__).resolve().parents[2]
ESTATE = str(ROOT / "examples" / "hill_climb_estate")
SCHEMA = json.loads((ROOT / "docs" / "reference" / "prediction.schema.json").read_text(encoding="utf-8"))
SPEEDS = ("--speeds", "2000, 2250, 3500, 5500 rpm")
DRAWN = ("--bands", "--samples", "200", "--seed", "7")
STATED = (
    "--set", "wastegate.spring_rating=0.6 bar gauge +- 0.02 bar",
    "--set", "exhaust.pressure_drop=12 kPa +- 25 % uniform",
)  # fmt: skip


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("bands")
    files = {"csv": folder / "b.csv", "json": folder / "b.json", "plot": folder / "plot"}
    options = [part for name, path in files.items() for part in (f"--{name}", str(path))]
    assert main(["predict", ESTATE, *SPEEDS, *DRAWN, *STATED, *options]) == 0
    return files


def document(written: dict[str, Path]) -> dict:
    return json.loads(written["json"].read_text(encoding="utf-8"))


def test_json_follows_its_schema_and_orders_its_edges(written: dict[str, Path]) -> None:
    found = document(written)
    jsonschema.validate(found, SCHEMA)
    bands = found["bands"]
    assert (bands["samples"], bands["seed"], bands["levels"]) == (200, 7, [0.05, 0.5, 0.95])
    assert set(bands["quantities"]) <= set(found["quantities"])
    for name, band in bands["quantities"].items():
        low, middle, high = (np.array(band[key], dtype=float) for key in ("low", "middle", "high"))
        here = np.isfinite(low)
        assert (low[here] <= middle[here]).all(), name
        assert (middle[here] <= high[here]).all(), name
    assert bands["quantities"]["torque"]["high"][2] > bands["quantities"]["torque"]["low"][2]
    stated = {d["name"] for d in bands["doubts"] if d["status"] == "stated"}
    assert stated == {"wastegate.spring_rating", "exhaust.pressure_drop"}
    assert "turbine.choked_flow" in bands["taken_as_exact"]
    assert "limits.torque" not in bands["taken_as_exact"]


def test_every_quantity_of_the_prediction_has_a_band(written: dict[str, Path]) -> None:
    found = document(written)
    without = (
        set(found["quantities"]) - set(found["bands"]["quantities"]) - {"torque_rods"}
    )  # the notes say so
    assert {
        name for name in without if "_knock_" not in name and not name.endswith(("_early", "_late"))
    } == set()


def test_headlines_name_doubts_whose_shares_add_up(written: dict[str, Path]) -> None:
    found = document(written)["bands"]
    names = {doubt["name"]: doubt for doubt in found["doubts"]}
    codes = [headline["code"] for headline in found["headlines"]]
    assert codes[0] == "threshold"
    assert {"most-torque", "highest-egt", "highest-drive-ratio", "highest-shaft-speed"} <= set(codes)
    for headline in found["headlines"]:
        shares = [one["share"] for one in headline["contributors"]]
        assert shares == sorted(shares, reverse=True)
        assert sum(shares) < 1.1
        for one in headline["contributors"]:
            assert names[one["doubt"]]["measure"]


def test_csv_carries_the_edges_in_the_unit_of_the_quantity(written: dict[str, Path]) -> None:
    rows = list(csv.reader(written["csv"].read_text(encoding="utf-8").splitlines()))
    head, units, first = rows[0], rows[1], rows[4]
    at = {name: head.index(name) for name in ("boost", "boost_5", "boost_50", "boost_95", "steady_share")}
    assert units[at["boost_5"]] == units[at["boost"]] == "kPa gauge"
    si = document(written)["bands"]["quantities"]["boost"]
    assert float(first[at["boost_95"]]) == pytest.approx(si["high"][2] / 1e3, rel=1e-8)
    assert float(first[at["steady_share"]]) <= 100.0
    assert len({len(row) for row in rows}) == 1


def test_pictures_are_shaded(written: dict[str, Path]) -> None:
    svg = (written["plot"] / "torque-and-power.svg").read_text(encoding="utf-8")
    assert "PolyCollection" in svg or "FillBetween" in svg


def test_text_names_what_is_not_confirmed_and_what_to_measure(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["predict", ESTATE, *SPEEDS, *DRAWN, "--propagation"]) == 0
    text = capsys.readouterr().out
    for words in (
        "Bands: 5 to 95 % of the samples",
        "Answers and what makes them uncertain",
        "What to measure",
        "Not confirmed by anybody",
        "Taken as exact",
        "200 samples from seed 7",
        "law of propagation",
    ):
        assert words in text
    assert "cylinder.burn_duration = 25 deg (+- 6 deg)" in text.replace("\n    ", " ")


def test_same_seed_same_answer_another_seed_another(capsys: pytest.CaptureFixture[str]) -> None:
    answers = []
    for seed in ("3", "3", "4"):
        assert (
            main(["predict", ESTATE, *SPEEDS, "--bands", "--samples", "40", "--seed", seed, "--json", "-"])
            == 0
        )
        answers.append(json.loads(capsys.readouterr().out)["bands"]["quantities"]["torque"])
    assert answers[0] == answers[1]
    assert answers[0] != answers[2]


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--samples", "100"), "belong to --bands"),
        (("--bands", "--samples", "5"), "20 to 100000"),
        (("--bands", "--seed", "-1"), "below zero"),
        (("--bands", "--set", "charge_cooler.effectiveness=0.7 +- 0.5"), "cannot be more than 1"),
    ],
)
def test_refused(options: tuple[str, ...], words: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["predict", ESTATE, *SPEEDS, *options]) == 2
    assert words in capsys.readouterr().err


def test_without_bands_the_statistics_library_stays_out() -> None:
    code = (
        "import sys; from boostwright.cli.main import main; "
        f"main(['predict', {ESTATE!r}, '--speeds', '3000 rpm']); "
        "print([name for name in sys.modules if name.startswith(('scipy', 'numba'))], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    if "Compiling" in done.stderr:  # only what runs afterwards counts
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr.strip().splitlines()[-1] == "[]"
