"""Stamps that rows share: put on a line where the rows come evenly, left alone where they do not."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.logs.series import Series
from boostwright.logs.timebase.sampling import sampling_of
from boostwright.logs.timebase.stamps import judge_stamps


@pytest.mark.parametrize(("rate", "resolution"), [(20.0, 0.1), (37.0, 0.1), (130.0, 0.01), (15.0, 1.0)])
def test_even_rows_find_their_place(rate: float, resolution: float) -> None:
    true = 3.21 + np.arange(2000) / rate
    found = judge_stamps(np.floor(true / resolution) * resolution)
    assert found.even
    assert found.resolution == pytest.approx(resolution)
    error = found.time - true
    assert np.std(error) < 0.05 * resolution
    assert (
        abs(np.mean(error)) < 0.5 * resolution
    )  # where rows and steps keep time, all may stand off together
    assert np.all(np.diff(found.time) > 0.0)
    assert "share" in found.words


def test_uneven_rows_stay_as_they_are() -> None:
    rng = np.random.default_rng(2)
    true = np.cumsum(rng.exponential(0.05, 2000))
    stamps = np.floor(true / 0.1) * 0.1
    found = judge_stamps(stamps)
    assert not found.even
    assert np.array_equal(found.time, stamps)
    assert "good to 0.1 s" in found.words


def test_a_stop_between_two_stretches_is_kept() -> None:
    true = np.concatenate([np.arange(0, 50, 0.04), np.arange(90, 130, 0.04)])
    found = judge_stamps(np.floor(true * 10) / 10)
    assert found.even
    assert np.max(np.abs(found.time - true)) < 0.06


def test_fine_stamps_need_no_word() -> None:
    found = judge_stamps(np.arange(100) * 0.05)
    assert found.words == ""
    assert found.error == 0.0


@pytest.mark.parametrize("time", [[], [0.0], [1.0, 1.0, 1.0, 1.0], [0.0, 0.0, 0.1, 0.1]])
def test_short_tables(time: list[float]) -> None:
    found = judge_stamps(np.array(time))
    assert np.array_equal(found.time, np.array(time))


def test_a_sampling_uses_and_says_it() -> None:
    true = np.arange(1000) * 0.05
    found = sampling_of(Series(np.floor(true * 10) / 10, np.sin(true)), "engine_speed")
    assert found.period == pytest.approx(0.05, rel=1e-3)
    assert "share one" in found.words
    assert found.stamp_error == pytest.approx(0.1 / np.sqrt(12))
