"""Torque from acceleration against a car that is integrated apart; weather; slopes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from boostwright.logs.derived.catalogue import work_out
from boostwright.logs.derived.facts import (
    Day,
    DrivelineFacts,
    DynoFacts,
    Facts,
    Number,
    VehicleFacts,
    WeatherFacts,
)
from boostwright.logs.derived.load_of_log import load_of_log
from boostwright.logs.derived.pace import paces
from boostwright.logs.derived.samples import Samples
from boostwright.logs.series import ChannelsInMemory, Series
from tests.support.steady_log import RPM, day, engine, taken, value_of

RATIO, RADIUS = 1.37 * 3.7, 0.305
CAR = VehicleFacts(
    mass=Number(1450.0, 40.0, ""),
    drag_area=Number(0.75, 0.07, ""),
    rolling=Number(0.014, 0.004, ""),
    slope=Number(0.0, 0.005, ""),
    wheel_inertia=Number(4.0, 1.0, ""),
    rolling_radius=Number(RADIUS, 0.005, ""),
    engine_inertia=Number(0.18, 0.05, ""),
)
LOSS = DrivelineFacts(Number(0.12, 0.03, ""), Number(6.0, 2.0, ""), "made up")


def _torque(speed: np.ndarray | float) -> np.ndarray | float:
    return 320.0 - 2.0e-4 * (speed - 420.0) ** 2


def _integrated(heavy: float, resisting: bool, inertia: float) -> tuple[np.ndarray, np.ndarray]:
    """Engine speed over time of a car or roller that the torque accelerates in one gear; energy balance per time.

    heavy      [kg] what is moved; resisting: rolling and air drag besides
    """
    step = RADIUS / RATIO  # m of road per rad of the engine

    def rate(_: float, state: np.ndarray) -> list[float]:
        n = state[0]
        v = n * step
        force = 1450.0 * 9.80665 * 0.014 + 0.5 * 99e3 / (287.05 * 293.15) * 0.75 * v * v if resisting else 0.0
        # power balance: T n - T_d n - J_e n n' = v (m a + F)/(1 - s), a = n' step
        lost = v * force / (1.0 - 0.12)
        return [((_torque(n) - 6.0) * n - lost) / (inertia * n + v * heavy * step / (1.0 - 0.12))]

    time = np.arange(0.0, 9.0, 0.05)
    found = solve_ivp(rate, (0.0, 9.0), [260.0], t_eval=time, rtol=1e-9, atol=1e-9)
    return time, found.y[0]


def _log(time: np.ndarray, speed: np.ndarray, road: str) -> ChannelsInMemory:
    return ChannelsInMemory({"engine_speed": Series(time, speed), road: Series(time, speed * RADIUS / RATIO)})


def test_torque_from_the_road() -> None:
    """A car of known torque, integrated apart, gives its torque back within half a per cent, and within the band."""
    time, speed = _integrated(1450.0 + 4.0 / RADIUS**2, True, 0.18)
    facts = Facts(day=day(99e3, 293.15), vehicle=CAR, driveline=LOSS, load="road")
    found = work_out(_log(time, speed, "vehicle_speed"), facts, ["torque_from_road"]).made["torque_from_road"]
    good = np.isfinite(found.result.value)
    assert good.sum() > 120
    truth = np.interp(found.time, time, np.asarray(_torque(speed)))
    assert found.result.value[good] == pytest.approx(truth[good], rel=5e-3)
    assert (np.abs(found.result.value - truth)[good] < 1.645 * found.result.sigma[good]).all()
    assert 0.02 < np.median(found.result.sigma[good] / truth[good]) < 0.06


def _uphill(slope: np.ndarray | float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Time, engine speed and height of a car that climbs, integrated apart; the slope may change along the way."""
    step, heavy = RADIUS / RATIO, 1450.0 + 4.0 / RADIUS**2
    time = np.arange(0.0, 9.0, 0.05)

    def rate(t: float, state: np.ndarray) -> list[float]:
        n, v = state[0], state[0] * step
        steep = float(np.interp(t, [0.0, 9.0], np.broadcast_to(slope, 2)))
        force = 1450.0 * 9.80665 * (0.014 + steep) + 0.5 * 99e3 / (287.05 * 293.15) * 0.75 * v * v
        lost = v * force / (1.0 - 0.12)
        turning = [((_torque(n) - 6.0) * n - lost) / (0.18 * n + v * heavy * step / (1.0 - 0.12))]
        return [*turning, v * steep]

    found = solve_ivp(rate, (0.0, 9.0), [260.0, 400.0], t_eval=time, rtol=1e-9, atol=1e-9)
    return time, found.y[0], found.y[1]


