"""From a folder to a frozen build in SI."""

from __future__ import annotations

import dataclasses
import math
import pickle
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from sound_build import SOUND, swap, write_build

from boostwright.build import Build, check_build, read_build
from boostwright.build.schema import SECTIONS
from boostwright.errors import BuildError

RPM = 2 * math.pi / 60


@pytest.fixture
def build(tmp_path: Path) -> Build:
    return read_build(write_build(tmp_path))


def test_head_and_sections(build: Build, tmp_path: Path) -> None:
    assert (build.name, build.provenance) == ("Test build", "invented for the demo")
    assert (build.folder, build.path) == (tmp_path, tmp_path / "build.toml")
    assert len(build.sections) == len(SECTIONS)
    assert build["engine"] is build.sections["engine"]


def test_the_file_itself_may_be_named(tmp_path: Path) -> None:
    write_build(tmp_path)
    assert read_build(tmp_path / "build.toml").folder == tmp_path
    assert read_build(str(tmp_path)).path == tmp_path / "build.toml"


@pytest.mark.parametrize(
    ("section", "key", "expected"),
    [
        ("engine", "bore", 0.083),
        ("engine", "speed_limit", 6800 * RPM),
        ("ambient", "pressure", 101300.0),
        ("ambient", "temperature", 293.15),
        ("intake", "pressure_drop", 2000.0),
        ("intake", "at_pressure", 100000.0),
        ("turbine", "choked_flow", 2.2e-5),
        ("wastegate", "spring_rating", 60000.0),
        ("wastegate", "spring_rate", 9000.0),
        ("wastegate", "takeoff_angle", math.pi / 6),
        ("exhaust_manifold", "heat_conductance", 8.0),
        ("cylinder", "friction_constant", 40000.0),
        ("probe", "cycle_offset", 30.0),
    ],
)
def test_numbers_in_si(build: Build, section: str, key: str, expected: float) -> None:
    assert build[section].si(key) == pytest.approx(expected)


def test_ways_of_asking(build: Build) -> None:
    gate = build["wastegate"]
    assert gate.text("kind") == "poppet"
    assert gate.integer("count") == 1
    assert gate.basis("spring_rating") == "gauge"
    assert gate.as_written("spring_rating") == "0.6 bar gauge"
    assert gate.has("branch_length")
    assert not gate.written("branch_length")
    assert gate.written("spring_rate")
    assert not gate.has("takeoff_loss")
    with pytest.raises(KeyError, match="ask has"):
        gate.si("takeoff_loss")
    with pytest.raises(KeyError, match="no single number"):
        gate.si("kind")
    with pytest.raises(KeyError, match="is no text"):
        gate.text("spring_rate")
    with pytest.raises(KeyError, match="no curve"):
        gate.curve("spring_rate")


def test_curves(build: Build) -> None:
    curve = build["breathing"].curve("volumetric_efficiency")
    np.testing.assert_allclose(curve.speed, np.array([1500, 4500, 7000]) * RPM)
    np.testing.assert_allclose(curve.value, [0.82, 0.97, 0.86])
    for speed in (500, 1500, 2000, 4500, 6000, 9000):
        expected = np.interp(speed * RPM, curve.speed, curve.value)
        assert curve.at(speed * RPM) == pytest.approx(expected)


def test_a_single_number_is_a_constant_curve(tmp_path: Path) -> None:
    line = next(line for line in SOUND.splitlines() if line.startswith("lambda_target"))
    build = read_build(write_build(tmp_path, swap((line, "lambda_target = 0.9"))))
    curve = build["fuel"].curve("lambda_target")
    assert curve.is_constant
    assert curve.at(100.0) == curve.at(700.0) == 0.9
    assert build["fuel"].si("lambda_target") == 0.9


def test_a_curve_as_a_section_of_its_own(tmp_path: Path) -> None:
    line = next(line for line in SOUND.splitlines() if line.startswith("lambda_target"))
    text = swap(
        (f"{line}\n", '[fuel.lambda_target]\nspeed = [1500, 7000]\nunit = "rpm"\nvalue = [0.95, 0.82]\n')
    )
    assert read_build(write_build(tmp_path, text))["fuel"].curve("lambda_target").at(1e4) == 0.82


