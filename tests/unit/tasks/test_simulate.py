"""Simulated days: stretches that are what they are called, channels that are there, a truth that fits its logs."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pyarrow.parquet as pq
import pytest

from boostwright.build import Build, read_build
from boostwright.logs.made.faults import SimulationError
from boostwright.tasks.simulate import SCENARIOS, Simulated, SimulateRequest, simulate
from boostwright.tasks.simulate_complete import car_of
from boostwright.tasks.simulate_scenes import scenes_of
from boostwright.tasks.simulate_stretches import FULL_THROTTLE, LEAST_RISE
from boostwright.tasks.simulate_write import write_simulated
from tests.support.stand_in_run import stand_in_run

EXAMPLES = Path(__file__).resolve().parents[3] / "examples"
BUILDS = {name: read_build(EXAMPLES / name) for name in ("hill_climb_estate", "transverse_three")}
ESTATE = BUILDS["hill_climb_estate"]


def _made(scenario: str, seed: int = 1, build: Build = ESTATE, **more: object) -> Simulated:
    request = SimulateRequest(scenario, seed=seed, **more)  # type: ignore[arg-type]
    return simulate(build, request, stand_in_run(build, scenario, seed))


@pytest.mark.parametrize("build", BUILDS.values(), ids=BUILDS)
@pytest.mark.parametrize("scenario", SCENARIOS)
def test_pulls_are_pulls_and_the_rest_is_not(scenario: str, build: Build) -> None:
    for seed in range(1, 9):
        run = stand_in_run(build, scenario, seed)
        time, throttle, speed = run.time, run.channels["throttle_position"], run.channels["engine_speed"]
        assert any(one.pull for one in run.stretches)
        for one in run.stretches:
            here = (time >= one.start) & (time <= one.stop)
            if one.pull:
                assert (throttle[here] >= FULL_THROTTLE).all()
                assert one.speed_high - one.speed_low >= LEAST_RISE
                assert np.ptp(run.channels["gear"][here]) == 0.0
                assert (one.speed_low, one.speed_high) == (speed[here].min(), speed[here].max())
                assert one.ramp == pytest.approx(
                    (speed[here][-1] - speed[here][0]) / (one.stop - one.start), rel=1e-6
                )
            elif one.kind == "pull":
                assert one.why_not
        starts = [one.start for one in run.stretches]
        assert starts == sorted(starts)


def test_no_full_throttle_outside_of_what_is_named() -> None:
    """Every second at full throttle is a pull or says why it is none, but for the edges of a pull."""
    for scenario in SCENARIOS:
        run = stand_in_run(ESTATE, scenario, 3)
        full = run.channels["throttle_position"] >= FULL_THROTTLE
        named = np.zeros(full.size, dtype=bool)
        for one in run.stretches:
            if one.pull or one.why_not:
                named |= (run.time >= one.start - 0.3) & (run.time <= one.stop + 0.3)
        assert not (full & ~named).any()


def test_seeds_differ_and_the_same_one_does_not() -> None:
    car = car_of(ESTATE)
    assert scenes_of("road", car, 4) == scenes_of("road", car, 4)
    assert scenes_of("road", car, 4) != scenes_of("road", car, 5)


def test_key_on_every_pressure_is_the_airs() -> None:
    made = _made("one-pull")
    channels = made.logs[0].channels
    for name in channels.names:
        if name.startswith("pressure_") and name != "pressure_oil":
            series = channels.read(name)
            at_rest = series.time < 4.0
            want = 0.0 if series.basis == "gauge" else 101.3e3
            assert np.abs(series.value[at_rest].mean() - want) < 200.0, name


def test_probes_stand_below_the_gas_and_above_the_air() -> None:
    run = stand_in_run(ESTATE, "one-pull", 1)
    gas, shown = run.channels["temperature_em"], run.channels["egt_reading"]
    assert (shown <= gas + 1e-9).all()
    full = run.channels["mass_flow_air"] > 0.8 * run.channels["mass_flow_air"].max()
    assert 10.0 < (gas - shown)[full].mean() < 120.0
    air = run.channels["temperature_amb"]
    assert (shown >= air - 1e-6).all()


def test_slip_leaves_the_car_behind() -> None:
    for seed in range(1, 40):
        run = stand_in_run(ESTATE, "dyno-day", seed)
        slips = [one for one in run.stretches if one.why_not == "the wheels slip"]
        if slips:
            one = slips[0]
            here = (run.time > one.start) & (run.time < one.stop)
            ratio = run.channels["vehicle_speed"][here] / run.channels["engine_speed"][here]
            assert ratio.min() < 0.95 * ratio[-1]
            return
    pytest.fail("no seed slips")


def test_truth_beside_the_log(tmp_path: Path) -> None:
    faults = ("offset pressure_im by=4kPa at=10s", "stuck egt_reading_2", "truncated-row")
    made = _made("dyno-day", 2, instruments="standalone", faults=faults)
    written = write_simulated(made, tmp_path)
    truth = json.loads(written.truth.read_text())
    assert truth["what"].startswith("Invented data")
    assert (truth["seed"], truth["scenario"], truth["build"]) == (2, "dyno-day", ESTATE.name)
    (log,) = truth["logs"]
    assert [one["code"] for one in log["faults"]] == ["offset", "stuck", "truncated-row"]
    assert log["faults"][0]["stretches"][0][0] == pytest.approx(10.0)
    pulls = [one for one in truth["stretches"] if one["pull"]]
    assert len(pulls) == len(made.pulls) == len(log["pulls"])
    recorded = made.logs[0].recorded
    for true, logged in zip(pulls, log["pulls"], strict=True):
        assert recorded.true_time(logged["start"]) == pytest.approx(true["start"], abs=1e-9)
    by_channel = {one["channel"]: one for one in log["instruments"]}
    assert by_channel["egt_reading_1"]["probe"]["time_constant"] == 0.9
    assert by_channel["lambda"]["transport"]["fixed"] == pytest.approx(0.03)
    table = pq.read_table(written.channels)
    assert b"Invented data" in table.schema.metadata[b"what"]
    time, speed = table["time"].to_numpy(), table["engine_speed"].to_numpy()
    assert speed == pytest.approx(np.interp(time, made.run.time, made.run.channels["engine_speed"]), rel=1e-6)
    samples = pq.read_table(written.samples).to_pandas()
    some = samples[samples.channel == "pressure_im"]
    assert some.true_time.to_numpy() == pytest.approx(recorded.reading("pressure_im").taken)
    late = some.true_time.to_numpy() >= 10.0
    assert (some.stored - some.without_faults).to_numpy()[late] == pytest.approx(4e3, abs=0.1)


def test_same_seed_same_bytes(tmp_path: Path) -> None:
    first = write_simulated(_made("dyno-day", instruments="dyno"), tmp_path / "a")
    second = write_simulated(_made("dyno-day", instruments="dyno"), tmp_path / "b")
    for one, other in zip(
        (*first.logs, first.truth, first.channels), (*second.logs, second.truth, second.channels), strict=True
    ):
        assert one.name == other.name
        assert one.read_bytes() == other.read_bytes()


def test_two_clocks_show_one_run(tmp_path: Path) -> None:
    made = _made("dyno-day", instruments="dyno", offsets={"dyno": 12.5}, drifts={"dyno": -1e-4})
    dyno, car = made.logs
    (start, _) = (made.pulls[0].start, made.pulls[0].stop)
    for log in (dyno, car):
        recorded = log.recorded
        speed = log.channels.read("engine_speed")
        at = np.interp(recorded.log_time(start + 2.0), speed.time, speed.value)
        true = np.interp(start + 2.0, made.run.time, made.run.channels["engine_speed"])
        assert at == pytest.approx(true, abs=3.0)
    assert dyno.recorded.stamps[0] == pytest.approx((2.37 - 12.5) * (1 - 1e-4), abs=1e-6)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"scenario": "moon"}, "dyno-day"),
        ({"truth": "third"}, "second"),
        ({"writing": "clay"}, "semicolon"),
        ({"seed": -1}, "below 0"),
        ({"faults": ("stuck gate_pressure",)}, "is not logged"),
        ({"faults": ("swapped pressure_im with=gate_pressure",)}, "is not logged"),
        ({"instruments": "nothing"}, "no list of instruments"),
    ],
)
def test_what_cannot_be_is_refused_before_the_run(more: dict[str, object], words: str) -> None:
    with pytest.raises(SimulationError, match=words):
        simulate(ESTATE, SimulateRequest(**more))  # type: ignore[arg-type]


def test_several_kits_of_one_run_do_not_share_a_name(tmp_path: Path) -> None:
    """Asked for together each carries its kit's name; one that comes later does where another kit's files lie there."""
    alone = write_simulated(_made("road", 3, instruments="port"), tmp_path)
    assert alone.logs[0].name == "road-3.csv"
    again = write_simulated(_made("road", 3, instruments="port"), tmp_path)
    assert again.logs == alone.logs  # the same run by the same kit stands in its own place
    before = alone.logs[0].read_bytes()
    other = write_simulated(_made("road", 3, instruments="hobby"), tmp_path)
    assert other.logs[0].name == "road-3-hobby.csv"
    assert other.truth.name == "road-3-hobby.truth.json"
    assert alone.logs[0].read_bytes() == before
    told = json.loads(other.truth.read_text())
    assert (tmp_path / told["files"]["true_channels"]).exists()
    together = write_simulated(_made("road", 3, instruments="dyno", kit_in_name=True), tmp_path / "b")
    assert {path.name for path in together.logs} == {"road-3-dyno-dyno.csv", "road-3-dyno-car.csv"}
