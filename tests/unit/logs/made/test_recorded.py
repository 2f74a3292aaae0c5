"""What instruments and loggers make of a run that is known: times, noise, resolution, range, gauge."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boostwright.logs.made.faults import SimulationError
from boostwright.logs.made.instrument import Instrument, Logger
from boostwright.logs.made.kit_file import KITS, KitFacts, read_kit
from boostwright.logs.made.recorded import Recorded, record
from boostwright.logs.made.sampling import shown_time, true_time
from boostwright.logs.made.true_run import TrueRun
from tests.support.made_run import AIR, made_run

RUN = made_run()
MAP = Instrument("pressure_im", "MAP", "kPa", "kPa", "absolute", digits=3)
SPEED = Instrument("engine_speed", "RPM", "rpm", "rpm", digits=3)


def _record(logger: Logger, seed: int = 1) -> Recorded:
    return record(logger, RUN, [], seed, 0.0, float(RUN.time[-1]))


def test_together_all_channels_are_of_one_moment() -> None:
    log = _record(Logger("car", "together", 50.0, (MAP, SPEED)))
    assert (log.readings[0].taken == log.samples.rows).all()
    assert np.diff(log.samples.rows) == pytest.approx(0.02)
    want = np.interp(log.samples.rows, RUN.time, RUN.channels["pressure_im"])
    assert np.abs(log.rows_of(0) - want).max() <= 0.5 * 1.0 + 1e-6  # half of the third digit of a kPa


def test_a_slower_channel_is_held() -> None:
    log = _record(Logger("car", "together", 50.0, (MAP, replace(SPEED, rate=5.0))))
    held = log.rows_of(1)
    changes = np.flatnonzero(np.diff(held)) + 1
    assert (changes % 10 == 0).all()
    assert log.readings[1].taken.size == pytest.approx(log.samples.rows.size / 10, abs=1)


def test_between_two_samples_a_cell_may_be_empty() -> None:
    log = _record(Logger("car", "together", 50.0, (MAP, replace(SPEED, rate=5.0)), between="empty"))
    assert np.isfinite(log.rows_of(1)).sum() == log.readings[1].taken.size
    assert log.channels().read("engine_speed").value.size == log.readings[1].taken.size


def test_in_turn_a_row_is_of_several_moments() -> None:
    log = _record(Logger("car", "in-turn", 20.0, (MAP, replace(SPEED, turns=2))))
    pressure, speed = log.readings
    assert speed.taken.size == 2 * pressure.taken.size
    assert (
        log.samples.rows.size == speed.taken.size
    )  # a row each time the channel that is asked most comes round
    assert log.samples.rows[2:] - log.samples.rows[:-2] == pytest.approx(3 / 20)
    assert not set(pressure.taken) & set(speed.taken)
    # a row shows the last answer that had come when it was written
    shown = log.samples.shown[0]
    age = log.samples.rows - pressure.taken[shown]
    assert ((age >= 0.0) & (age < 3 / 20)).all()


def test_in_turn_answers_are_spread_over_the_round() -> None:
    slow = [
        replace(MAP, channel=f"temperature_{one}", basis="", measured_in="degC") for one in ("2", "bp", "im")
    ]
    log = _record(Logger("car", "in-turn", 10.0, (replace(SPEED, turns=2), replace(MAP, turns=2), *slow)))
    apart = np.diff(log.reading("engine_speed").taken)
    assert apart.max() <= 0.41
    assert apart.min() >= 0.29
    assert np.diff(log.samples.rows) == pytest.approx(0.35, abs=0.051)


def test_jitter_never_turns_time_round() -> None:
    rows = _record(Logger("car", "together", 50.0, (MAP,), jitter=0.4)).samples.rows
    assert (np.diff(rows) > 0.0).all()
    assert np.std(np.diff(rows)) * 50.0 > 0.2


def test_noise_has_its_rms() -> None:
    quiet = _record(Logger("car", "together", 200.0, (MAP,))).readings[0].value
    noisy = _record(Logger("car", "together", 200.0, (replace(MAP, noise=700.0),))).readings[0].value
    count = quiet.size
    assert np.std(noisy - quiet) == pytest.approx(700.0, rel=4.0 / np.sqrt(2 * count))


def test_resolution_and_range() -> None:
    coarse = replace(MAP, resolution=5.0, digits=0, low=40e3, high=150e3)
    value = _record(Logger("car", "together", 50.0, (coarse,))).readings[0].value
    assert np.abs(value / 5e3 - np.round(value / 5e3)).max() < 1e-9
    assert value.max() == 150e3
    assert value.min() == 40e3


def test_gauge_counts_from_the_air() -> None:
    gauge = replace(MAP, channel="pressure_em_static", basis="gauge")
    log = _record(Logger("car", "together", 50.0, (gauge,)))
    rest = log.samples.rows < 4.0
    assert np.abs(log.rows_of(0)[rest]).max() < 1.0
    assert log.channels().read("pressure_em_static").basis == "gauge"
    want = np.interp(log.samples.rows, RUN.time, RUN.channels["pressure_em_static"]) - AIR
    assert np.abs(log.rows_of(0) - want).max() <= 0.5 + 1e-6


def test_clock_offset_and_drift_go_both_ways() -> None:
    logger = Logger("dyno", "together", 10.0, (MAP,), offset=-41.7, drift=40e-6)
    log = _record(logger)
    time = np.array([0.0, 10.0, 55.0])
    assert shown_time(logger, time) == pytest.approx((time + 41.7) * (1 + 40e-6))
    assert true_time(logger, shown_time(logger, time)) == pytest.approx(time)
    assert log.true_time(log.log_time(time)) == pytest.approx(time)
    assert log.channels().read("pressure_im").time[0] == 0.0
    assert log.log_time(log.samples.rows) == pytest.approx(log.channels().read("pressure_im").time)


def test_a_coarse_clock_shows_the_last_step_that_passed() -> None:
    log = _record(Logger("car", "together", 33.0, (MAP,), step=0.1))
    assert np.abs(log.stamps * 10 - np.round(log.stamps * 10)).max() < 1e-6
    late = log.samples.rows - log.stamps
    assert late.min() >= -1e-9
    assert late.max() < 0.1


def test_another_channel_more_changes_no_noise() -> None:
    one = replace(MAP, noise=500.0)
    alone = _record(Logger("car", "together", 50.0, (one,))).readings[0].value
    both = _record(Logger("car", "together", 50.0, (SPEED, one))).readings[1].value
    assert (alone == both).all()
    assert (alone != _record(Logger("car", "together", 50.0, (one,)), seed=2).readings[0].value).any()


@pytest.mark.parametrize("name", KITS)
def test_every_list_reads_and_logs(name: str) -> None:
    kit = read_kit(name, KitFacts(5, 0.2))
    for logger in kit.loggers:
        log = _record(logger)
        assert log.readings
        assert len({one.name for one in log.logger.instruments}) == len(log.readings)
        for reading in log.readings:
            assert np.isfinite(reading.value).all(), reading.instrument.channel


def test_a_run_without_the_channels_is_refused() -> None:
    with pytest.raises(SimulationError, match="logs nothing"):
        _record(Logger("car", "together", 10.0, (replace(MAP, channel="knock_level"),)))


def test_pulses_are_damped_by_the_line_and_folded_by_sampling() -> None:
    """At a steady speed their rms is that of a sine through a first-order line, however slowly it is sampled."""
    tap = replace(MAP, channel="pressure_em_static", digits=4, lag=0.004, pulsation=0.3, pulses=2.5)
    still = replace(tap, pulsation=0.0)
    time = np.arange(0.0, 40.0, 0.001)
    speed = np.full_like(time, 400.0)
    channels = {"engine_speed": speed, "pressure_amb": np.full_like(time, AIR)}
    run = TrueRun(time, channels | {"pressure_em_static": np.full_like(time, AIR + 60e3)})
    for rate in (20.0, 50.0, 417.0):
        shown, without = (
            record(Logger("car", "together", rate, (one,), jitter=0.1), run, [], 1, 0.0, 40.0)
            .readings[0]
            .value
            for one in (tap, still)
        )
        want = 0.3 * 60e3 / np.hypot(1.0, 400.0 * 2.5 * 0.004) / np.sqrt(2.0)
        assert np.std(shown - without) == pytest.approx(want, rel=0.04)