@pytest.mark.parametrize("slope", [0.08, -0.05, (0.03, 0.10)])
def test_torque_uphill_needs_the_slope_stated_or_the_height_logged(
    slope: float | tuple[float, float],
) -> None:
    """A car on a hill: with the slope or the height its torque comes back, taken for level it is far off and the
    answer says that it was taken for level."""
    time, speed, height = _uphill(np.asarray(slope))
    facts = Facts(day=day(99e3, 293.15), vehicle=replace(CAR, slope=None), driveline=LOSS, load="road")
    log = _log(time, speed, "vehicle_speed")

    def torque(channels: ChannelsInMemory, known: Facts) -> tuple[np.ndarray, np.ndarray, str]:
        found = work_out(channels, known, ["torque_from_road"]).made["torque_from_road"]
        good = np.isfinite(found.result.value)
        assert good.sum() > 70  # slow heights give no slope near the ends of a log
        truth = np.interp(found.time[good], time, np.asarray(_torque(speed)))
        off = np.abs(found.result.value[good] - truth)
        return off / truth, off / (1.645 * found.result.sigma[good]), found.result.flags["road"]

    level, _, words = torque(log, facts)
    assert "road level within 2 % assumed" in words
    assert np.median(level) > 0.08
    if isinstance(slope, float):
        stated = replace(facts, vehicle=replace(CAR, slope=Number(slope, 0.005, "as stated")))
        off, bands, words = torque(log, stated)
        assert off.max() < 5e-3
        assert bands.max() < 1.0
        assert f"{100 * slope:.3g} %" in words
    rng = np.random.default_rng(2)
    for every, noise in ((1, 0.0), (10, 0.1), (20, 0.3)):
        logged = Series(time[::every], (height + rng.normal(0.0, noise, height.size))[::every])
        off, bands, words = torque(ChannelsInMemory({**_read(log), "altitude": logged}), facts)
        assert "height logged" in words
        assert np.median(off) < 0.01 + 0.1 * noise
        assert (bands < 1.0).mean() > 0.9


def _read(log: ChannelsInMemory) -> dict[str, Series]:
    return {name: log.read(name) for name in log.names}


def test_a_car_on_its_brakes_shows_no_torque() -> None:
    time, speed = _integrated(1450.0 + 4.0 / RADIUS**2, True, 0.18)
    facts = Facts(day=day(), vehicle=CAR, driveline=LOSS, load="road")
    log = _log(time, speed, "vehicle_speed")
    pedal = Series(time, np.where(time < 5.0, 1.0, 0.0))
    more = ChannelsInMemory({**{name: log.read(name) for name in log.names}, "pedal_position": pedal})
    found = work_out(more, facts, ["torque_from_road"]).made["torque_from_road"]
    assert np.isnan(found.result.value[found.time > 5.1]).all()
    assert np.isfinite(found.result.value[(found.time > 1.0) & (found.time < 4.8)]).all()
    assert "brakes" in work_out(log, facts, ["torque_from_road"]).made["torque_from_road"].result.flags


def test_torque_from_a_roller() -> None:
    heavy = 55.0 / 0.25**2 + 2.0 / RADIUS**2
    time, speed = _integrated(heavy, False, 0.18)
    dyno = DynoFacts(Number(heavy, 0.03 * heavy, ""), Number(0.18, 0.05, ""))
    facts = Facts(day=day(), dyno=dyno, driveline=LOSS, load="roller")
    found = work_out(_log(time, speed, "vehicle_speed_roller"), facts, ["torque"]).made["torque"].result
    good = np.isfinite(found.value)
    assert found.value[good] == pytest.approx(np.asarray(_torque(speed))[good], rel=5e-3)
    assert "roller" in found.flags["torque"]
    by_wheel = _log(time, speed, "vehicle_speed")
    assert work_out(by_wheel, facts, ["torque_from_roller"]).made
    unknown = replace(facts, load="", vehicle=CAR)
    worked = work_out(by_wheel, unknown, ["torque_from_roller", "torque_from_road", "torque"])
    assert not worked.made  # a brake may hold the roller: no torque is better than a wrong one
    assert "--load" in str(worked.missing[0].needs[0])
    satellites = ChannelsInMemory(
        {"engine_speed": Series(time, speed), "vehicle_speed_gps": Series(time, speed * RADIUS / RATIO)}
    )
    assert work_out(satellites, unknown, ["torque_from_road"]).made


