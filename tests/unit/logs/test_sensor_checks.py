"""Sensor checks: each fault named rightly, sound logs left alone, and what could not be checked said."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from boostwright.logs.mapping.channels import open_channels
from boostwright.logs.sensor_checks.blade_count import likely_counts, speed_demanded
from boostwright.logs.sensor_checks.certainty import certainty_of_chance, certainty_of_deviation, in_words
from boostwright.logs.sensor_checks.drive_pressure import least_before_turbine
from boostwright.logs.sensor_checks.facts import SensorFacts
from boostwright.logs.sensor_checks.other_units import pressure_unit, temperature_unit
from boostwright.logs.sensor_checks.records import CODES
from boostwright.logs.sensor_checks.run import check_sensors
from boostwright.logs.sensor_checks.signal import signal_of
from boostwright.logs.sensor_checks.slow_probe import lag_behind
from boostwright.logs.sensor_checks.tolerances import TOLERANCES, half_width
from boostwright.logs.series import ChannelsInMemory, Series
from boostwright.tasks.import_log import import_logs
from tests.support.made_logs_c import RPM, Instruments, made_log, made_run
from tests.support.sensor_faults_c import FAULTS, clean_log, faulty_log

DATA = Path(__file__).parents[2] / "data" / "logs"
REAL = (
    "kit_trip_acceleration.csv",
    "kit_one_value_per_row.csv",
    "kit_semicolon_decimal_comma_units_row_cp1252.csv",
    "kit_trip_twice_encoded.csv",
    "engine_standardised_no_header.csv",
)


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_is_named_and_nothing_else_is(name: str) -> None:
    """The right code and channel, most certain first, and no sound channel beside it."""
    fault = FAULTS[name]
    log, run = faulty_log(fault, 1000)
    report = check_sensors(log, run.facts)
    named = [f for f in report.faults if f.code == fault.code and fault.channel in f.channels]
    assert named, [(f.code, f.channels, f.what) for f in report.faults]
    allowed = {fault.channel, *(fault.swap or ())}
    assert all(set(f.channels) & allowed for f in report.faults), [
        (f.code, f.channels) for f in report.faults
    ]
    sure = [f.certainty for f in report.faults]
    assert sure == sorted(sure, reverse=True)


@pytest.mark.parametrize("seed", range(20, 36))
def test_a_sound_log_is_not_accused(seed: int) -> None:
    """Eight kinds of runs, 1 to 100 Hz, together and in turn, fine and coarse, quiet and not, some channels missing."""
    log, run, words = clean_log(seed)
    for facts in (run.facts, None):
        report = check_sensors(log, facts)
        assert not report.faults, (words, [(f.code, f.channels, f.what) for f in report.faults])


@pytest.mark.parametrize("name", REAL)
def test_a_real_log_is_not_accused(name: str, tmp_path: Path) -> None:
    """Stops at the lights, an intake sensor that soaks, a logger that asks in turn: none of it is a fault."""
    (log,) = import_logs([DATA / name], tmp_path).logs
    report = check_sensors(open_channels(log.entry.folder))
    assert not report.faults, [(f.code, f.channels, f.what) for f in report.faults]
    assert report.not_made


def test_every_fault_says_all_that_is_asked_of_it() -> None:
    """Code of the list, evidence with numbers, where, physics, other causes, what to check."""
    for name in ("intake pressure 6 kPa low", "9 blades counted as 7", "manifold and outlet", "probe slow"):
        log, run = faulty_log(FAULTS[name], 1017)
        fault = check_sensors(log, run.facts).faults[0]
        assert fault.code in CODES
        assert fault.evidence
        assert all(e.words for e in fault.evidence)
        assert any(math.isfinite(e.value) for e in fault.evidence)
        assert fault.where.end > fault.where.start
        assert fault.others
        assert all((fault.physics, fault.check))
        assert 0.5 <= fault.certainty < 1.0


def test_two_pressures_apart_blame_both_and_say_what_splits_them() -> None:
    """With a manifold sensor and a barometer only, either explains it."""
    run = made_run(5, "key-on")
    how = Instruments(keep=("engine_speed", "pressure_im", "pressure_amb", "throttle_position"), seed=5)
    how.after = {"pressure_im": lambda v, t, r: v + 5e3}
    (fault,) = check_sensors(made_log(run, how)).faults
    assert set(fault.channels) == {"pressure_im", "pressure_amb"}
    assert len(fault.others) == 2
    assert "barometer" in fault.check
    assert abs(abs(fault.evidence[0].value - fault.evidence[1].value) - 5e3) < 1.2e3


def test_a_larger_fault_is_no_less_certain() -> None:
    """1.5 kPa at rest is within what may be, 2.5 kPa likely, 6 kPa certain."""
    found = []
    for by in (0.0, 1.2e3, 2.6e3, 6e3):
        run = made_run(7, "key-on")
        how = Instruments(seed=7, after={"pressure_im": lambda v, t, r, by=by: v + by})
        faults = [f for f in check_sensors(made_log(run, how)).faults if "pressure_im" in f.channels]
        found.append(max((f.certainty for f in faults), default=0.0))
    assert found == sorted(found)
    assert found[0] == 0.0
    assert found[-1] > 0.95


def test_what_is_missing_is_said() -> None:
    """A log of two channels: each check that was not made names what it waits for."""
    run = made_run(3, "pulls-only")
    report = check_sensors(made_log(run, Instruments(keep=("engine_speed", "pressure_im"))))
    assert not report.faults
    waiting = {name for one in report.not_made for name in one.missing}
    assert {"shaft_speed", "lambda", "temperature_2", "pressure_em_static"} <= waiting
    assert any("key on" in one.why for one in report.not_made)


@pytest.mark.parametrize(
    "values",
    [np.full(50, np.nan), np.zeros(50), np.array([1.0, np.nan, 2.0]), np.array([]), np.full(50, 1e30)],
    ids=["all NaN", "all zero", "three rows", "empty", "huge"],
)
def test_a_log_without_sense_is_an_answer(values: np.ndarray) -> None:
    """No crash, no warning; nothing but what can be said."""
    time = np.arange(values.size, dtype=float)
    names = ("engine_speed", "pressure_im", "pressure_2_static", "egt_reading_1", "temperature_2", "lambda")
    report = check_sensors(
        ChannelsInMemory({n: Series(time, values.copy()) for n in names}), SensorFacts(2e-3)
    )
    assert isinstance(report.faults, tuple)


def test_engine_off_for_the_whole_log() -> None:
    """Nothing is stuck while the engine stands; the zero check is made."""
    time = np.arange(0, 60, 0.1)
    rng = np.random.default_rng(1)
    still = {
        n: Series(time, 98e3 + 0 * time) for n in ("pressure_im", "pressure_2_static", "pressure_4_static")
    }
    still["pressure_amb"] = Series(time, 98.2e3 + rng.normal(0, 20, time.size))
    still["engine_speed"] = Series(time, 0 * time)
    report = check_sensors(ChannelsInMemory(still))
    assert not report.faults
    assert any("engine off" in made for made in report.made)


def test_the_rule_of_certainty() -> None:
    """The figures its page states, by hand: (1/19) * sqrt(2 pi)/80 * exp(2 z^2)."""
    for z, stated in ((1.5, 0.13), (1.8, 0.52), (2.0, 0.83), (2.5, 0.998)):
        odds = math.sqrt(2 * math.pi) / 80 / 19 * math.exp(2 * z * z)
        assert certainty_of_deviation(z, 1.0) == pytest.approx(odds / (1 + odds))
        assert certainty_of_deviation(z, 1.0) == pytest.approx(stated, abs=0.01)
    assert certainty_of_deviation(9.0, 0.9) == 0.9
    assert certainty_of_deviation(math.nan) == certainty_of_deviation(-3.0) == 0.0
    assert certainty_of_chance(1.0) < 0.03 < 0.97 < certainty_of_chance(1e-4)
    assert [in_words(x) for x in (0.6, 0.85, 0.99)] == ["likely", "very likely", "as good as certain"]


def test_the_least_drive_pressure_against_energy_bounds() -> None:
    """Twice the static allowance gives back the expansion ratios of an energy balance worked out elsewhere.

    Inlet 298 K, turbine inlet 1223 K, overall efficiency 0.35, 0.45, 0.55, all gas through the turbine.
    """
    ratios = np.array([1.5, 2.0, 2.5, 3.0])
    bounds = {0.35: (1.35, 1.73, 2.15, 2.63), 0.45: (1.26, 1.52, 1.79, 2.08), 0.55: (1.21, 1.41, 1.60, 1.80)}
    for overall, expected in bounds.items():
        found = 1.0 + 2.0 * (least_before_turbine(ratios, 1223.0, overall) - 1.0)
        assert np.allclose(found, expected, atol=0.015)


def test_type_k_tolerance_is_the_standards() -> None:
    """IEC 60584-1, class 2: 2.5 K or 0.75 % of the temperature in degC, whichever is more."""
    assert half_width("egt_reading_3", 273.15 + 100.0) == pytest.approx(2.5)
    assert half_width("egt_reading_3", 273.15 + 900.0) == pytest.approx(6.75)
    assert half_width("pressure_im", 200e3, own=750.0) == 750.0
    assert all(t.source and t.status for t in TOLERANCES.values())


@pytest.mark.parametrize(
    ("shown", "true", "words"),
    [
        (14.7e3, 101.3e3, "psi read as kPa"),
        (101.3e3, 14.7e3, "kPa read as psi"),
        (29.9e3, 101.3e3, "inHg read as kPa"),
        (99e3, 101.3e3, ""),
        (-5.0, 1e5, ""),
    ],
)
def test_pressure_units_mixed_up(shown: float, true: float, words: str) -> None:
    """By the conversion factors; 2 % off is no other unit."""
    assert pressure_unit(shown, true) == words


def test_temperature_units_mixed_up() -> None:
    """68 degF is 20 degC."""
    assert temperature_unit(273.15 + 68, 293.15, 1.0) == "degF read as degC"
    assert temperature_unit(273.15 - 6.67, 293.15, 1.0) == "degC read as degF"
    assert temperature_unit(295.0, 293.15, 1.0) == ""


def test_blades_by_the_quotient() -> None:
    """9/7 and its neighbours; only 9 where the logger was told 7."""
    assert likely_counts(9 / 7, None)[0] == (9, 7)
    assert likely_counts(9 / 7, 7) == [(9, 7)]
    assert likely_counts(1.02, None) == []


def test_speed_demanded_is_the_lines_own() -> None:
    """On a line it gives that line's speed; outside the map nothing."""
    lines = made_run(1, "pulls-only").facts.speed_lines
    assert lines is not None
    at = slice(2, None, 7)
    found = speed_demanded(lines, lines.flow[at], lines.pressure_ratio[at])
    assert np.allclose(found[1:-1], lines.speed[at][1:-1], rtol=2e-3)
    assert np.isnan(speed_demanded(lines, np.array([0.1]), np.array([9.0]))).all()


