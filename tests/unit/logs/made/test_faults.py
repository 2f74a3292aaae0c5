"""Each fault is in the data as it is recorded, and nothing else changes."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.logs.made.fault_kinds import FAULT_KINDS
from boostwright.logs.made.faults import SimulationError, read_fault
from boostwright.logs.made.kit_file import KitFacts, read_kit
from boostwright.logs.made.recorded import Recorded, record
from tests.support.made_run import AIR, made_run

RUN = made_run()
LOGGER = read_kit("standalone", KitFacts(5, 0.2)).loggers[0]
CLEAN = record(LOGGER, RUN, [], 1, 0.0, 60.0)


def _with(*faults: str) -> Recorded:
    return record(LOGGER, RUN, [read_fault(one) for one in faults], 1, 0.0, 60.0)


def _pair(channel: str, *faults: str) -> tuple[np.ndarray, np.ndarray, Recorded]:
    log = _with(*faults)
    for one in CLEAN.readings:
        other = log.reading(one.instrument.channel)
        if one.instrument.channel != channel and not any(one.instrument.channel in f for f in faults):
            assert (one.value == other.value).all(), "another channel changed"
    reading = log.reading(channel)
    assert (reading.clean == CLEAN.reading(channel).value).all()
    return reading.value, reading.clean, log


def test_offset_in_its_stretch_only() -> None:
    value, clean, log = _pair("pressure_im", "offset pressure_im by=4kPa at=20s until=40s")
    taken = log.reading("pressure_im").taken
    inside = (taken >= 20.0) & (taken <= 40.0)
    assert (value - clean)[inside] == pytest.approx(4e3)
    assert (value == clean)[~inside].all()
    (told,) = log.faults
    assert (told.code, told.channel, told.name) == ("offset", "pressure_im", "Manifold Pressure")
    assert told.stretches[0] == pytest.approx((20.0, 40.0))
    assert told.numbers["by"] == 4e3


def test_scale() -> None:
    value, clean, _ = _pair("pressure_em_static", "scale pressure_em_static by=1.1")
    assert (value / clean) == pytest.approx(1.1, abs=0.006)  # half a step of 0.5 kPa in each
    assert np.mean(value / clean) == pytest.approx(1.1, abs=5e-4)
    value, clean, _ = _pair("temperature_2", "scale temperature_2 by=1.1")
    assert (value - 273.15) == pytest.approx(1.1 * (clean - 273.15), abs=0.11)


def test_unit_keeps_the_header() -> None:
    value, clean, log = _pair("pressure_bp_static", "unit pressure_bp_static to=psi")
    assert clean / value == pytest.approx(6.894757, rel=1e-5)
    assert log.reading("pressure_bp_static").instrument.unit == "kPa abs"
    assert log.faults[0].texts["to"] == "psi"


def test_stuck_from_a_moment_on() -> None:
    value, clean, log = _pair("pressure_im", "stuck pressure_im")
    (told,) = log.faults
    still = log.reading("pressure_im").taken >= told.numbers["at"]
    assert told.numbers["at"] == pytest.approx(0.4 * 60.0, abs=0.1)
    assert np.ptp(value[still]) == 0.0
    assert (value == clean)[~still].all()
    assert np.ptp(clean[still]) > 50e3


def test_clipped_at_its_full_scale() -> None:
    value, clean, log = _pair("pressure_em_static", "clipped pressure_em_static high=180kPa")
    assert value.max() == pytest.approx(180e3)
    assert (value == np.minimum(clean, 180e3)).all()
    value, clean, log = _pair("pressure_im", "clipped pressure_im")
    assert value.max() == pytest.approx(log.faults[0].numbers["high"], abs=100.0)
    assert (value < clean).mean() > 0.02


def test_noisy() -> None:
    value, clean, _ = _pair("temperature_bp", "noisy temperature_bp rms=8K")
    assert np.std(value - clean) == pytest.approx(8.0, rel=0.06)


@pytest.mark.parametrize(("shows", "number"), [("empty", np.nan), ("0", 0.0), ("65535", 65535.0)])
def test_drop_outs_where_they_are_recorded(shows: str, number: float) -> None:
    value, clean, log = _pair("pressure_im", f"drop-out pressure_im share=0.05 shows={shows}")
    (told,) = log.faults
    taken = log.reading("pressure_im").taken
    gone = np.zeros(taken.size, dtype=bool)
    for start, stop in told.stretches:
        gone |= (taken >= start) & (taken < stop)
    assert 0.01 < gone.mean() < 0.12
    assert (value == clean)[~gone].all()
    if np.isnan(number):
        assert np.isnan(value[gone]).all()
    else:
        assert value[gone] == pytest.approx(number * 1e3)  # in the file's kPa


def test_swapped_both_ways() -> None:
    log = _with("swapped egt_reading_2 with=egt_reading_5")
    second, fifth = log.reading("egt_reading_2"), log.reading("egt_reading_5")
    assert np.mean(second.value - second.clean) == pytest.approx(24.0, abs=0.5)
    assert np.mean(fifth.value - fifth.clean) == pytest.approx(-24.0, abs=0.5)


def test_slow_probe_lags_more() -> None:
    value, clean, log = _pair("egt_reading_3", "slow-probe egt_reading_3 by=4")
    taken = log.reading("egt_reading_3").taken
    rising = (taken > 16.5) & (taken < 18.0)
    assert (clean - value)[rising].mean() > 40.0


def test_reversed_probe_falls_as_it_gets_hot() -> None:
    value, clean, _ = _pair("egt_reading_1", "reversed-probe egt_reading_1")
    shown = value > 273.2  # what is below freezing is cut off by the instrument
    assert value.min() == pytest.approx(273.15)
    assert shown.sum() == 0 or np.corrcoef(value[shown], clean[shown])[0, 1] < -0.9


def test_blade_count_scales_by_the_ratio() -> None:
    value, clean, _ = _pair("shaft_speed", "blade-count shaft_speed fitted=9 counted=7")
    fast = clean > 1000.0
    assert value[fast] / clean[fast] == pytest.approx(9 / 7, rel=0.01)


def test_air_leak_is_leaner_at_low_flow() -> None:
    value, clean, log = _pair("lambda", "air-leak lambda")
    taken = log.reading("lambda").taken
    idle, pull = (taken > 8.0) & (taken < 11.0), (taken > 24.0) & (taken < 26.5)
    assert (value / clean)[idle].mean() > 1.05
    assert 0.999 < (value / clean)[pull].mean() < 1.01


def test_leaky_line_shows_part_of_what_is_above_the_air() -> None:
    value, clean, log = _pair("pressure_em_static", "leaky-line pressure_em_static share=0.7 lag=0s")
    taken = log.reading("pressure_em_static").taken
    still = (taken > 24.0) & (taken < 26.5)
    assert ((value - AIR) / (clean - AIR))[still] == pytest.approx(0.7, abs=0.02)
    rest = taken < 4.0
    assert np.abs(value - clean)[rest].max() < 600.0


def test_gauge_for_absolute_and_back() -> None:
    value, clean, _ = _pair("pressure_2_static", "gauge-absolute pressure_2_static")
    # what goes below the sensor's range is cut off there
    assert (clean - value)[value > 0] == pytest.approx(AIR, abs=60.0)
    value, clean, _ = _pair("fuel_pressure", "gauge-absolute fuel_pressure")
    assert value - clean == pytest.approx(AIR, abs=600.0)


def test_no_barometer() -> None:
    log = _with("no-barometer")
    assert "pressure_amb" not in log.channels().names
    assert log.faults[0].code == "no-barometer"


def test_several_at_a_time() -> None:
    log = _with("offset pressure_im by=3kPa", "stuck egt_reading_2 at=30s", "no-barometer")
    assert {one.code for one in log.faults} == {"offset", "stuck", "no-barometer"}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("ofset pressure_im", "did you mean offset"),
        ("offset", "needs one channel"),
        ("offset presure", "is no channel"),
        ("offset pressure_im by=4", "unit"),
        ("offset pressure_im by=4kPa to=3", "cannot be said of offset"),
        ("blade-count pressure_im", "cannot befall"),
        ("glued pressure_im", "befalls the whole file"),
        ("swapped pressure_im", "needs the other channel"),
        ("swapped pressure_im with=egt_reading_1", "of one kind"),
        ("swapped pressure_im with=pressure_im", "of one kind"),
        ('offset pressure_im by="4kPa', "quotation mark"),
        ("", "is empty"),
        ("repeated-header times=1e30", "out of range"),
        ("drop-out pressure_im share=3", "out of range"),
        ("drop-out pressure_im shows=gone", "empty or a number"),
        ("blade-count shaft_speed counted=0", "out of range"),
    ],
)
def test_what_cannot_be_is_refused_with_what_can(text: str, words: str) -> None:
    with pytest.raises(SimulationError, match=words):
        read_fault(text)


def test_every_fault_of_a_channel_changes_its_channel() -> None:
    """None is a name without a deed."""
    targets = {"blade-count": "shaft_speed", "air-leak": "lambda", "reversed-probe": "egt_reading_1"}
    targets |= {"slow-probe": "egt_reading_2", "swapped": "pressure_bp_static with=pressure_em_static"}
    for code, kind in FAULT_KINDS.items():
        if kind.place != "file" and code != "no-barometer":
            words = targets.get(code, "pressure_im")
            log = _with(f"{code} {words}")
            reading = log.reading(words.split()[0])
            changed = ~(
                (reading.value == reading.clean) | (np.isnan(reading.value) & np.isnan(reading.clean))
            )
            assert changed.any(), code
            assert [one.code for one in log.faults] == [code]