def test_noise_costs_what_its_formula_says() -> None:
    """Scatter of a slope over made noise against its own band: the standard error of a least-squares line."""
    rng = np.random.default_rng(3)
    time = np.arange(0.0, 400.0, 0.05)
    speed = 300.0 + 0.8 * time + rng.normal(0.0, 0.6, time.size)
    channels = ChannelsInMemory({"engine_speed": Series(time, speed)})
    found = work_out(channels, Facts(), ["engine_acceleration"]).made["engine_acceleration"].result
    good = np.isfinite(found.value)
    scatter = float(np.std(found.value[good]))
    assert np.median(found.sigma_of_rows) == pytest.approx(scatter, rel=0.1)
    assert np.mean(found.value[good]) == pytest.approx(0.8, abs=0.02)


def test_a_gear_change_has_no_torque() -> None:
    time = np.arange(0.0, 10.0, 0.05)
    speed = np.where(time < 5.0, 300.0 + 40.0 * time, 380.0 + 20.0 * (time - 5.0))
    road = np.where(time < 5.0, speed * 0.06, speed * 0.08)
    channels = ChannelsInMemory({"engine_speed": Series(time, speed), "vehicle_speed": Series(time, road)})
    facts = Facts(day=day(), vehicle=CAR, driveline=LOSS, load="road")
    found = work_out(channels, facts, ["torque_from_road"]).made["torque_from_road"]
    around = (found.time > 4.6) & (found.time < 5.4)
    assert np.isnan(found.result.value[around]).all()
    assert np.isfinite(found.result.value[(found.time > 1.0) & (found.time < 4.0)]).all()


def test_wheels_to_crankshaft_and_power() -> None:
    facts = Facts(driveline=LOSS, engine=engine(0.9, 2.0e-3))
    log = {"power_wheel": 120e3, "engine_speed": 6000 * RPM}
    crank = 120e3 / 0.88 + 6.0 * 6000 * RPM
    assert value_of("power", log, facts) == pytest.approx(crank)
    assert value_of("torque", log, facts) == pytest.approx(crank / (6000 * RPM))
    # 2.0 litres and 300 Nm: 18.8 bar (hand calculation)
    assert value_of("bmep", {"torque": 300.0}, facts) == pytest.approx(18.85e5, rel=1e-3)


def test_torque_at_the_hubs_is_power_by_their_own_speed() -> None:
    """900 Nm at hubs that turn with 25 m/s on 0.305 m: 73.8 kW at the wheels."""
    log = {"torque_wheel": 900.0, "vehicle_speed": 25.0, "engine_speed": 400.0}
    found = value_of("power", log, Facts(driveline=LOSS, vehicle=CAR))
    assert found == pytest.approx(900.0 * 25.0 / 0.305 / 0.88 + 6.0 * 400.0)


def _ramp_at_the_wheels(stated: bool) -> Facts:
    """What is known of a car whose engine has 0.2 kg m2."""
    return Facts(day=day(), vehicle=CAR, driveline=LOSS if stated else None)


@pytest.mark.parametrize("stated", [True, False])
def test_what_the_engines_own_inertia_takes_never_reaches_the_wheels(stated: bool) -> None:
    """300 Nm of brake torque, 40 rad/s2 and 14 % lost on the way: T = P_w/((1 - s) n) + J dn/dt (d'Alembert).

    Without a stated loss the usual one is taken, said, and its band reaches the torque.
    """
    time = np.arange(0.0, 10.0, 0.05)
    speed = 250.0 + 40.0 * time
    inertia = CAR.engine_inertia.value
    share, drag = (LOSS.share.value, LOSS.drag.value) if stated else (0.14, 0.0)
    wheel = (1.0 - share) * ((300.0 - inertia * 40.0) * speed - drag * speed)
    channels = ChannelsInMemory({"engine_speed": Series(time, speed), "power_wheel": Series(time, wheel)})
    found = work_out(channels, _ramp_at_the_wheels(stated), ["torque"]).made["torque"].result
    np.testing.assert_allclose(found.value, 300.0, rtol=1e-3)
    assert ("assumed" in found.flags["driveline"]) is not stated
    if not stated:  # 5 points of 86 %, as a uniform error, at 90 %
        wide = float(np.median(found.high - found.low)) / 2.0
        assert wide == pytest.approx(300.0 * 0.05 / 0.86 / np.sqrt(3.0) * 1.645, rel=0.1)


def _weather(method: str, targets: tuple[float, ...] = ()) -> WeatherFacts:
    speeds = np.array([100.0, 800.0]) if targets else np.empty(0)
    return WeatherFacts(method, True, speeds, np.array(targets))


