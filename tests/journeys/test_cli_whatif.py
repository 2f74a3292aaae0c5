"""``boostwright whatif`` from the command line to its files, on both examples."""

from __future__ import annotations

import csv
import json
import re
import subprocess
import sys
from pathlib import Path
from shutil import copytree

import jsonschema
import pytest

from boostwright.cli.main import main

ROOT = Path(__file__).parents[2]
SCHEMA = json.loads((ROOT / "docs" / "reference" / "whatif.schema.json").read_text(encoding="utf-8"))


@pytest.fixture(params=["hill_climb_estate", "transverse_three"])
def folder(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    place = tmp_path / request.param
    copytree(ROOT / "examples" / request.param, place)
    return place


@pytest.fixture
def estate(tmp_path: Path) -> Path:
    place = tmp_path / "estate"
    copytree(ROOT / "examples" / "hill_climb_estate", place)
    return place


def test_the_file_of_an_example_gives_table_cures_and_files(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = [tmp_path / name for name in ("found.json", "found.csv", "pictures")]
    code = main(["whatif", str(folder), "--json", str(out[0]), "--csv", str(out[1]), "--plot", str(out[2]),
                 "--compare", "0, 1, 2"])  # fmt: skip
    text = capsys.readouterr().out
    assert code == 0
    assert "Ranked by" in text
    assert "creep floor above the boost that must be held" in text
    assert "a lower bound" in text
    assert "absolute" in text
    found = json.loads(out[0].read_text(encoding="utf-8"))
    jsonschema.validate(found, SCHEMA)
    assert [case["number"] for case in found["cases"]] == list(range(len(found["cases"])))
    assert len(found["side_by_side"]) == 3
    rows = list(csv.reader(out[1].read_text(encoding="utf-8").splitlines()))
    assert len(rows) == 2 + len(found["cases"])
    column = rows[0].index("peak_power")
    assert rows[1][column] == "kW"
    assert float(rows[2][column]) == pytest.approx(found["cases"][0]["figures"]["peak_power"] / 1e3, rel=1e-8)
    assert (out[2] / "whatif-side-by-side.png").stat().st_size > 10_000
    ranks = [int(row[1]) for row in rows[2:] if row[1]]
    assert sorted(ranks) == list(range(1, len(ranks) + 1))


def test_one_at_a_time_from_the_file_draws_a_tornado(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["whatif", str(folder), "--one-at-a-time", "--plot", str(tmp_path / "p"), "--json", "-"]) == 0
    captured = capsys.readouterr()
    found = json.loads(captured.out)
    jsonschema.validate(found, SCHEMA)
    assert len(found["levers"]) >= 5
    assert not found["cures"]
    assert "One key at a time" in captured.err
    assert (tmp_path / "p" / "whatif-tornado.svg").is_file()


def test_two_keys_varied_give_a_map(estate: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    options = ["--vary", "turbine.choked_flow=0.022:0.03:3 kg/s*sqrt(K)/kPa"]
    options += [
        "--vary",
        "wastegate.valve_diameter=30, 44 mm",
        "--rank-by",
        "creep-floor",
        "--plot",
        str(tmp_path / "p"),
    ]
    assert main(["whatif", str(estate), *options, "--json", "-"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert [len(axis["values"]) for axis in found["axes"]] == [3, 2]
    assert (tmp_path / "p" / "whatif-map.png").is_file()
    floors = [found["cases"][number]["figures"]["creep_floor"] for number in found["ranked"]]
    assert floors == sorted(floors)


def test_cards_are_tried_one_after_the_other(estate: Path, capsys: pytest.CaptureFixture[str]) -> None:
    names = "compressor=estate-112mm, scaled-cc3-124mm, no-such-wheel"
    assert main(["whatif", str(estate), "--card", names, "--json", "-"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert "no compressor card 'no-such-wheel'" in found["cases"][3]["reason"]
    flows = [case["figures"]["choke_margin"] for case in found["cases"][1:3]]
    assert flows[1] > flows[0]


def test_cases_that_cannot_be_are_listed_and_if_none_can_the_exit_code_says_so(
    estate: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    some = ["--vary", "wastegate.valve_diameter=44, 500 mm"]
    assert main(["whatif", str(estate), *some]) == 0
    assert "Cases that cannot be:" in capsys.readouterr().out
    assert main(["whatif", str(estate), "--vary", "wastegate.valve_diameter=44, 50 mm flange"]) == 3
    captured = capsys.readouterr()
    said = " ".join(captured.out.split())  # lines are as long as the terminal is wide
    assert "measure the valve head across its seat" in said or "is given as flange" in said
    assert "not one case can be" in captured.err


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--vary", "wastegate.valve_diameter=44"], "has no unit"),
        (["--vary", "wastegate.count=1, 2", "--rank-by", "beauty"], "no figure of merit"),
        (["--vary", "wastegate.count=1, 2", "--between", "2000 to 9000 rpm"], "does not lie within"),
        (["--vary", "wastegate.count=1, 2", "--between", "fast"], "no range of speeds"),
        (["--vary", "wastegate.count=1, 2", "--creep-floor", "150 kPa"], "absolute or gauge"),
        (["--vary", "wastegate.count=1, 2", "--compare", "0, 9"], "is no case"),
        (["--vary", "wastegate.count=1, 2", "--compare", "1"], "names 1 cases"),
        (["--from", "nowhere.toml"], "cannot be read"),
        (["--set", "prediction.mode=no-turbo", "--vary", "wastegate.count=1, 2"], "no turbo"),
        (["--vary", "wastegate.count=1, 2", "--csv", "build.toml"], "describes a car"),
    ],
)
def test_what_cannot_be_asked_is_refused(
    estate: Path, options: list[str], words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["whatif", str(estate), *options]) == 2
    assert words in capsys.readouterr().err


def test_a_long_run_tells_how_far_it_is_and_keeps_its_rows(estate: Path) -> None:
    run = subprocess.run(
        [sys.executable, "-c", "from boostwright.cli.main import run; run()", "whatif", str(estate), "--vary",
         "wastegate.spring_rating=0.3:0.6:150 bar gauge", "--top", "3"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    done = [int(number) for number in re.findall(r"^(\d+) of 151 cases", run.stderr, flags=re.MULTILINE)]
    assert done[-1] == 151
    assert done == sorted(done)
    assert len(list((estate / "whatif").glob("*.rows"))) == 1
    assert "... and 148 more" in run.stdout


def test_help_imports_neither_numpy_nor_the_compiler() -> None:
    code = "import sys; from boostwright.cli.main import main; main(['whatif', '--help']); "
    code += "sys.exit(any(name in sys.modules for name in ('numpy', 'numba', 'matplotlib')))"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True).returncode == 0
