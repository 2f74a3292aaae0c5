"""A derived quantity is never finer than the slowest channel in it, and what a log lacks is said."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.logs.derived.catalogue import CATALOGUE, work_out
from boostwright.logs.derived.facts import Facts
from boostwright.logs.derived.instants import bent_between, oldest
from boostwright.logs.derived.samples import noise_of
from boostwright.logs.derived.uncertain import BAND
from boostwright.logs.records import LogError
from boostwright.logs.series import ChannelsInMemory, Series
from boostwright.logs.timebase.sampling import sampling_of
from tests.support.steady_log import engine


def _two_rates(fast: float, slow: float, held: bool) -> ChannelsInMemory:
    """Manifold pressure at one rate; its temperature at another, blank or repeated in between."""
    rng = np.random.default_rng(5)
    time = np.arange(0.0, 60.0, fast)
    every = round(slow / fast)
    course = 310.0 + 6.0 * np.sin(time / 4.0) + rng.normal(0.0, 0.3, time.size)
    value = np.full(time.size, np.nan)
    value[::every] = course[::every]
    if held:
        value = value[np.arange(time.size) // every * every]
    pressure = 1.6e5 + 1e4 * np.sin(time) + rng.normal(0.0, 300.0, time.size)
    return ChannelsInMemory(
        {
            "engine_speed": Series(time, 400.0 + 5.0 * time + rng.normal(0.0, 0.5, time.size)),
            "pressure_im": Series(time, pressure, "absolute"),
            "temperature_im": Series(time, value),
        }
    )


@pytest.mark.parametrize("held", [True, False])
def test_as_slow_as_the_slowest_channel(held: bool) -> None:
    channels = _two_rates(0.05, 1.0, held)
    worked = work_out(channels, Facts(engine=engine()), ["mass_flow_air_speed_density", "pressure_im"])
    slow, fast = worked.made["mass_flow_air_speed_density"], worked.made["pressure_im"]
    assert slow.pace == "temperature_im"
    assert slow.period == pytest.approx(1.0, rel=0.1)
    assert slow.time.size <= 62
    assert fast.pace == "pressure_im"
    assert fast.time.size == pytest.approx(1200, abs=5)
    assert set(slow.inputs) == {"engine_speed", "pressure_im", "temperature_im"}


def test_the_weather_sets_no_pace() -> None:
    channels = _two_rates(0.05, 1.0, True)
    amb = Series(np.array([0.0, 30.0, 60.0]), np.array([98e3, 98.1e3, 98e3]), "absolute")
    more = ChannelsInMemory({**{n: channels.read(n) for n in channels.names}, "pressure_amb": amb})
    found = work_out(more, Facts(), ["boost"]).made["boost"]
    assert found.pace == "pressure_im"
    assert np.isfinite(found.result.value).mean() > 0.99


def test_nothing_is_made_across_a_gap() -> None:
    time = np.r_[np.arange(0.0, 10.0, 0.1), np.arange(20.0, 30.0, 0.1)]
    speed = Series(np.arange(0.0, 30.0, 0.1), np.full(300, 400.0))
    channels = ChannelsInMemory(
        {
            "engine_speed": speed,
            "torque": Series(time, np.linspace(100.0, 300.0, time.size)),
        }
    )
    found = work_out(channels, Facts(), ["power"]).made["power"]
    inside = (found.time > 10.0) & (found.time < 19.9)
    assert np.isnan(found.result.value[inside]).all()


def test_noise_is_found_and_a_course_is_none() -> None:
    rng = np.random.default_rng(2)
    time = np.arange(0.0, 60.0, 0.02)
    course = 1e5 * np.sin(0.2 * time)
    assert noise_of(course + rng.normal(0.0, 700.0, time.size)) == pytest.approx(700.0, rel=0.05)
    assert noise_of(course) < 10.0
    stepped = np.round(course / 5e3) * 5e3
    assert noise_of(stepped) == pytest.approx(5e3 / np.sqrt(12.0), rel=0.01)
    assert noise_of(np.r_[np.full(50, 1e5), np.full(50, 2e5)]) == 0.0


def test_every_quantity_of_an_empty_log_says_what_it_needs() -> None:
    worked = work_out(ChannelsInMemory({}), Facts())
    assert not worked.made
    assert len(worked.missing) == len(CATALOGUE)
    for one in worked.missing:
        assert one.needs, one.quantity.name
        assert all(need.what for need in one.needs)


def test_a_channel_without_a_number_or_that_cannot_be_read_is_not_there() -> None:
    class Broken(ChannelsInMemory):
        def read(self, name: str) -> Series:
            if name == "torque":
                raise LogError.of("file", "cannot be read.")
            return super().read(name)

    time = np.arange(10.0)
    channels = Broken(
        {
            "engine_speed": Series(time, np.full(10, 400.0)),
            "torque": Series(time, np.full(10, 1.0)),
            "shaft_speed": Series(time, np.full(10, np.nan)),
        }
    )
    worked = work_out(channels, Facts())
    assert "power" not in worked.made
    assert "shaft_acceleration" not in worked.made
    assert "engine_acceleration" in worked.made


def test_units_stand_in_the_table_of_units() -> None:
    from boostwright.units import KINDS, unit_names

    known = {unit for kind in KINDS for unit in unit_names(kind)} | {"1", "Pa2 s2/(kg2 K)"}
    wrong = {one.name: one.unit for one in CATALOGUE.values() if one.unit not in known}
    assert not wrong


def test_shared_names_mean_what_a_prediction_means_by_them() -> None:
    """A name that a prediction carries too has its unit, and its basis where the prediction states a definition."""
    from boostwright.tasks.names import QUANTITIES

    for name, one in CATALOGUE.items():
        if name in QUANTITIES:
            assert one.unit == QUANTITIES[name][0], name


def test_a_long_log_in_blocks_gives_what_it_gives_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Same values, same bands, same slopes across the joints; sources by name as far as they matter."""
    from boostwright.logs.derived import catalogue

    rng = np.random.default_rng(8)
    time = np.arange(0.0, 120.0, 0.1)
    n = time.size
    channels = ChannelsInMemory(
        {
            "engine_speed": Series(time, 300.0 + 2.0 * time + rng.normal(0.0, 0.4, n)),
            "pressure_im": Series(time, 1.2e5 + 400.0 * time + rng.normal(0.0, 250.0, n), "absolute"),
            "temperature_im": Series(time, 300.0 + 0.1 * time + rng.normal(0.0, 0.2, n)),
            "mass_flow_air": Series(time, 0.05 + 1e-3 * time + rng.normal(0.0, 5e-4, n)),
        }
    )
    names = ["air_flow_speed_density_over_meter", "engine_acceleration", "volumetric_efficiency"]
    whole = work_out(channels, Facts(engine=engine()), names).made
    monkeypatch.setattr(catalogue, "_BLOCK", 250)
    monkeypatch.setattr(catalogue, "_PAD", 20)
    pieces = work_out(channels, Facts(engine=engine()), names).made
    for name in names:
        one, other = whole[name].result, pieces[name].result
        # a slope counts its times from the first sample near its block: rounded otherwise
        rtol = 1e-6 if name == "engine_acceleration" else 1e-12
        np.testing.assert_allclose(other.value, one.value, rtol=rtol)
        np.testing.assert_allclose(other.sigma, one.sigma, rtol=1e-5)
        np.testing.assert_allclose(other.sigma_of_rows, one.sigma_of_rows, rtol=1e-5)
        assert other.largest(1)[0][0] == one.largest(1)[0][0]
        assert other.flags == one.flags


