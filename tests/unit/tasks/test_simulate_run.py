"""A simulated run through the transient model, from the command line to the importer and back."""

from __future__ import annotations

import json
import shutil
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from boostwright.build import read_build
from boostwright.cli.main import app
from boostwright.logs.made.faults import SimulationError
from boostwright.logs.mapping.channels import open_channels
from boostwright.tasks.import_log import import_logs
from boostwright.tasks.simulate import Simulated, SimulateRequest, simulate, simulate_many
from boostwright.tasks.simulate_run import true_run
from tests.support.stand_in_run import stand_in_run

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"
ESTATE, THREE = EXAMPLES / "hill_climb_estate", EXAMPLES / "transverse_three"


@pytest.fixture(scope="module")
def one_pull() -> Simulated:
    return simulate(ESTATE, SimulateRequest("one-pull"))


def test_the_run_is_whole(one_pull: Simulated) -> None:
    run = one_pull.run
    for name, value in run.channels.items():
        assert value.shape == run.time.shape, name
        assert np.isfinite(value).all(), name
    (pull,) = one_pull.pulls
    limit = read_build(ESTATE)["engine"].si("speed_limit")
    assert pull.speed_high == pytest.approx(0.96 * limit, rel=0.01)
    assert pull.ramp * 30 / np.pi == pytest.approx(350.0, rel=0.02)  # [dyno] ramp_rate of the example
    assert pull.gear == 3


def test_stretches_cover_the_run(one_pull: Simulated) -> None:
    ends = [(one.start, one.stop) for one in one_pull.run.stretches]
    assert ends[0][0] <= 0.01
    assert ends[-1][1] == pytest.approx(one_pull.run.time[-1])
    for (_, stop), (start, _) in pairwise(ends):
        assert -1e-9 <= start - stop < 0.3


def test_channels_mean_what_they_are_called(one_pull: Simulated) -> None:
    q, (pull,) = one_pull.run.channels, one_pull.pulls
    time = one_pull.run.time
    late = (time > pull.start + 0.6 * (pull.stop - pull.start)) & (time < pull.stop)
    rest = time < 4.0
    for name in (
        "pressure_im",
        "pressure_2_static",
        "pressure_em_static",
        "pressure_4_static",
        "pressure_oil",
    ):
        assert q[name][rest] == pytest.approx(101.3e3)
    assert (q["pressure_2_static"][late] > q["pressure_im"][late]).all()
    assert (q["pressure_em_static"][late] > q["pressure_4_static"][late]).all()
    assert (q["egt_reading"][late] < q["temperature_em"][late]).all()
    assert q["boost"][late].mean() == pytest.approx((q["pressure_im"] - q["pressure_amb"])[late].mean())
    assert q["mass_flow_exhaust"][late] == pytest.approx((q["mass_flow_air"] + q["mass_flow_fuel"])[late])
    # injectors: flow times time, twice over: duty over the cycle
    assert q["injector_duty"][late] == pytest.approx(
        (q["injector_time"] * q["engine_speed"])[late] / (4 * np.pi)
    )
    assert 0.2 < q["injector_duty"][late].max() < 0.9


def test_second_truth_is_another_engine(one_pull: Simulated) -> None:
    second = simulate(ESTATE, SimulateRequest("one-pull", truth="second"))
    assert second.run.facts["truth"] == "second"
    assert second.run.facts["second_truth.compressor_efficiency"] == pytest.approx(0.95)
    (one,), (other,) = one_pull.pulls, second.pulls
    assert one.speed_low == pytest.approx(other.speed_low, rel=0.02)

    def middle(made: Simulated, name: str) -> float:
        (pull,) = made.pulls
        here = (made.run.time > pull.stop - 3.0) & (made.run.time < pull.stop)
        return float(made.run.channels[name][here].mean())

    for name in ("pressure_em", "shaft_speed", "temperature_2"):
        change = middle(second, name) / middle(one_pull, name) - 1.0
        assert 0.001 < abs(change) < 0.25, name