def test_held_rows_are_no_samples() -> None:
    """A channel asked every tenth row: a tenth of the rows are its samples, coarse or not."""
    time = np.arange(0, 100, 0.1)
    truth = 100e3 + 30e3 * np.sin(time / 7)
    held = np.repeat(truth[::10], 10)
    found = signal_of("pressure_im", Series(time, held))
    assert found is not None
    assert found.time.size == 100
    assert found.interval == pytest.approx(1.0)
    assert np.array_equal(found.value, truth[::10])


def test_the_lag_of_one_probe_behind_another() -> None:
    """A first-order lag put on is the lag found."""
    time = np.arange(0, 120, 0.1)
    fast = 700 + 200 * (np.sin(time / 4) > 0) + 30 * np.sin(time)
    slow, y = [], fast[0]
    for v in fast:
        y += (1 - math.exp(-0.1 / 3.0)) * (v - y)
        slow.append(y)
    lag, explained = lag_behind(np.array(slow), fast, 0.1)
    assert lag == pytest.approx(3.0)
    assert explained > 0.99


def test_idle_is_read_in_rpm() -> None:
    """850 rpm is 89 rad/s: the runs these tests rest on idle there."""
    run = made_run(2, "key-on")
    idle = run.channels["engine_speed"] / RPM
    assert np.median(idle[(idle > 400) & (idle < 1200)]) == pytest.approx(850, abs=15)


