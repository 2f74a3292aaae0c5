"""Lag of a probe: forward against a library and the closed form, undone within what is promised, bounded beyond."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_logs_a import GAS_SHAPES, gas
from scipy import signal
from scipy.ndimage import minimum_filter1d

from boostwright.logs.series import Series
from boostwright.logs.timebase.lag import LagBound, LagUndone, ProbeLag, undo_lag
from boostwright.logs.timebase.lag_inverse import first_order, undo_first_order
from boostwright.logs.timebase.sampling import Sampling, sampling_of
from boostwright.physics.heat.probe import first_order_response

FINE = np.arange(0.0, 14.0, 0.002)


def read(
    kind: str, tau: float, period: float, noise: float, step: float, seed: int
) -> tuple[Sampling, np.ndarray]:
    """What a probe's log holds, and the gas."""
    rng = np.random.default_rng(seed)
    true = gas(kind, FINE)
    shown = first_order(FINE, true, np.full(FINE.size, tau))
    time = np.arange(rng.uniform(0.0, period), 14.0, period)
    value = np.interp(time, FINE, shown) + rng.normal(0.0, noise, time.size)
    return sampling_of(Series(time, np.round(value / step) * step), "egt_reading"), true


def stated(tau: float) -> ProbeLag:
    return ProbeLag(tau, tau, tau, "stated")


def test_forward_is_the_closed_form_after_a_step() -> None:
    time = np.arange(0.0, 5.0, 0.05)
    shown = first_order(time, np.full(time.size, 1173.15), np.full(time.size, 1.5), start=873.15)
    np.testing.assert_allclose(shown, first_order_response(873.15, 1173.15, time, 1.5), rtol=1e-12)


@pytest.mark.parametrize("tau", [0.1, 0.7, 3.0])
def test_forward_is_that_of_a_library(tau: float) -> None:
    rng = np.random.default_rng(2)
    time = np.arange(0.0, 20.0, 0.03)
    value = 800.0 + np.cumsum(rng.normal(0.0, 5.0, time.size))
    _, expected, _ = signal.lsim(([1.0], [tau, 1.0]), value - value[0], time)
    shown = first_order(time, value, np.full(time.size, tau))
    np.testing.assert_allclose(shown - value[0], expected, atol=1e-8)


def test_without_noise_the_input_comes_back() -> None:
    time = np.arange(0.0, 12.0, 0.1)
    true = 900.0 + 200.0 * np.sin(time) + 60.0 * np.sin(2.3 * time)
    made = undo_first_order(time, first_order(time, true, np.full(time.size, 0.8)), np.full(time.size, 0.8))
    middle = 900.0 + 200.0 * np.sin(made.time) + 60.0 * np.sin(2.3 * made.time)
    assert np.max(np.abs(made.value - middle)[3:-3]) < 3.0


@pytest.mark.parametrize("kind", GAS_SHAPES)
@pytest.mark.parametrize("tau", [0.15, 0.5, 1.0])
@pytest.mark.parametrize("period", [0.1, 0.02])
def test_peak_within_a_tenth_of_the_rise(kind: str, tau: float, period: float) -> None:
    """Noise of 1 K and steps of 1 K, gas in five shapes, the hardest of them steps that no gas can make."""
    for seed in range(4):
        reading, true = read(kind, tau, period, 1.0, 1.0, seed)
        found = undo_lag(reading, stated(tau))
        assert isinstance(found, LagUndone)
        rise = true.max() - true[0]
        assert abs(found.peak - true.max()) < 0.10 * rise
        assert abs(found.peak - true.max()) < 4.0 * found.peak_error
        assert "Noise of" in found.words
        assert "times" in found.words


def test_the_noise_cost_is_what_it_says() -> None:
    """A steady gas, many logs: the scatter of the estimate over that of the reading is the stated gain."""
    time = np.arange(0.0, 20.0, 0.1)
    tau = np.full(time.size, 1.0)
    pull = first_order(time, gas("pull", time), tau)
    made = [
        undo_first_order(time, pull + np.random.default_rng(k).normal(0.0, 2.0, time.size), tau)
        for k in range(60)
    ]
    place = 60
    scatter = np.std([m.value[place] for m in made])
    assert scatter == pytest.approx(2.0 * np.mean([m.gain[place] for m in made]), rel=0.35)
    assert np.median([m.noise for m in made]) == pytest.approx(2.0, rel=0.15)
    assert 0.3 < np.mean([m.gain[place] for m in made]) < 20.0  # undone sample by sample it would be 14


def test_lag_that_follows_the_flow() -> None:
    rng = np.random.default_rng(4)
    true = gas("pull", FINE)
    flow = np.where((FINE > 2) & (FINE < 9), 0.05 + 0.2 * (FINE - 2) / 7, 0.03)
    shown = first_order(FINE, true, 0.7 * (0.25 / flow) ** 0.5)
    time = np.arange(0.0, 14.0, 0.05)
    reading = sampling_of(
        Series(time, np.interp(time, FINE, shown) + rng.normal(0, 1, time.size)), "egt_reading"
    )
    lag = ProbeLag(0.7, 0.6, 0.8, "stated", 0.25)
    found = undo_lag(reading, lag, np.interp(reading.time, FINE, flow))
    assert isinstance(found, LagUndone)
    good = np.isfinite(found.value)
    assert np.any(~good)  # at small flow it is slower than a second
    hottest = np.interp(found.time[good], FINE, true).max()
    assert found.peak == pytest.approx(hottest, abs=0.1 * (true.max() - true[0]))
    assert "flow is so small" in found.words