def test_an_instant_that_is_known_to_a_row_only_is_a_source_of_error() -> None:
    """Polled one row in ten of 0.1 s: an age of up to 0.1 s, mean and spread of it times the faster side's rate."""
    channels = _two_rates(0.1, 1.0, True)
    worked = work_out(channels, Facts(), ["temperature_im", "pressure_im"])
    slow, fast = worked.made["temperature_im"].result, worked.made["pressure_im"].result
    value = worked.made["temperature_im"].result.value
    chord = np.abs(np.diff(value)) / np.diff(worked.made["temperature_im"].time)
    rate = np.maximum(chord[:-1], chord[1:])
    own = np.abs(slow.parts["age of temperature_im in its row"][1:-1])
    row = np.abs(slow.parts["age of a row, its channels asked in turn"][1:-1])
    assert own == pytest.approx(rate * 0.1 / np.sqrt(12.0), rel=0.02)
    assert row == pytest.approx(rate * 0.05, rel=0.02)
    assert not [part for part in fast.parts if "age" in part]


def test_rows_far_apart_are_taken_to_be_asked_in_turn() -> None:
    """Four rows a second in which every channel is new may be old by a row; fifty are of one moment."""
    for step, age in ((0.25, 0.25), (0.02, 0.0)):
        time = np.arange(0.0, 40.0, step)
        series = Series(time, 300.0 + 40.0 * np.sin(time), "")
        assert sampling_of(series).kind == "every row"
        assert oldest(sampling_of(series)) == pytest.approx(age, rel=1e-6)