def test_gauge_targets_and_limits_become_absolute_at_the_place(tmp_path: Path) -> None:
    text = swap(
        ('value = [165, 175], value_unit = "kPa", value_basis = "absolute"',
         'value = [0.7, 0.8], value_unit = "bar", value_basis = "gauge"'),
        ('[prediction]', '[limits]\nboost = "0.9 bar gauge"\n\n[prediction]'),
        ('pressure_basis = "station"', 'pressure_basis = "QNH"'),
        ('altitude = "0 m"', 'altitude = "1000 m"'),
    )  # fmt: skip
    build = read_build(write_build(tmp_path, text))
    station = 101300 * 89874.6 / 101325  # standard atmosphere at 1 000 m
    assert build["ambient"].si("pressure") == pytest.approx(station, rel=1e-6)
    assert build["boost_control"].curve("target").value_points == pytest.approx(
        (station + 7e4, station + 8e4), rel=1e-6
    )
    assert build["limits"].si("boost") == pytest.approx(station + 9e4, rel=1e-6)
    assert build["limits"].basis("boost") == "gauge"


def test_choked_flow_three_ways(tmp_path: Path) -> None:
    """m sqrt(T)/p, and two corrected flows of the same turbine at different references."""
    old = 'choked_flow = "0.022 kg/s*sqrt(K)/kPa"'
    plain = read_build(write_build(tmp_path, SOUND))["turbine"].si("choked_flow")
    for temperature, pressure in ((288.15, 101325.0), (519.67 * 5 / 9, 14.696 * 6894.757293168)):
        flow = plain * pressure / math.sqrt(temperature)  # kg/s
        text = f'choked_flow = "{flow / 0.45359237 * 60:.10f} lb/min"\nchoked_flow_temperature = "{temperature} K"\n'
        text += f'choked_flow_pressure = "{pressure} Pa absolute"'
        build = read_build(write_build(tmp_path, swap((old, text))))
        assert build["turbine"].si("choked_flow") == pytest.approx(plain, rel=1e-9)


def test_speeds(build: Build, tmp_path: Path) -> None:
    speeds = build["prediction"].speeds("speeds")
    np.testing.assert_allclose(np.array(speeds) / RPM, np.arange(1500, 6751, 250))
    text = swap(
        ('{ from = "1500 rpm", to = "6750 rpm", step = "250 rpm" }', '{ speed = [2000, 3500], unit = "rpm" }')
    )
    np.testing.assert_allclose(
        np.array(read_build(write_build(tmp_path, text))["prediction"].speeds("speeds")) / RPM, [2000, 3500]
    )


def test_the_last_speed_is_always_there(tmp_path: Path) -> None:
    text = swap(('step = "250 rpm"', 'step = "400 rpm"'))
    speeds = np.array(read_build(write_build(tmp_path, text))["prediction"].speeds("speeds")) / RPM
    assert speeds[0] == pytest.approx(1500)
    assert speeds[-1] == pytest.approx(6750)
    assert np.all(np.diff(speeds) > 0)


def test_computed_defaults_are_listed(tmp_path: Path) -> None:
    start = SOUND.index("[prediction]")
    build = read_build(write_build(tmp_path, SOUND[:start]))
    assert build["prediction"].text("mode") == "target"
    assert build["prediction"].speeds("speeds")[-1] == pytest.approx(6800 * RPM)
    used = {default.key: default for default in build.defaults_used}
    assert used["prediction.mode"].value == "target"
    assert used["prediction.speeds"].value == "1500 rpm to 6800 rpm every 250 rpm"
    assert used["prediction.speeds"].status == "computed"


def test_the_mode_follows_from_what_is_there(tmp_path: Path) -> None:
    target = next(line for line in SOUND.splitlines() if line.startswith("target"))
    no_target = SOUND[: SOUND.index("[prediction]")].replace(target, "")
    assert read_build(write_build(tmp_path, no_target))["prediction"].text("mode") == "spring"
    no_gate = no_target.replace('kind = "poppet"', 'kind = "none"')
    assert read_build(write_build(tmp_path, no_gate))["prediction"].text("mode") == "gate-shut"


def test_defaults_say_where_they_are_from(build: Build) -> None:
    used = {default.key: default for default in build.defaults_used}
    assert used["cylinder.wall_heat_factor"].value == "2.0"
    assert used["cylinder.wall_heat_factor"].status == "own estimate"
    assert "engine.bore" not in used
    assert "engine.connecting_rod_length" not in used
    assert "charge_cooler.dyno_fan_derating" not in used, "no dyno fan, so its derating is no assumption"
    assert "ambient.altitude" not in used


def test_a_wastegate_card_fills_in_what_is_not_written(tmp_path: Path) -> None:
    text = swap(
        ('kind = "poppet"', 'kind = "poppet"\ncard = "poppet-44mm"'),
        ('valve_diameter = "44 mm"\nvalve_diameter_basis = "valve"\nfull_lift = "10.5 mm"\n', ""),
        ('spring_rate = "9 N/mm"', 'spring_rate = "11 N/mm"'),
    )
    gate = read_build(write_build(tmp_path, text))["wastegate"]
    assert gate.si("valve_diameter") == pytest.approx(0.044)
    assert gate.si("spring_rate") == pytest.approx(11e3), "what is written goes before the card"
    assert gate.written("spring_rate")
    assert not gate.written("valve_diameter")


