"""Time constants found in made logs of known probes, and what tells nothing."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.logs.series import Series
from boostwright.logs.timebase.lag_estimate import (
    LagFound,
    NoLag,
    lag_from_falls,
    lag_from_two_probes,
    lift_offs,
)
from boostwright.logs.timebase.lag_inverse import first_order
from boostwright.logs.timebase.sampling import sampling_of

FINE = np.arange(0.0, 80.0, 0.005)


def drive(seed: int, walls: float = 0.0):
    """Gas [K] of pulls and lift-offs, and when the throttle was shut."""
    rng = np.random.default_rng(seed)
    gas = np.full(FINE.size, 750.0)
    cuts = []
    for start in np.arange(8.0, 75.0, 16.0) + rng.uniform(0.0, 2.0):
        end = start + rng.uniform(4.0, 7.0)
        pull = (start < FINE) & (end > FINE)
        gas = np.where(pull, 750.0 + rng.uniform(200.0, 400.0) * (1.0 - np.exp(-(FINE - start) / 1.0)), gas)
        since = np.clip(FINE - end, 0.0, None)
        low, last = rng.uniform(450.0, 600.0), gas[np.searchsorted(FINE, end) - 1]
        fall = low + (last - low) * np.exp(-since / 0.08) + walls * np.exp(-since / 15.0)
        gas = np.where((end <= FINE) & (end + 6.0 > FINE), fall, gas)
        cuts.append(end)
    return gas, np.array(cuts), rng


def shown(gas: np.ndarray, tau: float, period: float, noise: float, rng) -> np.ndarray:
    time = np.arange(0.02, 79.0, period)
    reading = np.interp(time, FINE, first_order(FINE, gas, np.full(FINE.size, tau)))
    return time, reading + rng.normal(0.0, noise, time.size)


def test_falls_after_lift_off_tell_the_lag_and_how_well() -> None:
    inside = []
    for seed in range(40):
        gas, cuts, rng = drive(seed, walls=float(seed % 2) * 60.0)
        tau = rng.uniform(0.2, 2.5)
        time, value = shown(gas, tau, float(rng.choice([0.1, 0.05])), 1.5, rng)
        found = lag_from_falls(sampling_of(Series(time, np.round(value))), cuts)
        assert isinstance(found, LagFound)
        assert found.time_constant == pytest.approx(tau, rel=0.12)
        inside.append(found.low <= tau <= found.high)
    assert np.mean(inside) > 0.85


def test_gas_that_cools_slowly_makes_it_longer_never_shorter() -> None:
    time = np.arange(0.0, 20.0, 0.05)
    gas = np.where(time < 5.0, 1100.0, 600.0 + 500.0 * np.exp(-np.clip(time - 5.0, 0, None) / 1.5))
    reading = first_order(time, gas, np.full(time.size, 0.4))
    found = lag_from_falls(sampling_of(Series(time, reading)), np.array([5.0]))
    assert isinstance(found, LagFound)
    assert found.time_constant > 0.4
    assert "longer than it is" in found.words


def test_two_probes_tell_both_lags() -> None:
    inside = []
    for seed in range(30):
        gas, _, rng = drive(seed)
        tau = rng.uniform(0.2, 1.5)
        other = tau * rng.uniform(1.6, 4.0)
        time, one = shown(gas, tau, 0.1, 1.0, rng)
        _, two = shown(gas, other, 0.1, 1.0, rng)
        found = lag_from_two_probes(sampling_of(Series(time, one)), sampling_of(Series(time, two + 6.0)))
        assert not isinstance(found, NoLag)
        assert found[0].time_constant == pytest.approx(tau, rel=0.1)
        assert found[1].time_constant == pytest.approx(other, rel=0.08)
        inside += [found[0].low <= tau <= found[0].high, found[1].low <= other <= found[1].high]
    assert np.mean(inside) > 0.85


def test_two_probes_in_steady_gas_tell_nothing() -> None:
    rng = np.random.default_rng(0)
    time = np.arange(0.0, 60.0, 0.1)
    steady = [sampling_of(Series(time, 900.0 + rng.normal(0, 1, time.size))) for _ in range(2)]
    assert isinstance(lag_from_two_probes(*steady), NoLag)


def test_no_fall_no_lag() -> None:
    time = np.arange(0.0, 60.0, 0.1)
    rising = sampling_of(Series(time, 800.0 + 3.0 * time))
    assert isinstance(lag_from_falls(rising, np.array([10.0, 30.0])), NoLag)
    assert isinstance(lag_from_falls(rising, np.array([])), NoLag)


def test_lift_offs_are_those_from_wide_open() -> None:
    time = np.arange(0.0, 30.0, 0.1)
    opening = np.select([(time > 5) & (time < 10), (time > 15) & (time < 20)], [1.0, 0.3], 0.02)
    found = lift_offs(sampling_of(Series(time, opening)))
    assert found == pytest.approx([10.0], abs=0.11)
