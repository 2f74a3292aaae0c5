"""The task and the command: a file with a fault in it, with and without a build, as text and as JSON."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from boostwright.build import read_build, with_settings
from boostwright.cli.main import main
from boostwright.logs.records import LogError
from boostwright.report.sensors_json import sensors_document
from boostwright.report.sensors_text import sensors_text
from boostwright.tasks.check_sensors import check_sensors, facts_of_build
from boostwright.tasks.derive import derive
from boostwright.tasks.log_place import open_log_place
from boostwright.tasks.simulate import SimulateRequest, simulate
from boostwright.tasks.simulate_write import write_simulated
from tests.support.made_logs_c import RPM, Instruments, made_log, made_run

ESTATE = Path(__file__).parents[3] / "examples" / "hill_climb_estate"
HEADS = {
    "engine_speed": ("Engine speed [rpm]", 1 / RPM, 0.0),
    "throttle_position": ("Throttle position [%]", 100.0, 0.0),
    "pressure_im": ("Manifold pressure [kPa abs]", 1e-3, 0.0),
    "pressure_amb": ("Barometric pressure [kPa]", 1e-3, 0.0),
    "pressure_4_static": ("Pressure after turbine [kPa abs]", 1e-3, 0.0),
    "temperature_im": ("Intake air temperature [degC]", 1.0, -273.15),
}


def written(folder: Path, by: float = 0.0) -> Path:
    """An invented log as text, the manifold pressure off by so much [Pa]."""
    how = Instruments(rate=10.0, seed=4, keep=tuple(HEADS), after={"pressure_im": lambda v, t, r: v + by})
    log = made_log(made_run(4, "key-on"), how)
    series = {name: log.read(name) for name in HEADS}
    columns = [series["engine_speed"].time] + [
        series[name].value * factor + more for name, (_, factor, more) in HEADS.items()
    ]
    file = folder / "made.csv"
    names = ["Time [s]", *(head for head, _, _ in HEADS.values())]
    np.savetxt(file, np.column_stack(columns), "%.3f", ",", header=",".join(names), comments="")
    return file


def test_a_file_with_a_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The command names it, says where, why, what else, what to check, and what could not be checked."""
    file = written(tmp_path, 7e3)
    assert main(["sensors", str(file)]) == 0
    text = capsys.readouterr().out
    assert "pressure_im reads 7." in text or "pressure_im reads 6." in text
    for words in ("offset", "as good as certain", "rpm", "Numbers:", "Why:", "It could also be:", "Check:"):
        assert words in text
    assert "Could not be checked:" in text
    assert "Missing: shaft_speed" in text


def test_a_sound_file_with_a_build(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """No accusation, and JSON that says which checks were made."""
    file = written(tmp_path)
    assert main(["sensors", str(file), "--build", str(ESTATE), "--json", "-"]) == 0
    out, err = capsys.readouterr()
    found = json.loads(out)
    assert "no sensor is doubtful" in err
    assert found["build"] == ESTATE.name
    (part,) = found["parts"]
    assert part["faults"] == []
    assert any("engine off" in made for made in part["made"])
    assert all(set(one) == {"check", "missing", "why"} for one in part["not_made"])


def test_the_document_holds_what_its_page_says(tmp_path: Path) -> None:
    """Keys and units; SI; no NaN."""
    checked = check_sensors(open_log_place(written(tmp_path, -12e3)))
    (part,) = sensors_document(checked)["parts"]
    fault = part["faults"][0]
    keys = "code channels what certainty sure where evidence physics others check"
    assert set(fault) == set(keys.split())
    assert set(fault["where"]) == {"start", "end", "engine_speed_low", "engine_speed_high"}
    pressures = [e["value"] for e in fault["evidence"] if e["unit"] == "Pa" and not e["difference"]]
    assert pressures
    assert all(5e4 < value < 1.2e5 for value in pressures)
    assert json.dumps(part, allow_nan=False)


def test_the_text_keeps_its_width(tmp_path: Path) -> None:
    """80 and 110 columns."""
    checked = check_sensors(open_log_place(written(tmp_path, 7e3)))
    for width in (80, 110):
        assert max(map(len, sensors_text(checked, width).splitlines())) <= width


def test_a_part_that_is_not_there(tmp_path: Path) -> None:
    """Said, with those that are."""
    with pytest.raises(LogError, match="has no part 3"):
        check_sensors(open_log_place(written(tmp_path)), 3)


def test_what_a_build_says() -> None:
    """Displacement by hand, stoichiometric ratio of petrol, full scale, own errors, blades, the map's lines."""
    build = with_settings(
        read_build(ESTATE), ["sensors.turbo_speed_blades=9", "sensor_errors.pressure=3 kPa"]
    )
    facts, notes = facts_of_build(build)
    assert notes == ()
    assert facts.displacement == pytest.approx(np.pi / 4 * 0.083**2 * 0.092 * 5)
    assert facts.stoichiometric_ratio == pytest.approx(14.5, abs=0.4)
    assert facts.full_scale == {"pressure_im": pytest.approx(300e3)}
    assert facts.tolerance["pressure_im"] == pytest.approx(3e3)
    assert "pressure_em_static" not in facts.tolerance
    assert facts.blades == 9
    lines = facts.speed_lines
    assert lines is not None
    assert lines.speed.size == lines.flow.size == lines.pressure_ratio.size > 20
    assert lines.pressure_ratio.max() > 2.0


def test_what_is_derived_from_a_doubtful_sensor_says_so(tmp_path: Path) -> None:
    """Each quantity that the channel went into is named; a sound log has no such note."""
    (doubt,) = [n for n in derive(open_log_place(written(tmp_path, 7e3))).notes if "doubtful" in n]
    assert doubt.startswith("pressure_im is doubtful (offset")
    assert " pressure_im," in doubt.split(":")[-1]
    assert "boost" in doubt
    assert not [n for n in derive(open_log_place(written(tmp_path))).notes if "doubtful" in n]


@pytest.mark.parametrize("by", [1.0, 0.85, 1.25])
def test_sensors_and_derive_say_the_same_of_the_air_flow(tmp_path: Path, by: float) -> None:
    """A port's log of the second truth with its air meter off by a factor: both see it, or neither."""
    build = read_build(ESTATE)
    fault = (f"scale mass_flow_air by={by}",)
    made = simulate(build, SimulateRequest("one-pull", "port", fault, seed=31, truth="second"))
    write_simulated(made, tmp_path)
    place = open_log_place(next(tmp_path.glob("*.csv")), ESTATE)
    beyond = {pair.name for pair in derive(place).agreements if pair.beyond}
    faults = check_sensors(place).faults
    assert bool(beyond) is (by != 1.0)
    assert [f.code for f in faults] == (["routes-apart"] if beyond else [])
    assert all("mass_flow_air" in f.channels for f in faults)