def test_a_build_is_frozen_and_can_be_sent_to_a_worker(build: Build) -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        build.name = "other"  # type: ignore[misc]
    assert pickle.loads(pickle.dumps(build)) == build


def test_reading_twice_is_the_same(tmp_path: Path) -> None:
    write_build(tmp_path)
    assert read_build(tmp_path) == read_build(tmp_path)


def test_line_ends_and_a_byte_order_mark_do_not_matter(tmp_path: Path) -> None:
    plain = read_build(write_build(tmp_path / "a"))
    other = read_build(write_build(tmp_path / "b", b"\xef\xbb\xbf" + SOUND.replace("\n", "\r\n").encode()))
    assert plain.sections == other.sections


@pytest.mark.parametrize(
    ("pair", "key", "words"),
    [
        (('bore = "83 mm"', 'bore = "130 mm"'), "engine.bore", "is unusual"),
        (('branch_bore = "44 mm"', 'branch_bore = "38 mm"'), "wastegate.valve_diameter", "larger than the branch"),
        (('branch_bore = "44 mm"', 'branch_bore = "52 mm"'), "wastegate.branch_bore", "larger than the collector"),
        (('full_lift = "10.5 mm"', 'full_lift = "23 mm"'), "wastegate.full_lift", "more than half the valve"),
        (('diaphragm_diameter = "60 mm"', 'diaphragm_diameter = "40 mm"'), "wastegate.diaphragm_diameter", "smaller"),
        (('to = "6750 rpm"', 'to = "7000 rpm"'), "prediction.speeds", "above engine.speed_limit"),
        (('speed_limit = "6800 rpm"', 'speed_limit = "8400 rpm"'), "engine.speed_limit", "piston speed of 25.76 m/s"),
        (("speed = [1500, 4500, 7000]", "speed = [2500, 4500, 7000]"),
         "breathing.volumetric_efficiency", "below 2500 rpm"),
        (('altitude = "0 m"', 'altitude = "400 m"'), "ambient.pressure", "at sea level"),
        (('wheel_diameter = "55 mm"', 'wheel_diameter = "55 mm"\na_r = 0.63'), "turbine.a_r", "A/R is no area"),
        (("value = [165, 175]", "value = [165, 275]"), "boost_control.target", "gauge"),
        (("[prediction]", '[limits]\nboost = "170 kPa absolute"\n[prediction]'),
         "limits.boost", "below the highest target"),
        (("value = [0.82, 0.97, 0.86]", "value = [0.82, 1.37, 0.86]"),
         "breathing.volumetric_efficiency", "at 4500 rpm is 1.37"),
        (('wheel_diameter = "55 mm"', 'wheel_diameter = "55 mm"\nchoked_flow_temperature = "288 K"'),
         "turbine.choked_flow_temperature", "not used"),
    ],
)  # fmt: skip
def test_unlikely_is_asked_about_and_taken(
    tmp_path: Path, pair: tuple[str, str], key: str, words: str
) -> None:
    build = read_build(write_build(tmp_path, swap(pair)))
    about = [warning for warning in build.warnings if warning.key == key]
    assert any(words in str(warning) for warning in about), [str(warning) for warning in build.warnings]
    assert all(warning.severity == "warning" for warning in build.warnings)


def test_a_hard_spring_is_only_asked_about_when_no_target_is_held(tmp_path: Path) -> None:
    text = swap(
        ('spring_rating = "0.6 bar gauge"', 'spring_rating = "0.8 bar gauge"'),
        ('mode = "target"', 'mode = "spring"'),
    )
    checked = check_build(write_build(tmp_path, text))
    assert checked.build is not None
    assert [warning.key for warning in checked.warnings] == ["wastegate.spring_rating"]


def test_reading_imports_nothing_slow(tmp_path: Path) -> None:
    """The reader itself: no array library, no TOML writer, no units library (cards are read only when named)."""
    slow = "('numpy', 'scipy', 'numba', 'tomlkit', 'pydantic', 'pint', 'matplotlib')"
    code = "import sys, boostwright.build, boostwright.tasks.new_build, boostwright.tasks.check_build; "
    code += f"print([name for name in {slow} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_faults_are_a_value_error_with_every_fault_in_its_text(tmp_path: Path) -> None:
    text = swap(('bore = "83 mm"', "bore = 83"), ('stroke = "92 mm"', "stroke = 92"))
    with pytest.raises(BuildError) as caught:
        read_build(write_build(tmp_path, text))
    assert isinstance(caught.value, ValueError)
    assert str(caught.value).count("has no unit") == 2