@pytest.mark.parametrize(
    ("method", "dry", "celsius", "factor"),
    [
        ("sae-j1349", 101.325e3, 15.0, 0.9534),
        ("sae-j1349", 95e3, 30.0, 1.0600),
        ("iso-1585", 101.325e3, 15.0, 0.9528),
        ("din-70020", 99e3, 25.0, 1.0319),
    ],
)
def test_factor_of_the_standard(method: str, dry: float, celsius: float, factor: float) -> None:
    """Worked values of the standards; dry air, so the total is the dry pressure."""
    log = {"pressure_amb": dry, "temperature_1": 273.15 + celsius, "humidity": 0.0, "torque": 300.0}
    log["engine_speed"] = 500.0
    facts = Facts(weather=_weather(method))
    assert value_of("power_correction_factor", log, facts) == pytest.approx(factor, abs=1e-4)
    assert value_of("torque_corrected", log, facts) == pytest.approx(300.0 * factor, rel=2e-4)
    assert value_of("torque", log, facts) == 300.0


def test_humidity_is_taken_off() -> None:
    """95 kPa, 35 degC, 60 %: dry 91.62 kPa, and SAE J1349 1.1162 (worked value with IAPWS saturation)."""
    log = {"pressure_amb": 95e3, "temperature_1": 308.15, "humidity": 0.6}
    found = value_of("power_correction_factor", log, Facts(weather=_weather("sae-j1349")))
    assert found == pytest.approx(1.1162, abs=2e-4)


@pytest.mark.parametrize(
    ("method", "pressure", "celsius", "word"),
    [
        ("iso-1585", 90e3, 35.0, "factor"),
        ("sae-j1349", 88e3, 20.0, "kPa"),
        ("sae-j1349", 99e3, 41.0, "degC"),
        ("sae-j1349", 99e3, 14.9, "degC"),
    ],
)
def test_not_valid_by_the_standard_gives_no_corrected_figure(
    method: str, pressure: float, celsius: float, word: str
) -> None:
    log = {"pressure_amb": pressure, "temperature_1": 273.15 + celsius, "humidity": 0.0, "torque": 300.0}
    found = taken("torque_corrected", log, Facts(weather=_weather(method)))
    assert not np.isfinite(found.value).any()
    assert "not valid" in found.flags["correction-not-valid"]
    assert word in found.flags["correction-not-valid"]
    assert value_of("torque", log) == 300.0


def test_boost_that_is_held_absolute_is_not_corrected() -> None:
    log = {
        "pressure_amb": 95e3,
        "temperature_1": 303.15,
        "humidity": 0.0,
        "engine_speed": 500.0,
        "pressure_im": 181e3,
    }
    facts = Facts(weather=_weather("sae-j1349", (180e3, 180e3)))
    assert value_of("power_correction_factor", log, facts) == 1.0
    below = value_of("power_correction_factor", log | {"pressure_im": 160e3}, facts)
    assert below == pytest.approx(1.06, abs=1e-4)
    found = taken("power_correction_factor", log, facts)
    assert "raw figures come first" in found.flags["correction-for-unboosted"]


def test_without_a_standard_there_is_no_corrected_figure() -> None:
    log = {"pressure_amb": 95e3, "temperature_1": 303.15, "torque": 300.0}
    missing = {
        one.quantity.name: one
        for one in work_out(_steady(log), Facts(day=Day()), ["torque_corrected", "torque"]).missing
    }
    assert list(missing) == ["torque_corrected"]
    assert "--correction" in str(missing["torque_corrected"].needs[0])


def _steady(log: dict[str, float]) -> ChannelsInMemory:
    from tests.support.steady_log import steady

    return steady(log)


def test_pace_of_a_gear_is_free_of_the_lag_of_its_road_speed() -> None:
    """A road speed 0.3 s late in whole km/h, engine speed up and down: the pace within 0.2 %, the lag within 0.08 s."""
    time = np.arange(0.0, 60.0, 0.1)
    engine_speed = 400.0 + 150.0 * np.sin(0.35 * time)
    step = 1.0 / 3.6
    true_pace = RADIUS / RATIO
    # first-order lag of a sine, in closed form after the start has died away
    lag, w = 0.3, 0.35
    late = 400.0 + 150.0 / np.hypot(1.0, w * lag) * np.sin(w * time - np.arctan(w * lag))
    shown = np.round(late * true_pace / step) * step
    channels = ChannelsInMemory(
        {"engine_speed": Series(time, engine_speed), "vehicle_speed": Series(time, shown)}
    )
    (gear,) = paces(Samples(channels), "vehicle_speed")
    assert gear.pace == pytest.approx(true_pace, rel=2e-3)
    assert abs(gear.pace - true_pace) < 4.0 * gear.error
    assert gear.lag == pytest.approx(lag, abs=0.08)


