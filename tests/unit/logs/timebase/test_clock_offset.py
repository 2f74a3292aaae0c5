"""Offset of two clocks: made pairs with known truth, a real drive sampled twice, and what must be refused."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from made_logs_a import drive, two_clocks
from read_log import read_back
from scipy import signal

from boostwright.logs.series import ChannelsInMemory, Series
from boostwright.logs.timebase.clock_answer import told_to_half
from boostwright.logs.timebase.clock_offset import ClockBound, ClockOffset, NoOffset, clock_offset
from boostwright.logs.timebase.sampling import Sampling, sampling_of, samplings

LOGS = Path(__file__).parents[3] / "data" / "logs"
PAIRS = 150
KNOWN = 100  # of them where the user knows that no instrument is late


def sampled(time: np.ndarray, value: np.ndarray) -> Sampling:
    return sampling_of(Series(time, value))


def placed_by(lag: float | None, pairs: int) -> tuple[np.ndarray, list[bool], int]:
    """Error, standard error, period of the slower record, drift's error over its standard error, a row a pair; whether
    each bound holds; how many are refused. ``lag`` as the user knows it: there is none."""
    rows, refused, bounded = [], 0, []
    for seed in range(1000, 1000 + pairs):
        first, second, relation, offset, drift, middle = two_clocks(seed, 450.0)
        found = clock_offset(sampling_of(first), sampling_of(second), relation, lag=lag)
        if isinstance(found, ClockBound):
            true = offset - found.drift * (middle - found.middle)
            bounded.append(found.low <= true <= found.high)
        elif isinstance(found, NoOffset):  # too little happens in the shortest ones
            refused += 1
        else:
            error = found.offset + found.drift * (middle - found.middle) - offset
            slope = (found.drift - drift) / found.drift_error if found.drift_error else np.nan
            rows.append((error, found.standard_error, found.period, slope))
    return np.array(rows), bounded, refused


@pytest.fixture(scope="module")
def placed() -> np.ndarray:
    """Pairs whose user does not know whether one instrument is late."""
    rows, bounded, refused = placed_by(None, PAIRS)
    assert refused <= 0.03 * PAIRS
    assert len(bounded) <= 0.20 * PAIRS  # noise and coarse steps could hide a lag of more than half a sample
    assert np.count_nonzero(bounded) >= len(bounded) - 1
    return rows


def test_within_half_a_sample_of_the_slower_record(placed: np.ndarray) -> None:
    """Every figure; who is not told to half a sample gets a bound."""
    share = np.abs(placed[:, 0]) / placed[:, 2]
    assert np.all(share < 0.5)
    assert np.quantile(share, 0.95) < 0.12
    assert np.median(share) < 0.02
    assert np.all(placed[:, 1] <= 0.21 * placed[:, 2])


def test_who_knows_that_no_instrument_is_late_gets_figures() -> None:
    rows, bounded, refused = placed_by(0.0, KNOWN)
    assert refused <= 0.04 * KNOWN
    assert len(bounded) <= 0.03 * KNOWN
    assert np.all(np.abs(rows[:, 0]) < 0.5 * rows[:, 2])
    assert np.median(np.abs(rows[:, 0]) / rows[:, 2]) < 0.02


def test_the_stated_uncertainty_covers(placed: np.ndarray) -> None:
    """Two standard errors should hold 95 % of the pairs; of 160, fewer than 88 % or more than 99.5 % is no chance."""
    score = np.abs(placed[:, 0] / placed[:, 1])
    assert 0.55 < np.mean(score < 1.0) < 0.80
    assert np.mean(score < 2.0) > 0.88
    assert np.mean(score < 3.0) > 0.96


def test_so_does_that_of_the_drift(placed: np.ndarray) -> None:
    score = np.abs(placed[np.isfinite(placed[:, 3]), 3])
    assert score.size >= 20
    assert np.mean(score < 2.0) > 0.82


@pytest.mark.parametrize("relation", ["same", "proportional", "similar"])
def test_against_the_correlation_of_a_library(relation: str) -> None:
    """On one even grid, whole samples apart, the peak of scipy's correlation is the answer."""
    rng = np.random.default_rng(8)
    time = np.arange(0.0, 200.0, 0.1)
    value = drive(rng, 200.0)(time) + rng.normal(0.0, 5.0, time.size)
    cut = slice(300, 1700)
    other = value[cut] + rng.normal(0.0, 5.0, 1400)
    lags = signal.correlation_lags(time.size, 1400, mode="full")
    peak = lags[int(np.argmax(signal.correlate(value - value.mean(), other - other.mean())))]
    found = clock_offset(sampled(time, value), sampled(time[:1400], other), relation)
    assert isinstance(found, ClockOffset)
    assert found.offset == pytest.approx(0.1 * peak, abs=0.02)
    assert found.offset == pytest.approx(30.0, abs=0.01)