def test_from_the_command_line_to_the_importer(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    arguments = ["simulate", str(THREE), "--scenario", "one-pull", "--instruments", "dyno", "--seed", "5"]
    arguments += [
        "--to",
        str(folder),
        "--json",
        str(tmp_path / "made.json"),
        "--fault",
        "offset boost by=3kPa",
    ]
    done = CliRunner().invoke(app, arguments)
    assert done.exit_code == 0, done.output
    assert "Invented data" in done.output
    made = json.loads((tmp_path / "made.json").read_text())
    assert made["invented"] is True
    truth = json.loads(Path(made["truth"]).read_text())
    assert [Path(one["file"]).name for one in made["logs"]] == [one["file"] for one in truth["logs"]]
    result = import_logs([Path(one["file"]) for one in made["logs"]], tmp_path / "logs")
    assert not result.failed
    for log, told in zip(result.logs, truth["logs"], strict=True):
        assert not log.questions
        channels = open_channels(log.entry.folder)
        speed = channels.read("engine_speed")
        (pull,) = told["pulls"]
        inside = (speed.time > pull["start"] + 0.2) & (speed.time < pull["stop"] - 0.2)
        slope = np.polyfit(speed.time[inside], speed.value[inside], 1)[0]
        assert slope == pytest.approx(pull["ramp"], rel=0.1)
    rest = open_channels(result.logs[0].entry.folder).read("boost")
    assert rest.value[rest.time < 2.0].mean() == pytest.approx(3e3, abs=300.0)


def test_many_share_a_run_where_they_can() -> None:
    kits = ("standalone", "port", "hobby")
    made = list(simulate_many(ESTATE, [SimulateRequest("one-pull", kit, seed=3) for kit in kits]))
    assert made[0].run is made[1].run is made[2].run
    assert [one.kit.loggers[0].rate for one in made] == [50.0, 22.0, 10.0]
    again = true_run(read_build(ESTATE), "one-pull", 3, "model")
    assert (again.channels["pressure_im"] == made[0].run.channels["pressure_im"]).all()


def test_the_stand_in_has_the_models_channels(one_pull: Simulated) -> None:
    """What tests try on the stand-in can be tried on the model."""
    missing = set(stand_in_run(read_build(ESTATE), "one-pull", 1).channels) - set(one_pull.run.channels)
    assert not missing


def test_a_build_without_a_car_goes_on_a_brake_and_not_on_the_road(tmp_path: Path) -> None:
    lines = (ESTATE / "build.toml").read_text().splitlines()
    start = lines.index("[vehicle]")
    stop = next(k for k in range(start + 1, len(lines)) if lines[k].startswith("["))
    shutil.copytree(ESTATE, tmp_path / "bare")
    (tmp_path / "bare" / "build.toml").write_text("\n".join(lines[:start] + lines[stop:]) + "\n")
    with pytest.raises(SimulationError, match="gear_ratios"):
        simulate(tmp_path / "bare", SimulateRequest("road"))
    made = simulate(tmp_path / "bare", SimulateRequest("one-pull", "hobby"))
    assert len(made.pulls) == 1


def test_on_an_engines_own_brake_no_gear_is_in(one_pull: Simulated) -> None:
    made = simulate(ESTATE, SimulateRequest("one-pull", "hobby", settings=("dyno.kind=engine",)))
    assert not made.run.channels["gear"].any()
    assert not made.run.channels["vehicle_speed"].any()
    (pull,) = made.pulls
    assert pull.speed_high == pytest.approx(one_pull.pulls[0].speed_high, rel=1e-3)


def test_a_driver_lets_the_clutch_in(one_pull: Simulated) -> None:
    """Setting off and through the gears the car never gains or loses more than tyres hold, 9 m/s2 (common practice)."""
    q, time = one_pull.run.channels, one_pull.run.time
    assert q["vehicle_speed"].max() > 20.0
    assert np.abs(np.gradient(q["vehicle_speed"], time)).max() < 9.0
    car = read_build(ESTATE)["vehicle"]
    highest = car.numbers("gear_ratios")[0] * car.si("final_drive") * q["torque"].max()
    assert q["torque_wheel"].max() < highest


def test_power_at_the_wheels_moves_the_car() -> None:
    """In gear on the road: torque at the hubs over the radius is mass times acceleration, rolling and air, to 1 %."""
    build = read_build(THREE)
    car, q = build["vehicle"], true_run(build, "road", 5, "model").channels
    time = np.arange(q["vehicle_speed"].size) * 1e-3
    v, radius, gear = q["vehicle_speed"], car.si("rolling_radius"), q["gear"].astype(int)
    ratios = np.array([np.nan, *car.numbers("gear_ratios")]) * car.si("final_drive")
    locked = np.abs(q["engine_speed"] * radius / ratios[gear] - v) < 1e-3 * v
    steady = locked & (q["throttle_position"] > 0.95) & (v > 10.0)
    assert steady.sum() > 5000
    turning = car.si("wheel_inertia") / radius**2
    ambient = build["ambient"]
    density = ambient.si("pressure") / (288.0 * ambient.si("temperature"))
    held = (
        car.si("mass") * 9.80665 * car.si("rolling_resistance") + 0.5 * density * car.si("drag_area") * v**2
    )
    force = (car.si("mass") + turning) * np.gradient(v, time) + held
    found = (q["torque_wheel"] / radius / force)[steady]
    assert np.median(found) == pytest.approx(1.0, abs=0.01)
    assert np.mean(np.abs(found - 1.0) < 0.02) > 0.97


def test_command_writes_several_kits_of_one_run(tmp_path: Path) -> None:
    command = ["simulate", str(ESTATE), "--scenario", "one-pull", "--to", str(tmp_path)]
    kits = ["--instruments", "port", "--instruments", "hobby"]
    done = CliRunner().invoke(app, [*command, *kits])
    assert done.exit_code == 0, done.output
    assert {one.name for one in tmp_path.glob("*.csv")} == {"one-pull-1-port.csv", "one-pull-1-hobby.csv"}
    refused = CliRunner().invoke(app, [*command, *kits, "--json", "-"])
    assert refused.exit_code == 2


def test_a_fault_goes_to_the_kits_that_log_its_channel(tmp_path: Path) -> None:
    """One that no kit logs is refused, whoever asks for it."""
    command = [
        "simulate",
        str(ESTATE),
        "--scenario",
        "one-pull",
        "--to",
        str(tmp_path),
        "--instruments",
        "hobby",
    ]
    faults = ["--fault", "offset pressure_im by=8kPa", "--fault", "swapped egt_reading_2 with=egt_reading_3"]
    done = CliRunner().invoke(app, [*command, "--instruments", "standalone", *faults])
    assert done.exit_code == 0, done.output
    hobby, standalone = done.output.split("Logged by a standalone")
    assert hobby.count("Fault put in") == 1
    assert "Fault put in: offset pressure_im by=8kPa" in hobby
    assert standalone.count("Fault put in") == 2
    refused = CliRunner().invoke(app, [*command, "--instruments", "port", *faults])
    assert refused.exit_code != 0
    assert "egt_reading_2 is not logged" in str(refused.exception) + refused.output
