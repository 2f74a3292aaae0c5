"""Derive, from a file to the files it writes: with and without a build, on the day's air, whole or not at all."""

from __future__ import annotations

import csv
import json
import shutil
from pathlib import Path

import numpy as np
import pyarrow.parquet as pq
import pytest

from boostwright.cli.main import main
from boostwright.logs.derived.uncertain import exact
from boostwright.logs.records import LogError
from boostwright.report.log_derived_json import derived_document
from boostwright.report.log_derived_text import derived_text
from boostwright.report.log_shown import difference_shown, how_shown, number_text
from boostwright.tasks.derive import (
    CATALOGUE,
    Derived,
    DeriveRequest,
    Figure,
    derive,
    figure_of,
    is_vague,
    told_rows,
)
from boostwright.tasks.import_log import import_logs
from boostwright.tasks.log_place import open_log_place
from boostwright.tasks.predict import predict

ESTATE = Path(__file__).parents[3] / "examples" / "hill_climb_estate"
AIR = 97.8


@pytest.fixture(scope="module")
def estate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("build") / "estate"
    shutil.copytree(ESTATE, folder, ignore=shutil.ignore_patterns("logs"))
    return folder


def _columns(estate: Path) -> dict[str, np.ndarray]:
    """Rest, idle, and two pulls along the estate's own prediction, with a little noise."""
    found = predict(estate)
    rng = np.random.default_rng(4)
    rpm, full = [np.zeros(60), np.full(40, 900.0)], [np.zeros(100)]
    for _ in range(2):
        rpm += [np.linspace(2500, 6400, 180), np.linspace(6400, 2500, 60)]
        full += [np.full(180, 100.0), np.zeros(60)]
    speed, throttle = np.concatenate(rpm), np.concatenate(full)
    solved, si = found.solved, speed * np.pi / 30.0
    pull = throttle > 90.0

    def along(name: str, else_: float) -> np.ndarray:
        return np.where(pull, np.interp(si, found.speeds[solved], found[name][solved]), else_)

    pressure = np.where(speed < 1.0, AIR * 1e3, along("pressure_im", 45e3))
    n = speed.size
    return {
        "Time (s)": np.arange(n) * 0.05,
        "Engine Speed (rpm)": speed + rng.normal(0.0, 3.0, n) * (speed > 1.0),
        "Throttle Position (%)": throttle,
        "Manifold Pressure (kPa abs)": pressure / 1e3 + rng.normal(0.0, 0.3, n),
        "Intake Air Temp (degC)": along("temperature_im", 303.0) - 273.15 + rng.normal(0.0, 0.2, n),
        "Lambda": along("lambda", 1.0) + rng.normal(0.0, 0.003, n),
        "Mass Air Flow (g/s)": 1e3 * along("mass_flow_air", 0.01) * (speed > 1.0) + rng.normal(0.0, 0.5, n),
        "Exhaust Manifold Pressure (kPa abs)": np.where(
            speed < 1.0, AIR, along("pressure_em_static", 105e3) / 1e3
        )
        + rng.normal(0.0, 1.0, n),
    }


@pytest.fixture(scope="module")
def log(estate: Path) -> Path:
    """The log, imported into the build."""
    file = estate.parent / "two pulls.csv"
    columns = _columns(estate)
    with open(file, "w", newline="", encoding="utf-8") as stream:
        writer = csv.writer(stream)
        writer.writerow(columns)
        writer.writerows([f"{value:.4f}" for value in row] for row in zip(*columns.values(), strict=True))
    result = import_logs([file], estate / "logs")
    assert not result.logs[0].questions
    return result.logs[0].entry.folder


def test_with_its_build(log: Path) -> None:
    """The build round the log is found; the barometer is the key-on reading, and the prediction is made in its air."""
    result = derive(open_log_place(log))
    assert len(result.pulls) == 2
    assert result.prediction is not None
    assert result.prediction["pressure_amb"][0] == pytest.approx(AIR * 1e3, abs=150.0)
    figures = result.figures
    boost = figures["boost"]
    assert boost.middle == pytest.approx(figures["pressure_im"].middle - AIR * 1e3, abs=600.0)
    assert boost.sources[0][0] == "scale of pressure_im"
    # meter and speed-density read the same truth, so they agree
    (pair,) = result.agreements
    assert abs(pair.difference) < 0.01
    assert not pair.beyond
    # the tap in the collector, turned to total, gives the model's total back
    rows = result.worked.made["pressure_em"]
    inside = (rows.time > result.pulls[0].start + 1.0) & (rows.time < result.pulls[0].end - 1.0)
    at = np.interp(rows.time, *result.engine_speed)  # type: ignore[misc]
    solved = result.prediction.solved
    truth = np.interp(at, result.prediction.speeds[solved], result.prediction["pressure_em"][solved])
    assert rows.result.value[inside] == pytest.approx(truth[inside], rel=0.04)