def test_exchanged_files_give_the_other_sign() -> None:
    first, second, relation, *_ = two_clocks(5)
    a, b = sampling_of(first), sampling_of(second)
    there = clock_offset(a, b, relation, drift=False)
    back = clock_offset(b, a, relation, drift=False)
    assert isinstance(there, ClockOffset)
    assert isinstance(back, ClockOffset)
    assert there.offset == pytest.approx(-back.offset, abs=there.standard_error + back.standard_error)


def test_drift_is_found_and_applied() -> None:
    rng = np.random.default_rng(3)
    speed = drive(rng, 2000.0)
    true = np.arange(0.0, 2000.0, 0.1)
    own = (true - 77.0) / (1.0 + 120e-6)
    found = clock_offset(sampled(true, speed(true)), sampled(own, speed(true) + rng.normal(0, 20, true.size)))
    assert isinstance(found, ClockOffset)
    assert found.drift == pytest.approx(120e-6, abs=3 * found.drift_error)
    assert found.drift_error < 5e-6
    assert np.max(np.abs(found.to_first(own) - true)) < 0.02
    assert "parts in a million" in found.words


def test_one_pull_of_a_dyno_is_found_among_three_alike() -> None:
    for seed in range(12):
        rng = np.random.default_rng(seed)
        time = np.arange(0.0, 200.0, 0.05)
        speed = np.full(time.size, 1000.0)
        starts = [20.0, 80.0, 140.0]
        for start, ramp in zip(starts, 400.0 * (1.0 + rng.uniform(-0.03, 0.03, 3)), strict=True):
            since = time - start
            wobble = 40.0 * np.sin(rng.uniform(1.0, 3.0) * since)
            speed = np.where((since >= 0) & (since < 11), 2000 + ramp * since + wobble, speed)
        start = starts[int(rng.integers(3))]
        dyno = np.arange(start + 0.3, start + 10.7, 0.1)
        seen = np.interp(dyno, time, speed) + rng.normal(0.0, 15.0, dyno.size)
        log = sampled(time, speed + rng.normal(0.0, 15.0, time.size))
        found = clock_offset(log, sampled(dyno - start, seen))
        if isinstance(found, ClockOffset):
            assert found.offset == pytest.approx(start, abs=0.05)
        elif isinstance(found, ClockBound):
            assert found.low <= start <= found.high
        else:
            assert found.reason == "several-fit"


def test_a_real_drive_sampled_twice() -> None:
    """Odd and even samples of a polled channel are two loggers that never looked at the same moment."""
    table = read_back(LOGS / "kit_trip_acceleration.csv")[0][0]
    found = samplings(ChannelsInMemory({n: Series(table.time, v) for n, v in table.columns.items()}))
    placed = 0
    for name, one in found.items():
        if "Speed" not in name and "RPM" not in name:
            continue
        odd, even = sampled(one.time[::2], one.value[::2]), sampled(one.time[1::2] - 61.3, one.value[1::2])
        result = clock_offset(odd, even)
        if isinstance(result, ClockOffset):
            placed += 1
            assert abs(result.offset - 61.3) < max(0.5 * odd.period, 3 * result.standard_error)
            assert abs(result.offset - 61.3) < 3.5 * result.standard_error
    assert placed


@pytest.mark.parametrize("seed", range(20))
def test_records_of_different_drives_are_refused(seed: int) -> None:
    rng = np.random.default_rng(seed)
    first, second = drive(rng, 200.0), drive(rng, 200.0)
    a, b = np.arange(0.0, 200.0, 0.1), np.arange(20.0, 150.0, 0.23)
    relation = ("same", "proportional", "similar")[seed % 3]
    found = clock_offset(sampled(a, first(a)), sampled(b, second(b) + rng.normal(0, 10, b.size)), relation)
    assert isinstance(found, NoOffset)
    assert found.words


@pytest.mark.parametrize("relation", ["same", "proportional", "similar"])
def test_pieces_of_real_records_that_were_not_there_together_are_refused(relation: str) -> None:
    """Two stretches of a real drive, slow and short as they are: no offset, for little happens in them."""
    table = read_back(LOGS / "kit_trip_acceleration.csv")[0][0]
    other = read_back(LOGS / "kit_trip_twice_encoded.csv")[0][0]
    found = [
        samplings(ChannelsInMemory({n: Series(t.time, v) for n, v in t.columns.items()}))
        for t in (table, other)
    ]
    for name in (
        "Engine RPM [RPM]",
        "Vehicle Speed Sensor [km/h]",
        "Air Flow Rate from Mass Flow Sensor [g/s]",
    ):
        pair = [next(s for n, s in one.items() if n.split(" [")[0] == name.split(" [")[0]) for one in found]
        assert isinstance(clock_offset(*pair, relation), NoOffset)


