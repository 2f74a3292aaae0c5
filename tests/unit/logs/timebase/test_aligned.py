"""A whole log put in time: what is done to which channel, with which facts, and what is said of what is missing."""

from __future__ import annotations

import numpy as np
import pytest
from made_logs_a import drive, gas

from boostwright.logs.series import ChannelsInMemory, Series
from boostwright.logs.timebase.aligned import TREATMENTS, put_in_time
from boostwright.logs.timebase.clock_offset import ClockBound, ClockOffset, NoOffset
from boostwright.logs.timebase.common_quantity import clocks_by_common_quantity, pairs_in_common
from boostwright.logs.timebase.exhaust_flow import ExhaustFlow, exhaust_flow
from boostwright.logs.timebase.facts import TimeFacts
from boostwright.logs.timebase.lag import LagUndone, ProbeLag
from boostwright.logs.timebase.lag_inverse import first_order
from boostwright.logs.timebase.sampling import sampling_of, samplings

TIME = np.arange(0.0, 14.0, 0.05)


def log(**more: np.ndarray) -> ChannelsInMemory:
    """A pull from 2 s to 9 s."""
    pull = (TIME > 2.0) & (TIME < 9.0)
    speed = np.where(pull, 250.0 + 50.0 * (TIME - 2.0), 250.0)
    made = {
        "engine_speed": speed,
        "pressure_im": np.where(pull, 190e3, 45e3) + 10.0 * TIME,
        "throttle_position": np.where(pull, 1.0, 0.05),
        "lambda": np.where(pull, 0.82, 1.0) + 0.001 * np.sin(9 * TIME),
        **more,
    }
    return ChannelsInMemory({name: Series(TIME, value) for name, value in made.items()})


def test_flow_by_meter_and_by_hand() -> None:
    channels = log(mass_flow_air=np.full(TIME.size, 0.14), egt_reading_4=np.full(TIME.size, 1000.0))
    flow = exhaust_flow(channels, samplings(channels), TimeFacts())
    assert isinstance(flow, ExhaustFlow)
    np.testing.assert_allclose(flow.mass, 0.15)
    np.testing.assert_allclose(flow.volume, 0.15 * 289.0 * 1000.0 / 104e3)
    assert "air meter" in flow.words
    assert "assumed" in flow.words


def test_flow_without_a_meter_needs_the_engine() -> None:
    channels = log()
    sampled = samplings(channels)
    missing = exhaust_flow(channels, sampled, TimeFacts())
    assert isinstance(missing, str)
    assert "mass_flow_air" in missing
    flow = exhaust_flow(channels, sampled, TimeFacts(displacement=2.5e-3))
    assert isinstance(flow, ExhaustFlow)
    row = 100  # 5 s: 400 rad/s at 190 kPa and 313 K
    by_hand = 0.85 * 2.5e-3 * 190.05e3 / (287.05 * 313.0) * 400.0 / (4 * np.pi) * 15 / 14
    assert flow.mass[row] == pytest.approx(by_hand, rel=0.01)


def test_gauge_pressure_at_the_probe_gets_the_barometer() -> None:
    channels = log(mass_flow_air=np.full(TIME.size, 0.14))
    series = {name: channels.read(name) for name in channels.names}
    series["pressure_4_static"] = Series(TIME, np.full(TIME.size, 12e3), "gauge")
    series["pressure_amb"] = Series(TIME, np.full(TIME.size, 97e3), "absolute")
    with_tap = ChannelsInMemory(series)
    flow = exhaust_flow(with_tap, samplings(with_tap), TimeFacts())
    assert isinstance(flow, ExhaustFlow)
    np.testing.assert_allclose(flow.volume, flow.mass * 289.0 * 950.0 / 109e3)


def test_every_channel_gets_a_treatment_and_keeps_its_values() -> None:
    channels = log(mass_flow_air=np.full(TIME.size, 0.1))
    made = put_in_time(channels)
    assert set(made.treatments) == set(channels.names)
    assert all(t.code in TREATMENTS for t in made.treatments.values())
    assert made.treatments["lambda"].code == "put-back"
    lambda_made, lambda_was = made.channels.read("lambda"), channels.read("lambda")
    np.testing.assert_array_equal(lambda_made.value, lambda_was.value)
    assert np.all(lambda_made.time < lambda_was.time)
    assert made.channels.read("engine_speed") is channels.read("engine_speed")


