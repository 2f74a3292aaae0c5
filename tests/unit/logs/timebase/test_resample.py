"""Onto another base: never outside the neighbours, nothing in gaps, far values marked, the method said."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boostwright.logs.records import LogError
from boostwright.logs.series import Series
from boostwright.logs.timebase.resample import METHODS, resample
from boostwright.logs.timebase.sampling import sampling_of


@st.composite
def channel(draw: st.DrawFn) -> Series:
    steps = draw(st.lists(st.floats(0.0, 3.0), min_size=2, max_size=40))
    values = draw(
        st.lists(st.one_of(st.floats(-1e6, 1e6), st.just(np.nan)), min_size=len(steps), max_size=len(steps))
    )
    return Series(np.cumsum(np.array(steps)), np.array(values, dtype=float))


@given(channel(), st.sampled_from(sorted(METHODS)), st.lists(st.floats(-5, 150), min_size=1, max_size=60))
@settings(max_examples=300, deadline=None)
def test_no_value_that_was_not_there(series: Series, method: str, times: list[float]) -> None:
    sampling = sampling_of(series)
    made = resample(sampling, np.array(times), method)
    t, v = sampling.time, sampling.value
    for time, value in zip(made.time, made.value, strict=True):
        if np.isnan(value):
            continue
        left = np.searchsorted(t, time, side="right") - 1
        assert left >= 0
        right = min(left + 1, t.size - 1)
        low, high = min(v[left], v[right]), max(v[left], v[right])
        assert low <= value <= high
        if method == "previous":
            assert value == v[left]
        else:
            assert time <= t[-1]


@given(channel())
@settings(max_examples=100, deadline=None)
def test_at_the_samples_stands_the_sample(series: Series) -> None:
    sampling = sampling_of(series)
    for method in METHODS:
        made = resample(sampling, sampling.time, method)
        assert np.array_equal(made.value, sampling.value)
        assert np.all(made.distance == 0.0)
        assert not made.far.any()


def test_gaps_stay_empty_and_far_values_are_marked() -> None:
    time = np.array([0.0, 1.0, 2.0, 3.0, 10.0, 11.0, 12.0, 13.9])
    sampling = sampling_of(Series(time, np.arange(8.0)))
    base = np.arange(-1.0, 17.0, 0.25)
    line = resample(sampling, base, "linear")
    inside = (base > 3.0) & (base < 10.0)
    assert np.all(np.isnan(line.value[inside]))
    assert np.all(np.isnan(line.value[(base < 0) | (base > 13.9)]))
    hold = resample(sampling, base, "previous")
    assert np.all(hold.value[(base >= 3.0) & (base <= 4.0)] == 3.0)
    assert np.all(np.isnan(hold.value[(base > 3.0 + sampling.period) & (base < 10.0)]))
    assert line.far[base == 13.0] == (0.5 * sampling.period < 0.9)
    wide = (base > 12.0 + 0.5 * sampling.period) & (base < 13.9 - 0.5 * sampling.period)
    assert wide.any()
    assert np.all(line.far[wide])


def test_the_words_say_how_few_are_readings() -> None:
    time = np.arange(0.0, 60.0, 0.9)
    made = resample(sampling_of(Series(time, np.sin(time)), "egt_reading"), np.arange(0.0, 60.0, 0.05))
    assert "sampled every 0.9 s only" in made.words
    assert "one in 18 is a reading" in made.words


def test_an_unknown_method_is_refused() -> None:
    with pytest.raises(LogError, match="resampled"):
        resample(sampling_of(Series(np.arange(3.0), np.arange(3.0))), np.arange(3.0), "cubic")