@pytest.mark.parametrize("period", [5.0, 9.7, 16.0, 28.0])
@pytest.mark.parametrize("relation", ["same", "similar"])
def test_what_repeats_itself_is_refused_unless_the_user_says_about_where(
    period: float, relation: str
) -> None:
    rng = np.random.default_rng(1)

    def speed(time: np.ndarray) -> np.ndarray:
        turn = 2 * np.pi * time / period
        return 3000.0 + 1000.0 * np.sin(turn) + 300.0 * np.sin(2 * turn) + rng.normal(0.0, 10.0, time.size)

    a, b = np.arange(0.0, 300.0, 0.1), np.arange(40.0, 190.0, 0.23)
    log, dyno = sampled(a, speed(a)), sampled(b - 77.0, speed(b))
    found = clock_offset(log, dyno, relation)
    assert isinstance(found, NoOffset)
    assert found.reason == "several-fit"
    assert min(abs((s - 77.0 + 0.5 * period) % period - 0.5 * period) for s in found.shifts) < 0.1
    near = clock_offset(log, dyno, relation, limits=(77.0 - 0.4 * period, 77.0 + 0.4 * period), lag=0.0)
    assert isinstance(near, ClockOffset)
    assert near.offset == pytest.approx(77.0, abs=0.05)


def test_too_short_flat_and_empty_records_are_refused() -> None:
    time = np.arange(0.0, 60.0, 0.1)
    lively = sampled(time, drive(np.random.default_rng(0), 60.0)(time))
    assert clock_offset(lively, sampled(time[:5], time[:5])).reason == "too-short"  # type: ignore[union-attr]
    flat = clock_offset(lively, sampled(time, np.full(time.size, 3000.0)))
    assert isinstance(flat, NoOffset)
    none = clock_offset(lively, sampled(time, np.full(time.size, np.nan)))
    assert isinstance(none, NoOffset)


def test_an_unknown_relation_is_an_error_of_the_caller() -> None:
    time = np.arange(0.0, 60.0, 0.1)
    with pytest.raises(KeyError):
        clock_offset(sampled(time, np.sin(time)), sampled(time, np.sin(time)), "opposite")


def test_a_jump_between_two_samples_moves_nothing() -> None:
    """Of a jump only the samples on either side are known: one of them must not outweigh a whole drive."""
    rng = np.random.default_rng(4)
    speed = drive(rng, 150.0)

    def jumping(time: np.ndarray) -> np.ndarray:
        return np.where(time > 120.013, 1000.0, speed(time))

    for seed in range(6):
        rng = np.random.default_rng(seed)
        a, b = np.arange(0.0, 150.0, 0.033), np.arange(rng.uniform(5.0, 6.0), 145.0, 0.063)
        first = sampled(a, jumping(a) + rng.normal(0.0, 3.0, a.size))
        found = clock_offset(first, sampled(b - 33.0, jumping(b) + rng.normal(0.0, 10.0, b.size)), lag=0.0)
        assert isinstance(found, ClockOffset)
        assert abs(found.offset - 33.0) < 4.0 * found.standard_error
        assert found.standard_error < 0.003