def _coasted(air: bool) -> ChannelsInMemory:
    """A pull and a coast in one gear, the engine holding with 22 Nm; on the road with air, on a roller without."""
    step, time = RADIUS / RATIO, np.arange(0.0, 40.0, 0.05)
    moved = 1450.0 if air else 1500.0

    def rate(t: float, state: np.ndarray) -> list[float]:
        v = state[0] * step
        held = 1450.0 * 9.80665 * 0.014 + (0.5 * 1.2 * 0.75 * v * v if air else 0.0)
        torque = 300.0 if t < 12.0 else -35.0
        return [(torque - held * step) / (0.18 + moved * step * step)]

    speed = solve_ivp(rate, (0.0, 40.0), [250.0], t_eval=time, rtol=1e-8).y[0]
    return ChannelsInMemory(
        {
            "engine_speed": Series(time, speed),
            "vehicle_speed": Series(time, speed * step),
            "throttle_position": Series(time, np.where(time < 12.0, 1.0, 0.0)),
        }
    )


def test_coasting_tells_the_road_from_a_roller() -> None:
    dyno = DynoFacts(Number(1500.0, 45.0, ""), Number(0.18, 0.05, ""), Number(200.0, 100.0, ""))
    facts = Facts(engine=engine(0.9, 2.0e-3), vehicle=CAR, dyno=dyno, load="roller")
    assert load_of_log(Samples(_coasted(True)), facts)[0] == "road"
    found, why = load_of_log(Samples(_coasted(False)), facts)
    assert found == "roller"
    assert "coasting" in why
    # without a coast nothing tells, and what the build says is taken and said
    channels = _coasted(False)
    early = {name: channels.read(name) for name in channels.names}
    early = {name: Series(one.time[:200], one.value[:200]) for name, one in early.items()}
    found, why = load_of_log(Samples(ChannelsInMemory(early)), facts)
    assert found == "roller"
    assert "[dyno]" in why


def test_wheels_that_slip_are_no_second_gear_and_a_second_gear_is_the_road() -> None:
    time = np.arange(0.0, 30.0, 0.05)
    for behind, expected in ((0.85, "roller"), (0.65, "road")):
        speed = np.where(time < 15.0, 250.0 + 20.0 * time, 250.0 + 20.0 * (time - 15.0))
        pace = np.where(time < 15.0, 0.06, 0.06 * behind)
        channels = ChannelsInMemory(
            {
                "engine_speed": Series(time, speed),
                "vehicle_speed": Series(time, speed * pace),
                "throttle_position": Series(time, np.full(time.size, 1.0)),
            }
        )
        assert load_of_log(Samples(channels), Facts(load="roller"))[0] == expected


def test_tyres_on_a_roller_cost_torque() -> None:
    """A force of the tyres on the roller is added before the driveline's loss: F v/(1 - s) over engine speed."""
    heavy = 55.0 / 0.25**2
    time, speed = _integrated(heavy, False, 0.18)
    dyno = DynoFacts(Number(heavy, 0.03 * heavy, ""), Number(0.18, 0.05, ""))
    facts = Facts(day=day(), dyno=dyno, driveline=LOSS, load="roller")
    log = _log(time, speed, "vehicle_speed_roller")
    without = work_out(log, facts, ["torque"]).made["torque"].result.value
    with_them = work_out(
        log, replace(facts, dyno=replace(dyno, rolling=Number(200.0, 100.0, ""))), ["torque"]
    )
    more = with_them.made["torque"].result.value - without
    good = np.isfinite(more)
    assert more[good] == pytest.approx(200.0 * RADIUS / RATIO / 0.88, rel=1e-3)


def test_an_engine_does_not_brake_like_brakes() -> None:
    """Speed falls by 300 rad/s in two seconds, pedal half down by its sensor: brakes, and no torque of the engine."""
    time = np.arange(0.0, 12.0, 0.05)
    speed = np.where(time < 8.0, 300.0 + 30.0 * time, 540.0 - 100.0 * (time - 8.0))
    log = _log(time, speed, "vehicle_speed")
    facts = Facts(day=day(), vehicle=CAR, driveline=LOSS, load="road", engine=engine(0.9, 2.0e-3))
    found = work_out(log, facts, ["torque_from_road"]).made["torque_from_road"]
    assert np.isnan(found.result.value[found.time > 8.5]).all()
    assert np.isfinite(found.result.value[(found.time > 1.0) & (found.time < 7.0)]).all()