def test_what_lies_between_two_samples_is_not_their_line() -> None:
    """A parabola between samples of itself: its distance from the chord exactly, and none at the samples."""
    t = np.arange(0.0, 10.0, 0.5)
    sampling = sampling_of(Series(t, 3.0 * t * t, ""))
    at = np.array([2.0, 2.1, 2.25, 7.4])
    chord = np.interp(at, t, 3.0 * t * t)
    assert bent_between(sampling, at) == pytest.approx(np.abs(3.0 * at * at - chord), abs=1e-9)


def test_a_slope_of_slow_samples_carries_what_it_cannot_see() -> None:
    """Speed whose rise swings, read by 4 samples a second, each up to 0.25 s old: 90 % bands of the rate hold it."""
    rng = np.random.default_rng(11)
    inside = []
    for _ in range(60):
        swing, phase, age = rng.uniform(1.5, 5.0), rng.uniform(0.0, 6.0), rng.uniform(0.0, 0.25)
        shown = np.arange(0.0, 30.0, 0.25)
        taken = shown - age

        def speed(t: np.ndarray, w: float = swing, p: float = phase) -> np.ndarray:
            return 300.0 + 8.0 * t - 12.0 / w * np.cos(w * t + p)

        channels = ChannelsInMemory({"engine_speed": Series(shown, np.round(speed(taken), 1))})
        made = work_out(channels, Facts(), ["engine_acceleration"]).made["engine_acceleration"]
        truth = 8.0 + 12.0 * np.sin(swing * made.time + phase)
        good = np.isfinite(made.result.value)
        inside.append(np.abs(made.result.value - truth)[good] < BAND * made.result.sigma[good])
    assert 0.80 < np.mean(np.concatenate(inside)) < 0.99


def test_margins_and_shares_stay_in_reason_when_the_engine_gives_no_flow() -> None:
    from boostwright.logs.derived.catalogue import CATALOGUE as quantities
    from tests.support.steady_log import compressor, steady

    log = {
        "mass_flow_air": 1e-3,
        "pressure_1_static": 99e3,
        "temperature_1": 290.0,
        "shaft_speed": 6e3,
        "engine_speed": 90.0,
    }
    found = (
        work_out(steady(log), Facts(compressor=compressor()), ["surge_margin"]).made["surge_margin"].result
    )
    assert (found.value == -1.0).all()
    assert "not below -1" in quantities["surge_margin"].formula


def test_the_work_of_a_long_log_grows_with_its_length(monkeypatch: pytest.MonkeyPatch) -> None:
    """Block by block, slopes go through the samples near a block, not through the whole log once a block."""
    from boostwright.logs.derived import catalogue, samples

    through, given = [], samples.convolve1d
    monkeypatch.setattr(
        samples, "convolve1d", lambda x, *more, **named: through.append(x.size) or given(x, *more, **named)
    )
    monkeypatch.setattr(catalogue, "_BLOCK", 500)
    monkeypatch.setattr(catalogue, "_PAD", 20)
    counts = []
    for n in (5_000, 20_000):
        through.clear()
        time = np.arange(n) / 10.0
        speed = Series(time, 300.0 + 100.0 * np.sin(time / 7.0))
        work_out(ChannelsInMemory({"engine_speed": speed}), Facts(engine=engine()), ["engine_acceleration"])
        counts.append(sum(through))
    assert counts[1] < 5 * counts[0]


def test_a_fuel_meter_by_volume_asks_for_the_density_first() -> None:
    """A second fuel meter is not what mends it."""
    time = np.arange(0.0, 60.0, 0.1)
    fuel = ChannelsInMemory({"volume_flow_fuel": Series(time, 1e-5 + 1e-7 * np.sin(time))})
    (lacking,) = work_out(fuel, Facts(), ["mass_flow_air_fuel"]).missing
    assert "density" in lacking.needs[0].what