def test_what_is_said_of_the_day_goes_before_the_log(log: Path) -> None:
    result = derive(open_log_place(log), DeriveRequest(pressure=90e3, model=False))
    assert result.figures["pressure_amb"].middle == 90e3
    assert result.prediction is None
    assert "gate_flow_share" not in result.figures


def test_without_a_build_it_is_said_what_one_would_add(log: Path, tmp_path: Path) -> None:
    alone = tmp_path / "alone"
    shutil.copytree(log, alone)
    result = derive(open_log_place(alone))
    assert any("No build" in note for note in result.notes)
    assert "boost" in result.figures
    assert "mass_flow_air_speed_density" not in result.figures
    text = derived_text(result, 100)
    assert "a build knows" in text
    assert max(map(len, text.splitlines())) <= 140


@pytest.mark.parametrize(
    ("said", "word"), [({"load": "water"}, "roller"), ({"correction": "x"}, "sae-j1349")]
)
def test_a_request_that_cannot_be_is_refused(log: Path, said: dict[str, str], word: str) -> None:
    with pytest.raises(LogError, match=word):
        derive(open_log_place(log), DeriveRequest(**said))  # type: ignore[arg-type]


def test_document_holds_no_number_that_json_has_not(log: Path) -> None:
    document = derived_document(derive(open_log_place(log)))
    text = json.dumps(document, allow_nan=False)
    names = {one["name"] for one in document["quantities"]} | {one["name"] for one in document["missing"]}
    assert len(names) == len(document["quantities"]) + len(document["missing"])
    assert all(one["needs"] for one in document["missing"])
    assert "two pulls.csv" in text
    assert document["air_route"] == "meter"