def pulls(rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Engine speed [1/min] each millisecond of three pulls with lift-offs."""
    time = np.arange(0.0, 150.0, 0.001)
    marks, values = [0.0], [900.0]
    for start in (15.0, 60.0, 105.0):
        start += rng.uniform(0.0, 8.0)
        long, high = rng.uniform(8.0, 12.0), rng.uniform(5800.0, 6600.0)
        marks += [start, start + 2.0, start + 4.0, start + 4.0 + long, start + 9.0 + long]
        values += [900.0, 2000.0, 2000.0, high, 1100.0]
    return time, np.interp(time, marks, values)


def lagged(time: np.ndarray, value: np.ndarray, tau: float) -> np.ndarray:
    """By scipy's filter of the exact step response."""
    keep = np.exp(-(time[1] - time[0]) / tau)
    made, _ = signal.lfilter([1.0 - keep], [1.0, -keep], value, zi=[keep * value[0]])
    return np.asarray(made)


@pytest.mark.parametrize("second_is_late", [True, False])
@pytest.mark.parametrize("tau", [0.12, 0.25, 0.4])
def test_the_lag_of_one_instrument_is_no_difference_of_clocks(tau: float, second_is_late: bool) -> None:
    rng = np.random.default_rng(int(100 * tau))
    time, speed = pulls(rng)
    slow = lagged(time, speed, tau)
    car, dyno = (speed, slow) if second_is_late else (slow, speed)
    a, b = np.arange(0.0, 149.0, 0.04), np.arange(3.0, 140.0, 0.1)
    first = sampled(a, np.interp(a, time, car) + rng.normal(0.0, 4.0, a.size))
    second = sampled(b - 20.0, np.interp(b, time, dyno) + rng.normal(0.0, 6.0, b.size))
    found = clock_offset(first, second)
    if tau < 0.2:  # ten samples a second do not carry the shape of so short a lag
        assert isinstance(found, ClockBound)
        assert found.low <= 20.0 <= found.high
        return
    assert isinstance(found, ClockOffset)
    assert abs(found.offset - 20.0) < 0.05  # half a sample; the lag itself is up to four samples
    assert found.low <= 20.0 <= found.high
    assert found.lag == pytest.approx(tau if second_is_late else -tau, abs=0.05)
    assert "later, which is taken out" in found.words


@pytest.mark.parametrize(("behind", "late"), [(0.5, 0.0), (0.0, 0.3)])
def test_a_mean_over_time_gives_a_bound_that_holds_for_both_ways_of_it(behind: float, late: float) -> None:
    """Smoothed afterwards around each moment, or by the seconds before it: the file looks the same."""
    rng = np.random.default_rng(6)
    time, speed = pulls(rng)
    edge = np.concatenate([[0.0], np.cumsum(speed)])
    half = 300
    at = np.arange(time.size)
    low, high = np.maximum(at - half, 0), np.minimum(at + half, time.size)
    smooth = (edge[high] - edge[low]) / (high - low)
    smooth = np.interp(time - late, time, smooth)
    a, b = np.arange(0.0, 149.0, 0.04), np.arange(3.0, 140.0, 0.1)
    first = sampled(a, np.interp(a, time, speed) + rng.normal(0.0, 4.0, a.size))
    second = sampled(b - 20.0, np.interp(b, time, smooth) + rng.normal(0.0, 6.0, b.size))
    found = clock_offset(first, second)
    assert isinstance(found, ClockBound)
    assert found.why == "lag"
    assert found.low <= 20.0 <= found.high
    assert found.high - found.low < 0.6
    assert "no figure" in found.words


def test_what_is_not_told_to_half_a_sample_is_a_bound() -> None:
    """Noise as large as what happens: the middle may be right, but nobody can know."""
    inside = bounds = 0
    for seed in range(30):
        rng = np.random.default_rng(seed)
        speed = drive(rng, 60.0)
        a, b = np.arange(0.0, 60.0, 0.05), np.arange(5.0, 55.0, 0.05)
        first = sampled(a, speed(a) + rng.normal(0.0, 120.0, a.size))
        found = clock_offset(first, sampled(b - 9.0, speed(b) + rng.normal(0.0, 120.0, b.size)))
        if isinstance(found, ClockOffset):
            assert abs(found.offset - 9.0) < 0.025
        elif isinstance(found, ClockBound):
            bounds += 1
            inside += found.low <= 9.0 <= found.high
            assert not hasattr(found, "offset")
    assert bounds >= 10
    assert inside >= 0.8 * bounds


def test_half_a_sample_is_told_by_both_kinds_of_doubt() -> None:
    assert told_to_half(0.0, 0.01, 0.1)
    assert not told_to_half(0.0, 0.021, 0.1)  # 2.5 standard errors no longer lie within
    assert told_to_half(0.05, 0.001, 0.1)  # evenly within half a sample
    assert not told_to_half(0.055, 0.001, 0.1)


def test_a_pull_of_another_day_is_not_taken_for_this_one() -> None:
    """Ramps of other steepness and height resemble each other, but differ by what is no noise."""
    for seed in range(8):
        time, speed = pulls(np.random.default_rng(seed))
        _, other = pulls(np.random.default_rng(100 + seed))
        rng = np.random.default_rng(seed)
        rise = int(np.argmax(other > 2050.0))
        cut = slice(rise, rise + 8000, 100)
        a = np.arange(0.0, 149.0, 0.04)
        first = sampled(a, np.interp(a, time, speed) + rng.normal(0.0, 4.0, a.size))
        found = clock_offset(first, sampled(time[cut], other[cut] + rng.normal(0.0, 6.0, other[cut].size)))
        assert not isinstance(found, ClockOffset)
