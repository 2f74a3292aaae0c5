"""Which rows are fresh: made loggers whose truth is known, real logs that ask one channel at a time, and MDF groups."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_logs_a import held_series, polled_log, wander
from read_log import read_back

from boostwright.logs.records import LogError
from boostwright.logs.series import ChannelsInMemory, Series
from boostwright.logs.timebase.rows import changed_rows, cycle_of_changes
from boostwright.logs.timebase.sampling import KINDS, sampling_of, samplings

LOGS = Path(__file__).parents[3] / "data" / "logs"


def as_channels(table) -> ChannelsInMemory:
    return ChannelsInMemory({name: Series(table.time, values) for name, values in table.columns.items()})


@pytest.mark.parametrize("seed", range(12))
def test_a_cycle_is_found_row_by_row_though_it_slips(seed: int) -> None:
    rng = np.random.default_rng(seed)
    channels, true, _ = polled_log(rng, int(rng.integers(3, 20)), 2500, slips=seed % 5)
    for name, found in samplings(channels).items():
        there = np.isfinite(channels.read(name).value)
        assert found.kind == "polled"
        assert np.count_nonzero(found.fresh & ~true[name]) <= 0.02 * found.fresh.sum()
        assert np.count_nonzero(true[name] & there & ~found.fresh) <= 0.1 * true[name].sum()


def test_the_real_log_of_one_question_a_row() -> None:
    """Ten channels, row i asks channel i modulo ten, rows every 0.09 s; the file is cut from the middle of a trip."""
    table = read_back(LOGS / "kit_trip_acceleration.csv")[0][0]
    found = samplings(as_channels(table))
    assert len(found) == 10
    for place, sampling in enumerate(found.values()):
        rows = np.flatnonzero(sampling.fresh)
        assert sampling.kind == "polled"
        assert sampling.cycle == 10
        assert sampling.period == pytest.approx(0.79, abs=0.01)
        if "not known" not in sampling.words:
            assert np.all(rows % 10 == place + 1)
        assert "one row in 10" in sampling.words
        assert "between is nothing" in sampling.words


def test_samples_of_a_real_trip_are_found_again_when_its_answers_are_written_as_full_rows() -> None:
    """The long form holds each answer with its own stamp; written as rows that repeat the rest, the truth is known."""
    tables = read_back(LOGS / "kit_one_value_per_row.csv")[0]
    answers = sorted(
        (t, name, v)
        for one in tables
        for name, vs in one.columns.items()
        for t, v in zip(one.time, vs, strict=True)
    )
    names = list(dict.fromkeys(name for _, name, _ in answers))
    time = np.array([t for t, _, _ in answers])
    wide = {name: np.full(time.size, np.nan) for name in names}
    for row, (_, name, value) in enumerate(answers):
        for one in names:
            wide[one][row] = wide[one][row - 1] if row else np.nan
        wide[name][row] = value
    found = samplings(ChannelsInMemory({name: Series(time, values) for name, values in wide.items()}))
    asked = np.array([name for _, name, _ in answers])
    assert len(found) == 10
    for name, sampling in found.items():
        assert sampling.kind == "polled"
        if "not known" not in sampling.words:
            assert np.array_equal(sampling.fresh, asked == name)


def test_a_real_cycle_that_slips_is_followed() -> None:
    table = read_back(LOGS / "kit_trip_twice_encoded.csv")[0][0]
    found = samplings(as_channels(table))
    for sampling in found.values():
        assert sampling.kind == "polled"
        assert sampling.cycle == 10
    asked = sum(s.fresh.astype(int) for s in found.values())
    assert asked.max() == 1  # one question a row
    assert np.mean(asked == 1) > 0.9


def test_groups_with_their_own_stamps_are_fresh_in_every_row() -> None:
    pytest.importorskip("asammdf")
    from boostwright.logs.importers.mdf import read_mdf
    from boostwright.logs.records import Notes

    seen = 0
    for rows in read_mdf(LOGS / "kit_multirate.mf4", Notes(), ()):
        for column in rows.values:
            sampling = sampling_of(Series(rows.time, np.asarray(column, dtype=float)))
            assert sampling.kind in ("every row", "unknown")
            assert sampling.fresh.all()
            seen += 1
    assert seen >= 10


@pytest.mark.parametrize(
    ("row_rate", "rate"), [(20.0, 2.0), (25.0, 10.0), (100.0, 12.5), (50.0, 7.3), (10.0, 1.1)]
)
def test_a_value_renewed_at_its_own_pace(row_rate: float, rate: float) -> None:
    series, true = held_series(np.random.default_rng(4), 120.0, row_rate, rate, 1.0)
    found = sampling_of(series, "egt_reading")
    assert found.kind in ("held", "polled")
    assert found.period == pytest.approx(1.0 / rate, rel=0.03)
    assert np.mean(true[found.fresh]) > 0.85
    assert "between is nothing" in found.words


@given(st.integers(0, 10_000), st.sampled_from([0.1, 1.0, 5.0, 20.0]))
@settings(max_examples=60, deadline=None)
def test_a_channel_sampled_in_every_row_is_never_called_held(seed: int, quantum: float) -> None:
    value = wander(np.random.default_rng(seed), 1500, quantum)
    found = sampling_of(Series(np.arange(1500) * 0.05, value))
    assert found.kind in ("every row", "unknown")
    assert found.fresh.all()


def test_a_slow_ramp_in_coarse_steps_is_not_called_held() -> None:
    """A coolant that warms by one degree each five seconds: sampled in every row, it looks as if it were renewed so."""
    time = np.arange(0.0, 600.0, 0.05)
    found = sampling_of(Series(time, np.floor(300.0 + time / 5.0)))
    assert found.kind == "unknown"
    assert "too little to tell" in found.words


def test_switches_are_not_called_held() -> None:
    rng = np.random.default_rng(0)
    time = np.arange(0.0, 300.0, 0.05)
    duty = np.repeat(rng.choice([0.0, 0.45], 120), 50)
    assert sampling_of(Series(time, duty)).kind != "held"


def test_blanks_between_samples() -> None:
    time = np.arange(0.0, 60.0, 0.05)
    value = np.full(time.size, np.nan)
    value[3::10] = np.sin(time[3::10])
    found = sampling_of(Series(time, value), "lambda")
    assert found.kind == "blank between"
    assert found.period == pytest.approx(0.5)
    assert np.array_equal(found.fresh, np.isfinite(value))


def test_gaps_are_named() -> None:
    time = np.concatenate([np.arange(0.0, 20.0, 0.1), np.arange(50.0, 80.0, 0.1)])
    found = sampling_of(Series(time, np.sin(time) + 0.01 * time))
    assert found.gaps == (pytest.approx((19.9, 50.0)),)
    assert "1 gap" in found.words
    assert found.period == pytest.approx(0.1)


@pytest.mark.parametrize("value", [[], [np.nan], [1.0], [np.nan] * 50, [3.0] * 50])
def test_nothing_much_to_see(value: list[float]) -> None:
    time = np.arange(len(value), dtype=float)
    found = sampling_of(Series(time, np.array(value, dtype=float)), "x")
    assert found.kind in KINDS
    assert found.time.size == np.count_nonzero(found.fresh)
    assert found.words


def test_changes_and_their_cycle() -> None:
    value = np.array([np.nan, 1.0, 1.0, 2.0, np.nan, 2.0, 3.0])
    assert changed_rows(value).tolist() == [1, 3, 5, 6]
    rng = np.random.default_rng(1)
    assert cycle_of_changes(np.cumsum(10 * rng.integers(1, 5, 40))) == 10
    assert cycle_of_changes(np.cumsum(rng.integers(1, 30, 400))) == 1


def test_an_unknown_channel_is_refused() -> None:
    with pytest.raises(LogError, match="no channel"):
        samplings(ChannelsInMemory({}), ["boost"])