def test_command_writes_everything_and_again(
    log: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    csv_folder, plots, file = tmp_path / "csv", tmp_path / "plots", tmp_path / "out.json"
    command = [
        "derive",
        str(log),
        "--csv",
        str(csv_folder),
        "--json",
        str(file),
        "--plot",
        str(plots),
        "--no-bands",
    ]
    assert main(command) == 0
    shown = capsys.readouterr().out
    assert "Routes to the air flow" in shown
    assert "check the sensors first" in " ".join(shown.split())
    assert sorted(p.name for p in plots.iterdir()) == sorted(
        f"{name}.{ending}"
        for name in ("strips", "over-speed", "on-the-map")
        for ending in ("png", "svg")
        if name != "on-the-map" or (plots / "on-the-map.png").is_file()
    )
    kept = log / "derived"
    document = json.loads((kept / "derived.json").read_text(encoding="utf-8"))
    assert document == json.loads(file.read_text(encoding="utf-8"))
    table = pq.read_table(kept / "pressure_im.parquet")
    assert {"time", "boost", "boost_low", "boost_high"} <= set(table.column_names)
    assert table.schema.field("boost").metadata[b"unit"] == b"Pa"
    with open(csv_folder / "pressure_im.csv", encoding="utf-8", newline="") as stream:
        rows = list(csv.reader(stream))
    where = rows[0].index("boost")
    assert rows[1][where] == "kPa gauge"
    assert float(rows[400][where]) == pytest.approx(table["boost"][398].as_py() / 1e3, rel=1e-5)
    assert float(rows[400][where + 1]) <= float(rows[400][where]) <= float(rows[400][where + 2])
    with open(csv_folder / "pulls-over-speed.csv", encoding="utf-8", newline="") as stream:
        names, units, *pulls = list(csv.reader(stream))
    assert units[2] == "rpm"
    assert {row[0] for row in pulls} == {"1", "2"}
    speeds = [float(row[2]) for row in pulls if row[0] == "1"]
    assert np.all(np.diff(speeds) == 100.0)
    assert 3000.0 in speeds
    assert len(speeds) > 30
    boost = {float(row[2]): float(row[names.index("boost")]) for row in pulls if row[names.index("boost")]}
    time, seen = (np.array(table[name]) for name in ("time", "boost"))
    engine = _columns(log.parents[1])["Engine Speed (rpm)"]
    near = (np.abs(engine[: seen.size] - 4000.0) < 50.0) & (
        _columns(log.parents[1])["Throttle Position (%)"] > 90.0
    )
    assert time.size == near.size
    assert boost[4000.0] == pytest.approx(float(np.mean(seen[near])) / 1e3, rel=0.02)
    before = sorted(p.name for p in kept.iterdir())
    assert main(["derive", str(log)]) == 0
    assert sorted(p.name for p in kept.iterdir()) == before
    assert not [p for p in log.iterdir() if p.name.startswith(".derived")]
    capsys.readouterr()


def test_command_says_what_it_cannot_use(log: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["derive", str(log), "--barometer", "98.3"]) == 2
    assert "unit" in capsys.readouterr().err
    assert main(["derive", str(log), "--slope", "3 kPa"]) == 2
    assert "--slope" in capsys.readouterr().err
    assert main(["derive", str(log), "--slope", "6"]) == 2
    assert '"6 %"' in capsys.readouterr().err
    assert main(["derive", str(log), "--load", "moon"]) == 2
    assert "road" in capsys.readouterr().err
    assert main(["derive", "no such log"]) == 2
    assert "no imported log" in capsys.readouterr().err


def test_a_stated_slope_is_in_the_torque_and_in_the_words(estate: Path, tmp_path: Path) -> None:
    columns = _columns(estate)
    columns["Vehicle Speed (km/h)"] = columns["Engine Speed (rpm)"] * 0.03
    place = open_log_place(_written(tmp_path, columns), estate)
    middles = {}
    for slope in (0.0, 0.05):
        found = derive(place, DeriveRequest(load="road", slope=slope, model=False))
        made = found.worked.made["torque_from_road"].result
        assert f"slope of the road {100 * slope:.3g} %, as stated" in made.flags["road"]
        middles[slope] = found.figures["torque_from_road"].middle
    assert middles[0.05] > 1.05 * middles[0.0]


def test_table_names_the_route_once_and_repeats_nothing(log: Path) -> None:
    """The best route stands behind the name; its own line, and one route over another, do not stand there again."""
    result = derive(open_log_place(log))
    assert result.worked.air_route == "meter"
    lines = derived_text(result, 120).splitlines()
    names = [line.split()[0] for line in lines if line.startswith("  ") and line[2:3].isalpha()]
    text = "\n".join(lines)
    assert "corrected_flow (meter)" in text
    assert "mass_flow_air (meter)" in text
    assert "corrected_flow_speed_density" in names
    assert "corrected_flow_meter" not in names
    assert not [name for name in names if "_over_" in name and name.startswith("air_flow")]
    assert text.count("gives") == len(result.agreements)


def test_what_is_missing_stands_under_one_head_each_and_only_cylinders_of_the_car(log: Path) -> None:
    result = derive(open_log_place(log))
    shown = derived_text(result, 120)
    missing = shown[shown.index("Not worked out") :].split("\n\n")[0]
    assert missing.count("\n") <= 20
    assert missing.count("\n  - ") <= 12
    assert not any(
        one.quantity.name in ("egt_over_mean_6", "egt_over_mean_12") for one in result.worked.missing
    )
    assert any(one.quantity.name == "egt_over_mean_5" for one in result.worked.missing)
    for one in result.worked.missing:  # each is under some head, or counted there
        assert one.needs


def test_a_loss_coefficient_is_shown_as_a_loss() -> None:
    """K of 9.77e7 Pa2 s2/(kg2 K): at 100 g/s and 1.2 kg/m3 it costs K m^2/(R rho) = 2.84 kPa, by hand."""
    derived = Derived(
        CATALOGUE["cooler_loss_coefficient"], np.zeros(1), exact(9.77e7, np.zeros(1)), (), "", np.inf
    )
    how = how_shown(derived)
    assert number_text(9.77e7, how) == "2.8"
    assert difference_shown(9.77e7, how) == pytest.approx(2.836, abs=1e-3)
    assert "kPa at 100 g/s" in how.label


def test_an_efficiency_known_within_a_quarter_of_itself_is_no_figure() -> None:
    """72 +- 20 % is neither printed nor drawn, 72 +- 15 % is; a difference may have any band; rows are judged alike."""

    def figure(middle: float, band: float) -> Figure:
        return Figure(middle, middle, middle, band, 10, ())

    assert is_vague("compressor_efficiency", figure(0.72, 0.20))
    assert not is_vague("compressor_efficiency", figure(0.72, 0.15))
    assert not is_vague("air_flow_fuel_over_meter", figure(0.01, 0.05))
    value = np.full(3, 0.72)
    made = (
        exact(value, value)
        .with_error("lag", np.array([0.05, 0.20, 0.05]))
        .only(np.array([True, True, False]))
    )
    derived = Derived(CATALOGUE["compressor_efficiency"], np.arange(3.0), made, (), "", 1.0)
    assert told_rows(derived).tolist() == [True, False, False]


def _written(folder: Path, columns: dict[str, np.ndarray]) -> Path:
    file = folder / "made.csv"
    rows = np.column_stack(list(columns.values()))
    np.savetxt(file, rows, "%.3f", ",", header=",".join(columns), comments="")
    return file


@pytest.mark.parametrize(("by", "told"), [(0.0, False), (6.0, True)])
def test_a_key_on_reading_far_from_the_builds_barometer_is_said(
    estate: Path, tmp_path: Path, by: float, told: bool
) -> None:
    """No barometer: a manifold sensor 6 kPa off stands for it, too little to be accused, too much to be passed over."""
    columns = {name: values for name, values in _columns(estate).items() if "Exhaust" not in name}
    columns["Manifold Pressure (kPa abs)"] = columns["Manifold Pressure (kPa abs)"] + by + 101.3 - AIR
    found = derive(open_log_place(_written(tmp_path, columns), estate), DeriveRequest(model=False))
    notes = " ".join(found.notes)
    assert ("by pressure_im with the engine at rest; the build has" in notes) is told


def test_columns_that_wait_for_an_answer_are_named(log: Path, tmp_path: Path) -> None:
    """Else what they would give looks as if it were not logged."""
    (original,) = (log / "original").iterdir()
    text = original.read_text().replace("Lambda", "Widget [psi]", 1)
    file = tmp_path / "log.csv"
    file.write_text(text)
    place = open_log_place(file)
    assert [p.column for p in place.questions] == ["Widget"]
    assert "Not used, since they wait for an answer: Widget." in derived_text(derive(place), 110)


def test_an_efficiency_counts_where_its_probe_has_settled() -> None:
    """No figure of the pull's begin, where a cold probe makes an efficiency of over 1, or a band as wide as itself."""
    seen = np.array([1.4, 0.95, 1.05, 0.80, 0.74, 0.73])
    value = exact(seen, seen).with_error("lag", np.array([0.5, 0.3, 0.0, 0.06, 0.05, 0.05]))
    derived = Derived(CATALOGUE["compressor_efficiency"], np.arange(6.0), value, (), "temperature_2", 1.0)
    assert told_rows(derived).tolist() == [False, False, False, True, True, True]
    found = figure_of(derived, [(0.0, 6.0)])
    assert found is not None
    assert (found.least, found.middle, found.most, found.settled) == (0.73, 0.74, 0.80, True)


def test_sources_of_bands_are_gathered_where_the_table_is_too_wide(log: Path, estate: Path) -> None:
    """One table, and each source of error once with all it makes uncertain."""
    text = derived_text(derive(open_log_place(log, estate)), 110)
    assert text.count("median over the pulls") == 1
    listed = text[text.index("Bands are mostly:") :].split("\n\n")[0]
    heads = [line.split(":")[0] for line in listed.splitlines()[1:] if line.startswith("  - ")]
    assert len(heads) == len(set(heads)) > 3
    assert "pressure_im" in listed


def test_what_an_option_would_bring_names_the_option(log: Path, estate: Path) -> None:
    """Also where it stands for one quantity alone."""
    text = " ".join(derived_text(derive(open_log_place(log, estate)), 110).split())
    assert "torque_from_road (what the engine pulls: --load road" in text