def test_without_a_flow_lambda_stays_where_it_is() -> None:
    made = put_in_time(log())
    assert made.treatments["lambda"].code == "not-put-back"
    assert "cannot be told" in made.treatments["lambda"].words
    np.testing.assert_array_equal(made.channels.read("lambda").time, TIME)


def test_an_exhaust_probe_by_the_facts() -> None:
    rng = np.random.default_rng(0)
    true = gas("pull", TIME)
    shown = first_order(TIME, true, np.full(TIME.size, 0.5)) + rng.normal(0, 1, TIME.size)
    facts = TimeFacts(probe=ProbeLag(0.5, 0.4, 0.6, "measured"))
    made = put_in_time(log(egt_reading_1=shown), facts)
    found = made.undone["egt_reading_1"]
    assert isinstance(found, LagUndone)
    assert found.peak == pytest.approx(true.max(), abs=0.1 * (true.max() - true[0]))
    assert made.treatments["egt_reading_1"].code == "lag-undone"
    np.testing.assert_array_equal(made.channels.read("egt_reading_1").value, found.value)


def test_a_slow_probe_stays_as_read_and_is_bounded() -> None:
    shown = first_order(TIME, gas("pull", TIME), np.full(TIME.size, 3.0))
    made = put_in_time(log(egt_reading=shown), TimeFacts(probe=ProbeLag(3.0, 2.0, 4.0, "measured")))
    assert made.treatments["egt_reading"].code == "lag-bound"
    assert "egt_reading" in made.bounds
    np.testing.assert_array_equal(made.channels.read("egt_reading").value, shown)


def test_a_probe_nobody_described_is_looked_for_in_the_log() -> None:
    shown = first_order(TIME, gas("pull", TIME), np.full(TIME.size, 0.4))
    made = put_in_time(log(egt_reading=shown))
    assert "lift-off" in made.treatments["egt_reading"].words


def test_pairs_that_tell_come_first() -> None:
    one, two = np.sin(TIME) * 100 + 300, np.cos(TIME) * 10 + 20
    first = samplings(ChannelsInMemory({"engine_speed": Series(TIME, one), "boost": Series(TIME, two)}))
    second = samplings(
        ChannelsInMemory(
            {
                "torque": Series(TIME, two),
                "engine_speed": Series(TIME, one),
                "vehicle_speed_roller": Series(TIME, one),
            }
        )
    )
    pairs = pairs_in_common(first, second)
    assert pairs[0] == ("engine_speed", "engine_speed", "same")
    assert ("engine_speed", "vehicle_speed_roller", "proportional") in pairs
    assert pairs[-1] == ("boost", "torque", "similar")


def test_a_named_pair_is_the_only_one_tried() -> None:
    rng = np.random.default_rng(3)
    time = np.arange(0.0, 100.0, 0.1)
    walk = np.convolve(np.cumsum(rng.normal(size=time.size)), np.ones(9) / 9, mode="same")
    first = samplings(
        ChannelsInMemory({"boost": Series(time, walk), "engine_speed": Series(time, np.flip(walk))})
    )
    second = samplings(
        ChannelsInMemory(
            {"torque": Series(time - 12.0, 3.0 * walk + 40.0), "engine_speed": Series(time, walk)}
        )
    )
    (only,) = clocks_by_common_quantity(first, second, quantity=("boost", "torque"))
    assert isinstance(only.result, ClockOffset)
    assert only.result.offset == pytest.approx(12.0, abs=0.01)
    assert only.result.scale == pytest.approx(1.0 / 3.0, rel=0.01)


