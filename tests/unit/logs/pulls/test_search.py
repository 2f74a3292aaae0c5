"""The search on logs made for one question each: throttles of all kinds, what ends a rise, state, barometer, gaps."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.logs.gear import GearFacts
from boostwright.logs.pulls.grid import true_samples
from boostwright.logs.pulls.records import PullSearch
from boostwright.logs.pulls.rules import RPM, PullFacts, PullRules
from boostwright.logs.pulls.search import find_pulls_in
from boostwright.logs.series import ChannelsInMemory, Series

STEP = 0.05


class Log:
    """A log put together from stretches of even speed and even change."""

    def __init__(self) -> None:
        self.rpm: list[np.ndarray] = []
        self.throttle: list[np.ndarray] = []

    def go(self, start: float, end: float, seconds: float, throttle: float) -> Log:
        size = round(seconds / STEP)
        self.rpm.append(np.linspace(start, end, size, endpoint=False))
        self.throttle.append(np.full(size, throttle))
        return self

    def channels(self, **more: np.ndarray | float) -> ChannelsInMemory:
        rpm, throttle = np.concatenate(self.rpm), np.concatenate(self.throttle)
        time = np.arange(rpm.size) * STEP
        out = {"engine_speed": rpm * RPM, "throttle_position": throttle}
        out |= {
            name: np.broadcast_to(np.asarray(value, dtype=float), rpm.size) for name, value in more.items()
        }
        return ChannelsInMemory(
            {name: Series(time, np.array(value)) for name, value in out.items() if value is not None}
        )


def day() -> Log:
    """Idle, cruise, a pull of 8 s from 2500 to 6500 rpm, lifted."""
    log = Log().go(900, 900, 8, 0.03).go(2500, 2500, 5, 0.2)
    return log.go(2500, 6500, 8, 1.0).go(6500, 2000, 6, 0.02).go(900, 900, 4, 0.03)


def code_of(search: PullSearch) -> str:
    assert search.pulls == ()
    assert len(search.not_taken) == 1, search.not_taken
    return search.not_taken[0].code


def test_a_plain_pull_and_all_that_is_said_of_it() -> None:
    log = day()
    size = np.concatenate(log.rpm).size
    coolant = np.linspace(360.0, 365.0, size)
    search = find_pulls_in(log.channels(temperature_coolant=coolant, boost=40e3, pressure_amb=97e3))
    (pull,) = search.pulls
    assert pull.start == pytest.approx(13.0, abs=0.15)
    assert pull.end == pytest.approx(21.0, abs=0.15)
    assert pull.ramp / RPM == pytest.approx(500, rel=0.01)
    assert pull.ramp_error < 0.01 * pull.ramp
    assert (pull.load, pull.certainty, pull.gear) == ("even ramp", "sure", "")
    assert (pull.began_by, pull.ended_by) == ("throttle-opened", "lifted")
    assert pull.barometer.value == 97e3
    assert {r.channel: r.value for r in pull.state}["temperature_coolant"] == pytest.approx(
        coolant[250], abs=0.1
    )
    boost = next(f for f in pull.figures if f.channel == "boost")
    assert boost.mean == pytest.approx(40e3)
    assert search.not_taken == ()


def test_ends_between_full_throttle_and_the_log() -> None:
    search = find_pulls_in(Log().go(2500, 6500, 8, 1.0).channels())
    (pull,) = search.pulls
    assert (pull.began_by, pull.ended_by) == ("log-ends", "log-ends")
    assert pull.end - pull.start == pytest.approx(8.0, abs=0.2)


def after_idle() -> Log:
    return Log().go(900, 900, 5, 0.0)


def steps() -> Log:
    log = after_idle()
    for rpm in range(2000, 4000, 500):
        log.go(rpm, rpm, 6, 1.0).go(rpm, rpm + 500, 1, 1.0)
    return log.go(4000, 1500, 4, 0.0)


@pytest.mark.parametrize(
    ("code", "log"),
    [
        ("lifted", after_idle().go(2500, 3500, 2, 1.0).go(3500, 2000, 4, 0.0)),
        ("speed-held", after_idle().go(3000, 3000, 12, 1.0).go(3000, 1500, 4, 0.0)),
        ("speed-falls", after_idle().go(4000, 3000, 9, 1.0).go(3000, 1500, 4, 0.0)),
        ("no-load", after_idle().go(900, 6000, 0.9, 1.0).go(6000, 900, 4, 0.0)),
        (
            "throttle-not-full",
            after_idle().go(2500, 6000, 9, 0.8).go(6000, 1500, 6, 0.0).go(900, 900, 2, 1.0),
        ),
        ("gear-change", after_idle().go(4000, 5200, 2, 1.0).go(5200, 4000, 0.3, 1.0).go(4000, 5200, 3, 1.0)),
        ("stepped", steps()),
    ],
)
def test_the_reason_a_stretch_was_not_taken(code: str, log: Log) -> None:
    search = find_pulls_in(log.channels())
    assert search.pulls == ()
    assert code in [s.code for s in search.not_taken], search.not_taken


def test_a_cut_of_the_injectors_is_named_where_they_are_logged() -> None:
    log = (
        Log()
        .go(900, 900, 5, 0)
        .go(2500, 3700, 3, 1)
        .go(3700, 3650, 0.5, 1)
        .go(3650, 4700, 3, 1)
        .go(4700, 1500, 5, 0)
    )
    rpm = np.concatenate(log.rpm)
    duty = np.full(rpm.size, 0.5)
    duty[160:170] = 0.0
    assert code_of(find_pulls_in(log.channels(injector_duty=duty))) == "fuel-cut"


def test_the_limiter_ends_a_pull() -> None:
    log = Log().go(900, 900, 5, 0).go(2500, 6500, 8, 1)
    for _ in range(8):
        log.go(6500, 6420, 0.1, 1).go(6420, 6500, 0.1, 1)
    search = find_pulls_in(log.go(6500, 1500, 5, 0).channels())
    (pull,) = search.pulls
    assert pull.ended_by == "limiter"
    assert pull.end == pytest.approx(13.0, abs=0.3)


def test_wheels_that_spin_show_against_the_road_speed() -> None:
    log = (
        Log()
        .go(900, 900, 5, 0)
        .go(2500, 3700, 3, 1)
        .go(3700, 5000, 0.6, 1)
        .go(5000, 3900, 0.4, 1)
        .go(3900, 5000, 2, 1)
    )
    log.go(5000, 1500, 5, 0)
    rpm = np.concatenate(log.rpm)
    road = np.interp(np.arange(rpm.size) * STEP, [0, 5, 8, 9, 11, 16], [5, 15, 22, 23.4, 30, 9.0])
    search = find_pulls_in(log.channels(vehicle_speed=road))
    assert code_of(search) == "wheel-slip"
    assert "ahead of the road" in search.not_taken[0].words


def test_a_pull_ends_where_the_wheels_begin_to_slip() -> None:
    """The engine runs ahead by and by from 5500 rpm on, 16 % in the end: what is left ends before 1.5 % of it."""
    log = day()
    rpm = np.concatenate(log.rpm)
    before = np.concatenate(log.rpm[:2]).size
    ahead = np.zeros(rpm.size)
    first = before + int(np.searchsorted(log.rpm[2], 5500.0))
    last = before + log.rpm[2].size
    ahead[first:last] = 0.16 * np.linspace(0.0, 1.0, last - first) ** 2
    (pull,) = find_pulls_in(log.channels(vehicle_speed=rpm * RPM / 12.0 / (1.0 + ahead))).pulls
    held = float(rpm[first:last][ahead[first:last] < 0.015][-1])
    assert pull.ended_by == "wheel-slip"
    assert 5400.0 < pull.speed_end / RPM < held + 60.0


def test_a_throttle_that_never_closes_is_told_and_the_pedal_taken() -> None:
    log = day()
    pedal = np.concatenate(log.throttle)
    channels = log.channels(pedal_position=pedal, throttle_position=0.84)
    search = find_pulls_in(channels)
    assert len(search.pulls) == 1
    assert "pedal_position" in search.throttle
    assert "even while the engine idles" in search.throttle


def test_a_highest_reading_met_again_and_again_is_taken_for_full() -> None:
    log = day()
    for _ in range(2):
        log.go(2500, 2500, 4, 0.2).go(2500, 6500, 8, 1.0).go(6500, 2000, 6, 0.02)
    throttle = 0.1 + 0.7 * np.concatenate(log.throttle)
    search = find_pulls_in(log.channels(throttle_position=throttle))
    assert len(search.pulls) == 3
    assert {p.certainty for p in search.pulls} == {"likely"}
    assert "80 %, is taken for full" in search.throttle


def test_a_highest_reading_met_once_is_not_and_the_rule_that_would_is_named() -> None:
    log = day()
    throttle = 0.1 + 0.7 * np.concatenate(log.throttle)
    channels = log.channels(throttle_position=throttle)
    search = find_pulls_in(channels)
    assert [s.code for s in search.not_taken] == ["throttle-not-full"]
    assert "full_throttle=" in search.throttle
    share = float(search.throttle.split("full_throttle=")[1].split(" %")[0]) / 100
    assert len(find_pulls_in(channels, rules=PullRules(full_throttle=share)).pulls) == 1


@pytest.mark.parametrize("left", ["pressure_im", "boost", None])
def test_without_a_throttle_it_is_less_sure(left: str | None) -> None:
    log = day()
    rpm, throttle = np.concatenate(log.rpm), np.concatenate(log.throttle)
    pressure = 35e3 + 65e3 * throttle + 80e3 * throttle * np.clip((rpm - 2500) / 1500, 0, 1)
    channels = log.channels()
    series = {"engine_speed": channels.read("engine_speed")}
    time = series["engine_speed"].time
    if left == "pressure_im":
        series[left] = Series(time, pressure, "absolute")
    elif left == "boost":
        series[left] = Series(time, pressure - 100e3, "gauge")
    search = find_pulls_in(ChannelsInMemory(series))
    (pull,) = search.pulls
    assert pull.certainty == ("guess" if left is None else "likely")
    assert pull.doubts
    assert pull.start == pytest.approx(13.0, abs=0.8)


def test_a_cold_engine_is_said_and_refused_only_by_rule() -> None:
    channels = day().channels(temperature_coolant=303.0)
    (pull,) = find_pulls_in(channels).pulls
    assert any("30 degC" in doubt for doubt in pull.doubts)
    assert code_of(find_pulls_in(channels, rules=PullRules(coldest_coolant=333.15))) == "engine-cold"


def test_a_hole_in_the_log_ends_a_pull() -> None:
    channels = day().channels()
    kept = {}
    for name in channels.names:
        series = channels.read(name)
        some = (series.time < 15.0) | (series.time > 17.0)
        kept[name] = Series(series.time[some], series.value[some])
    search = find_pulls_in(ChannelsInMemory(kept))
    (pull,) = search.pulls
    assert pull.began_by == "data-gap"
    assert [s.code for s in search.not_taken] == ["data-gap"]
    assert any("hole" in note for note in search.notes)


@pytest.mark.parametrize("name", ["engine_speed"])
def test_logs_in_which_nothing_can_be_found(name: str) -> None:
    time = np.arange(100) * 0.1
    nothing = np.full(100, np.nan)
    for channels in (
        {},
        {"throttle_position": Series(time, np.ones(100))},
        {name: Series(time, nothing)},
        {name: Series(time[:2], nothing[:2] * 0)},
        {name: Series(np.zeros(100), np.ones(100))},
    ):
        search = find_pulls_in(ChannelsInMemory(channels))
        assert search.pulls == ()
        assert search.notes
    still = find_pulls_in(
        ChannelsInMemory({name: Series(time, np.zeros(100)), "throttle_position": Series(time, nothing)})
    )
    assert still.pulls == still.not_taken == ()


@pytest.mark.parametrize(
    ("more", "source"),
    [
        ({"pressure_amb": 96e3}, "pressure_amb"),
        ({}, "ambient pressure of the build"),
    ],
)
def test_where_the_barometer_comes_from(more: dict[str, float], source: str) -> None:
    (pull,) = find_pulls_in(day().channels(**more), PullFacts(barometer=95e3)).pulls
    assert source in pull.barometer.source


def test_the_barometer_by_an_engine_that_stands() -> None:
    log = Log().go(0, 0, 5, 0.0).go(900, 900, 5, 0.03).go(2500, 6500, 8, 1.0).go(6500, 2000, 4, 0.0)
    rpm = np.concatenate(log.rpm)
    pressure = np.where(rpm < 100, 98.5e3, 150e3)
    (pull,) = find_pulls_in(log.channels(pressure_im=pressure)).pulls
    assert pull.barometer.value == pytest.approx(98.5e3)
    assert "standing" in pull.barometer.source


def test_readings_repeated_until_the_next_one_count_once() -> None:
    time = np.arange(2000) * 0.09
    value = np.repeat(np.sin(np.arange(200) * 0.1) * 100 + 300 + np.arange(200) % 7, 10)
    at, read, held = true_samples(Series(time, value))
    assert held
    assert at.size == 200
    assert np.allclose(read, value[::10])
    _, fine, untouched = true_samples(Series(time, value + np.random.default_rng(0).normal(0, 1, value.size)))
    assert not untouched
    assert fine.size == 2000


def test_lost_readings_do_not_cut_a_pull() -> None:
    channels = day().channels()
    speed = channels.read("engine_speed").value.copy()
    speed[280:400:30] = 0.0
    time = channels.read("engine_speed").time
    found = find_pulls_in(
        ChannelsInMemory(
            {"engine_speed": Series(time, speed), "throttle_position": channels.read("throttle_position")}
        )
    )
    assert len(found.pulls) == 1
    assert found.pulls[0].speed_start > 2000 * RPM


@pytest.mark.parametrize("behind", [1, 2, 3, 4, 5])
def test_few_readings_behind_a_last_hole_are_no_stretch_of_their_own(behind: int) -> None:
    channels = day().channels()
    time = channels.read("engine_speed").time.copy()
    time[-behind:] += 10.0
    names = ("engine_speed", "throttle_position")
    found = find_pulls_in(ChannelsInMemory({n: Series(time, channels.read(n).value) for n in names}))
    assert len(found.pulls) == 1
    assert any("has 1 holes" in note for note in found.notes)


def test_the_gear_channel_names_the_gear_where_no_ratio_does() -> None:
    (pull,) = find_pulls_in(day().channels(gear=3.0)).pulls
    assert (pull.gear, pull.doubts) == ("3", ())
    (pull,) = find_pulls_in(day().channels(gear=0.0)).pulls
    assert pull.gear == ""


def test_a_day_of_driving_has_its_gears() -> None:
    """Six hours: the cells that gears are looked for in lie further apart than a change of gear takes."""
    once = day().channels()
    rpm, throttle = (
        once.read(n).value / per for n, per in (("engine_speed", RPM), ("throttle_position", 1.0))
    )
    times = 700
    gears = np.repeat(np.where(np.arange(times) % 2, 1.94, 1.37), rpm.size)
    rpm, throttle = np.tile(rpm, times), np.tile(throttle, times)
    road = np.where(rpm > 1500, rpm * RPM * 0.306 / (gears * 3.73), 0.0)
    values = {"engine_speed": rpm * RPM, "throttle_position": throttle, "vehicle_speed": road}
    time = np.arange(rpm.size) * STEP
    facts = PullFacts(GearFacts((3.42, 1.94, 1.37, 1.00, 0.81), 3.73, 0.306))
    found = find_pulls_in(
        ChannelsInMemory({n: Series(time, v) for n, v in values.items()}), facts, describe=False
    )
    assert [pull.gear for pull in found.pulls] == ["3", "2"] * (times // 2)
    assert not any(pull.doubts for pull in found.pulls)


def test_a_gear_channel_that_contradicts_the_ratio_is_told() -> None:
    log = day()
    rpm = np.concatenate(log.rpm)
    road = np.where(rpm > 1500, rpm * RPM / 16.7, 0.0)
    facts = PullFacts(GearFacts((3.42, 1.94, 1.37, 1.00, 0.81), 3.73, 0.306))
    (pull,) = find_pulls_in(log.channels(gear=4.0, vehicle_speed=road), facts).pulls
    assert pull.gear == "3"
    assert any("says 4" in doubt for doubt in pull.doubts)


@pytest.mark.parametrize(("step", "noise"), [(0.02, 2.0), (0.04, 4.0), (0.1, 8.0)])
def test_ends_stand_where_speed_turns_beside_a_gear_change_and_a_lift(step: float, noise: float) -> None:
    """Engine speed falls steeply to a turn, rises slowly at full throttle, is lifted off: the fall on both sides is
    within reach of the line that shows the slope."""
    rng = np.random.default_rng(5)
    time = np.arange(0.0, 24.0, step)
    corners = [0.0, 6.0, 6.6, 17.0, 24.0], [5800.0, 5800.0, 4250.0, 5760.0, 4400.0]
    rpm = np.interp(time, *corners) + rng.normal(0.0, noise, time.size)
    throttle = np.where((time >= 6.6) & (time < 17.0), 1.0, 0.05)
    log = {"engine_speed": Series(time, rpm * RPM), "throttle_position": Series(time, throttle)}
    (pull,) = find_pulls_in(ChannelsInMemory(log)).pulls
    assert pull.start == pytest.approx(6.6, abs=max(0.06, 2.05 * step))
    assert pull.end == pytest.approx(17.0, abs=max(0.06, 2.05 * step))
    assert (pull.speed_end - pull.speed_start) / RPM == pytest.approx(1510, abs=3 * noise + 145 * step)
    assert (pull.began_by, pull.ended_by) == ("throttle-opened", "lifted")