def test_no_peak_below_what_the_probe_showed() -> None:
    """Gas is hottest where little of it flows and the probe is too slow: what can be undone is no peak of the log."""
    flow = np.where((FINE > 8) & (FINE < 11), 0.25, 0.03)
    true = np.where(FINE < 7, 1050.0, 950.0)
    shown = first_order(FINE, true, 0.7 * (0.25 / flow) ** 0.5)
    time = np.arange(0.0, 14.0, 0.05)
    reading = sampling_of(Series(time, np.interp(time, FINE, shown)), "egt_reading")
    found = undo_lag(reading, ProbeLag(0.7, 0.6, 0.8, "stated", 0.25), np.interp(reading.time, FINE, flow))
    assert isinstance(found, LagBound)
    assert found.why == "hottest-slow"
    assert found.reading_peak == pytest.approx(1050.0, abs=2.0)
    assert "at least 777 degC" in found.words


@pytest.mark.parametrize(
    ("tau", "period", "why"),
    [(1.0, 0.2, "sparse"), (0.3, 0.9, "sparse"), (1.5, 0.02, "slow"), (4.0, 0.1, "slow")],
)
def test_slower_or_sparser_gives_a_bound(tau: float, period: float, why: str) -> None:
    reading, _ = read("pull", tau, period, 1.0, 1.0, 1)
    found = undo_lag(reading, ProbeLag(tau, 0.7 * tau, 1.4 * tau, "card"))
    assert isinstance(found, LagBound)
    assert found.why == why
    assert found.reading_peak == reading.value.max()
    assert found.highest >= found.reading_peak
    assert "at least" in found.words
    assert "lasted" in found.words


@given(st.integers(0, 100_000), st.floats(1.25, 5.0), st.sampled_from([0.05, 0.2, 0.5, 1.0]))
@settings(max_examples=60, deadline=None)
def test_no_lasting_temperature_breaks_the_bound(seed: int, tau: float, period: float) -> None:
    rng = np.random.default_rng(seed)
    fine = np.arange(0.0, 60.0, 0.01)
    marks = np.sort(rng.uniform(0.0, 60.0, int(rng.integers(4, 30))))
    level = rng.uniform(500.0, 1200.0, marks.size)
    true = level[np.clip(np.searchsorted(marks, fine) - 1, 0, None)]
    time = np.arange(0.01, 59.0, period)
    shown = np.interp(time, fine, first_order(fine, true, np.full(fine.size, tau)))
    reading = sampling_of(Series(time, shown + rng.normal(0.0, 0.5, time.size)))
    found = undo_lag(reading, ProbeLag(tau * rng.uniform(0.85, 1.15), 0.8 * tau, 1.2 * tau, "card"))
    assert isinstance(found, LagBound)
    lasting = round(found.lasting / 0.01) + 2
    seen = true[(fine >= time[0]) & (fine <= time[-1])]  # what went on before and after, the log cannot know
    longest = minimum_filter1d(seen, lasting)[lasting // 2 : -lasting // 2].max()
    assert found.highest >= longest - 2.0
    assert shown.max() <= true.max() + 1e-6  # the gas was at least as hot as the reading


def test_a_wrong_time_constant_shows_in_the_error() -> None:
    reading, true = read("pull", 0.8, 0.05, 1.0, 1.0, 3)
    found = undo_lag(reading, ProbeLag(0.6, 0.4, 0.9, "card"))
    assert isinstance(found, LagUndone)
    assert abs(found.peak - true.max()) < 3.0 * found.peak_error
    top = int(np.nanargmax(found.value))
    assert found.low[top] < found.value[top] < found.high[top]


@pytest.mark.parametrize("value", [[], [900.0], [900.0] * 5, [np.nan] * 30])
def test_too_few_readings(value: list[float]) -> None:
    found = undo_lag(sampling_of(Series(np.arange(len(value)) * 0.05, np.array(value))), stated(0.5))
    assert isinstance(found, LagBound)
    assert found.words


def test_a_gap_stays_empty() -> None:
    time = np.concatenate([np.arange(0.0, 10.0, 0.05), np.arange(30.0, 40.0, 0.05)])
    value = 900.0 + 100.0 * np.sin(time)
    found = undo_lag(sampling_of(Series(time, value), "egt_reading"), stated(0.5))
    assert isinstance(found, LagUndone)
    assert np.count_nonzero(np.isnan(found.value)) == 1
    inside = (found.time > 10.0) & (found.time < 30.0)
    assert np.all(np.isnan(found.value[inside]))