def test_the_way_to_the_probe_is_looked_for_in_the_log() -> None:
    """Lambda asked for in steps, flow that varies, fuel cut between: 4 l and 0.1 s are found, not assumed."""
    rng = np.random.default_rng(2)
    fine = np.arange(0.0, 60.0, 0.005)
    marks = np.sort(rng.uniform(1.0, 60.0, 22))
    asked = rng.uniform(0.8, 1.0, 23)[np.searchsorted(marks, fine)]
    air = np.interp(fine, np.arange(0.0, 61.0, 3.0), 10.0 ** rng.uniform(-2.3, -0.8, 21))
    flow = air * 15.0 / 14.0 * 289.0 * 950.0 / 104e3
    total = np.concatenate([[0.0], np.cumsum(0.005 * 0.5 * (flow[1:] + flow[:-1]))])
    left = np.interp(total - 4e-3, total, fine)
    burned = np.where((fine > 30.0) & (fine < 33.0), 5.0, asked)
    shown = first_order(fine, np.interp(left - 3 * np.pi / 300.0, fine, burned), np.full(fine.size, 0.1))
    shown = np.clip(shown + rng.normal(0.0, 0.004, fine.size), 0.65, 1.6)
    time = fine[::8]
    made = {
        "engine_speed": np.full(time.size, 300.0) + rng.normal(0.0, 0.1, time.size),
        "mass_flow_air": air[::8],
        "lambda": shown[::8],
        "lambda_target": asked[::8],
    }
    found = put_in_time(ChannelsInMemory({name: Series(time, value) for name, value in made.items()}))
    words = found.treatments["lambda"].words
    assert "from the log, by lambda_target" in words
    delay = time - found.channels.read("lambda").time
    true = fine - left + 0.1 + 3 * np.pi / 300.0
    busy = (time > 5.0) & (time < 25.0)
    assert np.median(np.abs(delay - np.interp(time, fine, true))[busy]) < 0.03


def test_a_dyno_that_reckons_engine_speed_with_a_wrong_ratio() -> None:
    speed = drive(np.random.default_rng(4), 120.0)
    rng = np.random.default_rng(0)
    time, dyno = np.arange(0.0, 120.0, 0.05), np.arange(10.0, 100.0, 0.1)
    first = {
        "engine_speed": sampling_of(Series(time, speed(time) + rng.normal(0, 5, time.size)), "engine_speed")
    }
    seen = 1.04 * speed(dyno) + rng.normal(0, 5, dyno.size)
    second = {"engine_speed": sampling_of(Series(dyno - 10.0, seen), "engine_speed")}
    (only,) = clocks_by_common_quantity(first, second, lag=0.0)
    assert isinstance(only.result, ClockOffset)
    assert only.result.offset == pytest.approx(10.0, abs=0.02)
    assert only.result.scale == pytest.approx(1 / 1.04, rel=0.002)
    assert "times the second's" in only.result.words


@pytest.mark.parametrize("late", [0.0, 0.15, 0.3])
@pytest.mark.parametrize(("period", "told"), [(0.1, False), (1.0, True)])
def test_a_position_receiver_may_show_its_speed_late(late: float, period: float, told: bool) -> None:
    """How late does not show: a figure only where that is less than half of its own slow samples."""
    speed = drive(np.random.default_rng(7), 300.0)
    rng = np.random.default_rng(1)
    time, receiver = np.arange(0.0, 300.0, 0.05), np.arange(10.0, 280.0, period)
    car = 0.04 * speed(time) + rng.normal(0, 0.02, time.size)
    seen = 0.04 * speed(receiver - late) + rng.normal(0, 0.02, receiver.size)
    first = {"vehicle_speed": sampling_of(Series(time, car), "vehicle_speed")}
    second = {"vehicle_speed_gps": sampling_of(Series(receiver - 10.0, seen), "vehicle_speed_gps")}
    (only,) = clocks_by_common_quantity(first, second)
    assert not isinstance(only.result, NoOffset)
    assert only.result.low <= 10.0 <= only.result.high
    assert only.result.high - only.result.low < 0.5
    if told:
        assert isinstance(only.result, ClockOffset)
        assert abs(only.result.offset - 10.0) < 0.5 * period
    else:
        assert isinstance(only.result, ClockBound)
        assert only.result.why == "receiver"
        assert "receiver" in only.result.words