def knock_log(seed: int, *, exchanged: bool, spread: float = 4.0) -> ChannelsInMemory:
    """Spark taken back in one cylinder after another under load, 6 K a degree; probes 2 and 3 exchanged on request."""
    run = made_run(seed, "key-on steady")
    rng = np.random.default_rng(seed)
    for c in range(1, 5):
        at = np.repeat(rng.random(run.time.size // 150 + 1) < 0.25, 150)[: run.time.size]
        back = np.where(at & (run.channels["pedal_position"] > 0.5), np.deg2rad(spread), 0.0)
        run.channels[f"knock_retard_{c}"] = back
        warmer, y = np.empty_like(back), 0.0
        for k, v in enumerate(np.rad2deg(back) * 6.0):
            y += 0.02 / 1.5 * (v - y)
            warmer[k] = y
        run.channels[f"egt_reading_{c}"] = run.channels[f"egt_reading_{c}"] + warmer
    if exchanged:
        a, b = "egt_reading_2", "egt_reading_3"
        run.channels[a], run.channels[b] = run.channels[b], run.channels[a]
    return made_log(run, Instruments(rate=10.0, seed=seed))


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_probes_exchanged_between_cylinders_by_their_answer(seed: int) -> None:
    """Named where spark was taken back by cylinder; not where the probes are right, nor without that."""
    (fault,) = check_sensors(knock_log(seed, exchanged=True)).faults
    assert fault.code == "swapped"
    assert set(fault.channels) == {"egt_reading_2", "egt_reading_3"}
    assert not check_sensors(knock_log(seed, exchanged=False)).faults
    report = check_sensors(knock_log(seed, exchanged=True, spread=0.0))
    assert not report.faults
    assert any("exchanged between cylinders" in one.check for one in report.not_made)
