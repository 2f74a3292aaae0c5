"""Lambda put right for pressure and put back in time."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boostwright.logs.series import Series
from boostwright.logs.timebase.lag_inverse import first_order
from boostwright.logs.timebase.lambda_delay import (
    DelayFound,
    GasWay,
    NoDelay,
    delay_from_log,
    lambda_in_time,
)
from boostwright.logs.timebase.lambda_pressure import (
    lambda_at_reference,
    reading_under_pressure,
    without_pressure,
)
from boostwright.logs.timebase.sampling import Sampling, sampling_of

SPEED = 300.0


@given(st.floats(0.67, 1.68), st.floats(102e3, 200e3))
def test_direction_and_band(reading: float, pressure: float) -> None:
    made = lambda_at_reference(np.array([reading]), np.array([pressure]))
    low, value, high = made.low[0], made.value[0], made.high[0]
    assert low <= value <= high
    if reading < 1.003:
        assert reading <= value <= 1.003  # too rich as read
    else:
        assert 1.003 <= value <= reading
    if abs(reading - 1.003) > 0.05 and pressure > 110e3:
        rich_width = high - low
        assert rich_width > 0.0


@given(st.floats(0.72, 1.5), st.floats(80e3, 200e3))
def test_what_pressure_did_is_undone(true: float, pressure: float) -> None:
    shown = reading_under_pressure(true, pressure, 47e3)
    if np.isfinite(shown):
        assert lambda_at_reference(np.array([shown]), np.array([pressure])).value[0] == pytest.approx(
            true, abs=1e-9
        )


def test_the_rich_band_is_the_wider_one() -> None:
    made = lambda_at_reference(np.array([0.80, 1.25]), np.full(2, 150e3))
    moved = np.abs(made.value - np.array([0.80, 1.25]))
    width = (made.high - made.low) / moved
    assert width[0] > 1.5 * width[1]
    assert "not confirmed" in lambda_at_reference(np.array([0.80]), np.array([150e3])).words


def test_at_the_reference_nothing_moves() -> None:
    reading = np.linspace(0.66, 1.69, 50)
    np.testing.assert_allclose(lambda_at_reference(reading, np.full(50, 101300.0)).value, reading, atol=1e-12)


def test_without_a_pressure_or_beyond_the_table_nothing_is_given() -> None:
    made = lambda_at_reference(np.array([0.85, 0.5, 5.0, np.nan]), np.array([np.nan, 130e3, 130e3, 130e3]))
    assert np.all(np.isnan(made.value))
    assert "not corrected" in made.words


def test_what_is_missing_is_said_with_its_size() -> None:
    words = without_pressure("behind the turbine", (103e3, 130e3))
    assert "not logged" in words
    assert "0.841 at 130 kPa" in words


def sampled(time: np.ndarray, value: np.ndarray) -> Sampling:
    return sampling_of(Series(time, value), "lambda")


@pytest.mark.parametrize("flow", [0.005, 0.05, 0.3])
def test_steady_flow_delays_by_volume_over_flow(flow: float) -> None:
    time = np.arange(0.0, 30.0, 0.05)
    way = GasWay(2e-3, 1.5e-3, 2.5e-3, 0.06, "measured")
    made = lambda_in_time(
        sampled(time, np.sin(time)), way, time, np.full(time.size, flow), np.full(time.size, SPEED)
    )
    np.testing.assert_allclose(made.delay, 2e-3 / flow + 0.06 + 3 * np.pi / SPEED, atol=1e-9)
    assert np.all(made.delay_low < made.delay)
    assert np.all(made.delay_high > made.delay)
    assert np.array_equal(made.value, np.sin(time))


def test_it_shortens_as_flow_grows() -> None:
    time = np.arange(0.0, 20.0, 0.05)
    flow = 0.01 + 0.01 * time
    made = lambda_in_time(
        sampled(time, np.sin(time)), GasWay(3e-3, 2e-3, 4e-3, 0.06, ""), time, flow, np.full(time.size, SPEED)
    )
    assert np.all(np.diff(made.delay) < 1e-12)
    # in a flow that grows evenly the way is a quadratic: flow t - t^2/200 = volume, solved by hand at 15 s
    arrival = 15.0 - 0.06
    now = 0.01 + 0.01 * arrival
    by_hand = (now - np.sqrt(now**2 - 0.02 * 3e-3)) / 0.01
    assert np.interp(15.0, time, made.delay) == pytest.approx(by_hand + 0.06 + 3 * np.pi / SPEED, abs=2e-4)


@given(st.lists(st.floats(1e-4, 0.5), min_size=4, max_size=30), st.floats(1e-4, 0.02))
@settings(max_examples=80, deadline=None)
def test_no_reading_overtakes_another(flows: list[float], volume: float) -> None:
    time = np.linspace(0.0, 30.0, 301)
    flow = np.interp(time, np.linspace(0.0, 30.0, len(flows)), flows)
    way = GasWay(volume, volume, volume, 0.06, "")
    made = lambda_in_time(sampled(time, time % 1.0), way, time, flow, np.full(time.size, SPEED))
    assert np.all(np.diff(made.time) >= 0.0)
    assert np.all(made.delay >= 0.06)


def test_gas_that_stands_belongs_to_no_moment() -> None:
    time = np.arange(0.0, 40.0, 0.05)
    flow = np.where(time < 20.0, 1e-4, 0.05)
    way = GasWay(2e-3, 1e-3, 4e-3, 0.06, "measured")
    made = lambda_in_time(sampled(time, time % 1.0), way, time, flow, np.full(time.size, SPEED))
    assert np.all(np.isnan(made.value[(time > 1.0) & (time < 19.0)]))
    assert np.array_equal(made.value[time > 21.0], (time % 1.0)[time > 21.0])
    assert "gas stands" in made.words


def made_log(seed: int):
    """Mixture stepped at random, flow and speed that vary: cause, reading, flow, speed, and the truth."""
    rng = np.random.default_rng(seed)
    fine = np.arange(0.0, 60.0, 0.005)
    marks = np.sort(rng.uniform(1.0, 60.0, int(rng.integers(8, 25))))
    asked = rng.uniform(0.78, 1.05, marks.size + 1)[np.searchsorted(marks, fine)]
    speed = 320.0 + 220.0 * np.sin(fine / rng.uniform(3.0, 9.0))
    flow = np.interp(fine, np.arange(0.0, 61.0, 3.0), 10.0 ** rng.uniform(-2.0, -0.5, 21))
    volume, lag = rng.uniform(1e-3, 6e-3), rng.uniform(0.03, 0.2)
    total = np.concatenate([[0.0], np.cumsum(0.005 * 0.5 * (flow[1:] + flow[:-1]))])
    left = np.interp(total - volume, total, fine)
    drawn = left - 3 * np.pi / np.interp(left, fine, speed)
    gas = np.interp(drawn, fine, asked)
    shown = first_order(fine, gas, np.full(fine.size, lag))
    time = np.arange(0.01, 60.0, float(rng.choice([0.02, 0.05, 0.1])))
    reading = sampled(time, np.interp(time, fine, shown) + rng.normal(0.0, 0.006, time.size))
    cause = sampling_of(Series(fine[::10], asked[::10]))
    return cause, reading, fine[::10], flow[::10], speed[::10], volume, lag


def test_volume_and_lag_are_found_in_steps_of_the_mixture() -> None:
    inside = []
    for seed in range(15):
        cause, reading, time, flow, speed, volume, lag = made_log(seed)
        found = delay_from_log(cause, reading, time, flow, speed)
        assert isinstance(found, DelayFound)
        true = volume / flow.mean() + lag
        assert found.delay == pytest.approx(true, abs=0.04)
        inside += [
            abs(found.volume - volume) < 2 * found.volume_error,
            abs(found.sensor_lag - lag) < 2 * found.lag_error,
            abs(found.delay - true) < 2 * found.delay_error,
        ]
    assert np.mean(inside) > 0.85


def test_with_them_the_reading_lies_on_its_cause_again() -> None:
    cause, reading, time, flow, speed, volume, lag = made_log(3)
    way = GasWay(volume, volume, volume, lag, "found in the log")
    made = lambda_in_time(reading, way, time, flow, speed)

    def rest(at: np.ndarray) -> float:
        inside = (at > 5) & (at < 55)
        return float(np.std(reading.value[inside] - np.interp(at[inside], cause.time, cause.value)))

    assert rest(made.time) < 0.6 * rest(reading.time)


def test_a_mixture_that_stays_shows_no_delay() -> None:
    time = np.arange(0.0, 60.0, 0.05)
    rng = np.random.default_rng(0)
    flow, speed = np.full(time.size, 0.05), np.full(time.size, SPEED)
    noise = sampled(time, 0.85 + rng.normal(0.0, 0.01, time.size))
    steps = sampled(time, np.where(time % 10 < 5, 0.8, 0.9))
    assert isinstance(delay_from_log(steps, noise, time, flow, speed), NoDelay)
    assert isinstance(
        delay_from_log(sampled(time, np.full(time.size, 0.85)), noise, time, flow, speed), NoDelay
    )
