"""What must not change a pull: the clock, the speedometer, the logger's rate, what else is in the log, its order."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from boostwright.logs.pulls.records import Pull
from boostwright.logs.pulls.search import find_pulls_in
from boostwright.logs.series import ChannelsInMemory, Series
from tests.support.made_logs_p import RPM, made_log

quick = settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
seeds = st.integers(0, 100_000)
CELL = 0.11
"""Two cells of the search [s]: where rows fall differently into them, the ends of a pull may move by so much."""


def changed(channels: ChannelsInMemory, change: Callable[[str, Series], Series]) -> ChannelsInMemory:
    return ChannelsInMemory({name: change(name, channels.read(name)) for name in channels.names})


def pulls_in(channels: ChannelsInMemory) -> tuple[Pull, ...]:
    return find_pulls_in(channels, describe=False).pulls


def same(found: tuple[Pull, ...], expected: tuple[Pull, ...], within: float, shift: float = 0.0) -> None:
    assert len(found) == len(expected)
    for one, other in zip(found, expected, strict=True):
        # at a limiter speed bends over and saws: no row there is the end more than its neighbours
        at_limiter = 0.03 if "limiter" in (one.ended_by, other.ended_by) else 0.0
        assert one.end == pytest.approx(other.end + shift, abs=within + at_limiter)
        # a rise that nearly stands at first is at the bound of the slowest ramp: either beginning is right
        if "speed-held" not in (one.began_by, other.began_by):
            assert one.start == pytest.approx(other.start + shift, abs=within)
            assert one.ramp == pytest.approx(other.ramp, rel=0.05)


def fast_log(seed: int) -> ChannelsInMemory:
    """A log of at least 50 rows a second, none of them polled."""
    while True:
        made = made_log(seed)
        if made.rate >= 50 and made.kinds.endswith("0.00 s"):
            return made.channels
        seed += 1


@quick
@given(seeds, st.floats(-1e5, 1e5))
def test_another_clock_moves_the_pulls_and_nothing_else(seed: int, shift: float) -> None:
    channels = made_log(seed).channels
    moved = changed(channels, lambda _n, s: Series(s.time + shift, s.value))
    # a bound that is met exactly may fall to either side by rounding of the stamps: a row of the slowest logger
    same(pulls_in(moved), pulls_in(channels), 0.51, shift)


@quick
@given(seeds, st.floats(0.9, 1.1))
def test_a_wrong_speedometer_changes_the_ratio_and_no_pull(seed: int, scale: float) -> None:
    channels = fast_log(seed)
    if "vehicle_speed" not in channels.names:
        return
    other = changed(channels, lambda n, s: Series(s.time, s.value * scale) if n == "vehicle_speed" else s)
    before, after = pulls_in(channels), pulls_in(other)
    same(after, before, CELL)
    for one, two in zip(before, after, strict=True):
        assert two.gear_ratio == pytest.approx(one.gear_ratio / scale, rel=1e-3)


@quick
@given(seeds, st.sampled_from([2, 3, 5]))
def test_fewer_rows_give_the_same_pulls(seed: int, every: int) -> None:
    channels = fast_log(seed)
    thin = changed(channels, lambda _n, s: Series(s.time[::every], s.value[::every]))
    found, expected = pulls_in(thin), pulls_in(channels)
    assert len(found) == len(expected)
    for one, other in zip(found, expected, strict=True):
        assert abs(one.start - other.start) < 0.15 * (other.end - other.start)
        assert abs(one.end - other.end) < 0.15 * (other.end - other.start)


@quick
@given(seeds)
def test_the_order_of_the_rows_says_nothing(seed: int) -> None:
    channels = made_log(seed).channels
    backwards = changed(channels, lambda _n, s: Series(s.time[::-1], s.value[::-1]))
    same(pulls_in(backwards), pulls_in(channels), CELL)


@quick
@given(seeds)
def test_rows_without_a_number_change_nothing(seed: int) -> None:
    channels = made_log(seed).channels

    def with_blanks(_name: str, series: Series) -> Series:
        time = np.repeat(series.time, 2)
        value = np.repeat(series.value, 2)
        value[1::2] = np.nan
        return Series(time, value)

    same(pulls_in(changed(channels, with_blanks)), pulls_in(channels), CELL)


@quick
@given(seeds, st.floats(0.0, 1.0))
def test_a_cut_elsewhere_does_not_change_a_pull(seed: int, where: float) -> None:
    """A log cut between two pulls: each is found in its half where it was found in the whole."""
    channels = fast_log(seed)
    whole = pulls_in(channels)
    if not whole:
        return
    k = min(int(where * len(whole)), len(whole) - 1)
    if k == 0 or whole[k].start - whole[k - 1].end < 6.0:
        return
    at = 0.5 * (whole[k - 1].end + whole[k].start)
    halves = [
        changed(channels, lambda _n, s: Series(s.time[s.time < at], s.value[s.time < at])),
        changed(channels, lambda _n, s: Series(s.time[s.time >= at], s.value[s.time >= at])),
    ]
    same((*pulls_in(halves[0]), *pulls_in(halves[1])), whole, CELL)


@quick
@given(seeds)
def test_two_days_one_behind_the_other_have_the_pulls_of_both(seed: int) -> None:
    channels = fast_log(seed)
    end = max(float(channels.read(n).time[-1] - channels.read(n).time[0]) for n in channels.names) + 60.0

    def twice(_name: str, series: Series) -> Series:
        return Series(np.concatenate((series.time, series.time + end)), np.tile(series.value, 2))

    once = pulls_in(channels)
    both = pulls_in(changed(channels, twice))
    same(both[: len(once)], once, CELL)
    same(both[len(once) :], once, CELL, end)


@quick
@given(seeds)
def test_what_is_reported_holds_together(seed: int) -> None:
    made = made_log(seed)
    search = find_pulls_in(made.channels)
    time = made.channels.read("engine_speed").time
    for pull in search.pulls:
        assert time[0] <= pull.start < pull.end <= time[-1]
        assert pull.speed_end - pull.speed_start >= 0.96 * 1500 * RPM
        assert pull.ramp_low <= pull.ramp_high
        assert pull.ramp == pytest.approx(
            (pull.speed_end - pull.speed_start) / (pull.end - pull.start), rel=0.25
        )
        speed = next(f for f in pull.figures if f.channel == "engine_speed")
        assert speed.least <= speed.mean <= speed.most
        assert abs(speed.samples - pull.samples) <= 2 or made.kinds.split()[-2] != "0.00"
    for one, other in zip(search.pulls, search.pulls[1:], strict=False):
        assert one.end <= other.start
    for stretch in search.not_taken:
        assert stretch.end >= stretch.start
        assert stretch.words.endswith(".")
        assert "nan" not in stretch.words
