"""A plan against the predictions it stands for: inside on every day, no lower than it must be, and the same by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from boostwright.build import Build, read_build, with_settings
from boostwright.solve.limits import limits_of
from boostwright.solve.problem import assemble
from boostwright.solve.quantities import quantities_of
from boostwright.solve.run import solve
from boostwright.tasks.fuel_figures import fuel_system_figures
from boostwright.tasks.plan import plan_build
from boostwright.tasks.plan_days import days_of, pressure_at_altitude
from boostwright.tasks.plan_result import Plan
from boostwright.tasks.ready import cards_of, speed_limit_of

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
RPM = np.pi / 30.0
SPEEDS = np.arange(2000.0, 6751.0, 500.0) * RPM
FITTED = "spark.knock_multiplier=1.0"  # one end of the knock band instead of two, so that a hand can follow
PARTS = (
    'plan.parts=[{ name = "wheel", settings = ["limits.choke_margin=0.0"], price = "500 EUR" },'
    ' { name = "cooler", settings = ["charge_cooler.effectiveness=0.85"], price = "100 EUR" },'
    ' { name = "wish", settings = ["charge_cooler.effectiveness=0.9"] },'
    ' { name = "nonsense", settings = ["charge_cooler.effectiveness=7"], price = "1 EUR" }]'
)
CREEP = ("wastegate.takeoff_angle=150 deg", "wastegate.valve_diameter=30 mm", "limits.torque=330 Nm")


def estate(*settings: str) -> Build:
    """The example without the parts that it weighs, each a plan of its own; tests of parts name theirs."""
    return read_build(EXAMPLES / "hill_climb_estate", ("plan.altitude=1500 m", "plan.parts=", *settings))


@pytest.fixture(scope="module")
def fitted() -> Plan:
    return plan_build(estate(FITTED, PARTS), speeds=list(SPEEDS), samples=0)


@pytest.fixture(scope="module")
def creeping() -> Plan:
    return plan_build(estate(FITTED, *CREEP), speeds=list(SPEEDS), samples=0)


def uses(build: Build, speeds, targets, **fields: float):
    """Largest use of any limit (n,) of one build at targets, by the functions a prediction is made of; the gate is
    taken out of the hands of its spring."""
    cards = cards_of(build)
    problem = assemble(build, cards, np.asarray(speeds), "target").at_targets(np.asarray(targets)[None, :])
    for name, value in {
        "spring_force": 0.0, "spring_rate": 0.0, "friction_force": 0.0, "signal_share": 1.0,
        "signal_share_low": -1e9, **fields,
    }.items():  # fmt: skip
        problem.points[name] = value
    limit, source = speed_limit_of(build, cards, problem)
    q = quantities_of(build, problem, solve(problem), limit)
    fuel = fuel_system_figures(build, cards["fuel"], q)
    q |= fuel.quantities
    limits = (*limits_of(build, q, problem.compressor.speed_lowest_measured, limit, source), *fuel.limits)
    table = np.array([np.nan_to_num(each.utilisation, nan=-np.inf) for each in limits])
    return np.where(np.isfinite(q["pressure_im"]), table.max(axis=0), np.inf), q


def test_every_day_is_inside_when_predicted_by_itself(fitted: Plan) -> None:
    build = with_settings(estate(FITTED), ["boost_control.target=", "prediction.mode=spring"])
    worst = np.full(SPEEDS.shape, -np.inf)
    for day in days_of(build):
        other = with_settings(build, day.settings) if day.settings else build
        use, _ = uses(other, SPEEDS, fitted.target * (1.0 + day.spike))
        assert np.all(use <= 1.0 + 1e-7), day.name
        worst = np.maximum(worst, use)
    np.testing.assert_allclose(1.0 - worst, fitted.margin, atol=1e-9)
    assert all(day.held for day in fitted.days)
    assert [day.name for day in fitted.days] == [
        "this day",
        "spike",
        "cold",
        "cold, spike",
        "hot",
        "altitude",
    ]


def test_the_ceiling_is_no_lower_than_it_must_be(fitted: Plan) -> None:
    """A little above it the limit that is said to bind does, on the day it is said to."""
    build = with_settings(estate(FITTED), ["boost_control.target=", "prediction.mode=spring"])
    days = {day.name: day for day in days_of(build)}
    checked = 0
    for i, name in enumerate(fitted.binding):
        if name in ("spool", "torque-falls"):
            continue
        day = days[fitted.binding_day[i]]
        other = with_settings(build, day.settings) if day.settings else build
        above, below = ((fitted.ceiling[i] + shift) * (1.0 + day.spike) for shift in (100.0, 0.0))
        assert uses(other, SPEEDS[i : i + 1], [above])[0] > 1.0
        assert uses(other, SPEEDS[i : i + 1], [below])[0] <= 1.0 + 1e-7
        checked += 1
    assert checked >= 6


def test_between_breakpoints_the_table_is_inside_too(fitted: Plan) -> None:
    build = with_settings(estate(FITTED), ["boost_control.target=", "prediction.mode=spring"])
    at = np.linspace(SPEEDS[0], SPEEDS[-1], 37)
    lines = np.interp(at, SPEEDS, fitted.target)
    for day in days_of(build):
        other = with_settings(build, day.settings) if day.settings else build
        assert np.all(uses(other, at, lines * (1.0 + day.spike))[0] <= 1.0 + 1e-4), day.name


def test_the_table_is_on_its_step_under_the_ceiling_and_wastes_little(fitted: Plan) -> None:
    np.testing.assert_allclose(fitted.target / fitted.step, np.round(fitted.target / fitted.step), atol=1e-9)
    assert np.all(fitted.target <= fitted.ceiling + 1e-6)
    assert np.median(fitted.ceiling - fitted.target) < 2.0 * fitted.step
    np.testing.assert_allclose(fitted["pressure_im"], fitted.target, atol=2.0)
    np.testing.assert_allclose(fitted.target_gauge, fitted.target - 101.3e3, atol=1e-6)


def test_at_the_barometer_it_was_made_at_altitude_changes_nothing() -> None:
    build = estate(FITTED, "plan.altitude=0 m")
    assert pressure_at_altitude(build, 0.0) == pytest.approx(build["ambient"].si("pressure"), rel=1e-12)
    assert "altitude" not in [day.name for day in days_of(build)]


def test_altitude_at_a_fixed_absolute_target(fitted: Plan) -> None:
    """ISO 2533: 84.56 kPa at 1 500 m over 101.325. The same 200 kPa then moves 1.20 right on the map, and the pressure
    ratio goes up by as much: worked by hand, corrected flow is m sqrt(T) / p at the compressor's inlet."""
    own, high = fitted.days[0], next(day for day in fitted.days if day.name == "altitude")
    ratio = own.pressure_amb / high.pressure_amb
    assert ratio == pytest.approx(101.325 / 84.56, rel=1e-4)
    top = SPEEDS > 3000 * RPM
    np.testing.assert_allclose(high["pressure_im"][top], own["pressure_im"][top], atol=2.0)
    moved = high["corrected_flow"] / own["corrected_flow"]
    np.testing.assert_allclose(moved[top], ratio, rtol=0.03)
    steeper = high["compressor_pressure_ratio"] / own["compressor_pressure_ratio"]
    np.testing.assert_allclose(steeper[top], ratio, rtol=0.03)
    assert np.all(high["shaft_speed"][top] > 1.05 * own["shaft_speed"][top])
    np.testing.assert_allclose(high["torque"][top], own["torque"][top], rtol=0.05)


def test_a_gauge_spring_falls_with_the_barometer(fitted: Plan) -> None:
    own, high = fitted.days[0], next(day for day in fitted.days if day.name == "altitude")
    fall = own.pressure_amb - high.pressure_amb
    top = SPEEDS > 3000 * RPM
    lost = own.spring_boost[top] - high.spring_boost[top]
    assert np.all((lost > 0.9 * fall) & (lost < 1.25 * fall))
    assert np.all(high.spring_boost[top] - high.pressure_amb < own.spring_boost[top] - own.pressure_amb + 2e3)


def test_releasing_a_limit_gives_and_never_takes(fitted: Plan) -> None:
    assert fitted.releases
    named = {release.limit for release in fitted.releases}
    assert named <= set(fitted.binding)
    for release in fitted.releases:
        assert np.all(release.torque >= -0.5)
        where = np.array([name == release.limit for name in fitted.binding])
        assert np.any(release.target[where] > fitted.ceiling[where] + 500.0)
        np.testing.assert_allclose(release.power, release.torque * SPEEDS, rtol=1e-6, atol=1.0)


def test_parts_stand_by_gain_for_their_price(fitted: Plan) -> None:
    names = [part.name for part in fitted.parts]
    assert set(names) == {"wheel", "cooler", "wish", "nonsense"}
    nonsense = fitted.parts[names.index("nonsense")]
    assert "effectiveness" in nonsense.fault
    priced = [part for part in fitted.parts if part.price and not part.fault]
    assert names[: len(priced)] == [part.name for part in priced]
    worth = [part.peak_power_gain / part.price for part in priced]
    assert worth == sorted(worth, reverse=True)
    wheel = next(part for part in fitted.parts if part.name == "wheel")
    alone = plan_build(estate(FITTED, "limits.choke_margin=0.0"), speeds=list(SPEEDS), samples=0)
    np.testing.assert_allclose(wheel.target, alone.ceiling, atol=40.0)


def test_the_spring_is_nowhere_above_the_table(fitted: Plan) -> None:
    spring = fitted.spring
    assert spring is not None
    assert spring.chosen is not None
    free = np.array([name == "spool" for name in fitted.binding])
    held = spring.chosen.held[~free]
    assert np.all(held <= np.maximum(fitted.target, fitted.floor)[~free] + 1.01e3)
    ratings = [choice.rating for choice in spring.tried]
    means = [np.nanmean(choice.held) for choice in spring.tried]
    assert ratings == sorted(ratings)
    assert means == sorted(means)


def test_base_duty_holds_the_table_when_it_is_run_open_loop(fitted: Plan) -> None:
    """The duty put into spring mode gives the table back: both plumbings."""
    choice = fitted.spring.chosen
    rating = f"wastegate.spring_rating={choice.rating / 1e5:.6f} bar gauge"
    for kind in ("lower", "both"):
        for i in np.flatnonzero(np.isfinite(fitted.duty[kind]))[2::3]:
            settings = ["boost_control.target=", "prediction.mode=spring", rating]
            settings += [
                f"boost_control.fixed_duty={fitted.duty[kind][i]:.12f}",
                f"boost_control.plumbing={kind}",
            ]
            build = with_settings(estate(FITTED), settings)
            problem = assemble(build, cards_of(build), SPEEDS[i : i + 1], "spring")
            held = solve(problem)["pressure_im"][0]
            assert held == pytest.approx(fitted.target[i], abs=2.1e3), (kind, i)


def test_where_the_floor_is_too_high_the_plan_says_what_holds_it(creeping: Plan) -> None:
    lost = np.array([name == "creep-floor" for name in creeping.binding])
    assert lost.any()
    assert np.isnan(creeping.target[lost]).all()
    ways = {hold.way: hold for hold in creeping.holds}
    assert set(ways) == {"throttle", "spark", "speed-limit", "gate", "takeoff"}
    throttle, spark = ways["throttle"], ways["spark"]
    assert throttle.holds.all()
    assert np.all(throttle.after["pressure_im"] < throttle.before["pressure_im"])
    assert np.all(throttle.after["torque"] < throttle.before["torque"])
    assert np.all(spark.after["temperature_em"] >= spark.before["temperature_em"])
    moved = spark.after["torque"] < spark.before["torque"] - 1.0
    assert moved.any()
    assert np.all(spark.after["temperature_em"][moved] > spark.before["temperature_em"][moved] + 20.0)
    gate = ways["gate"]
    assert np.all(gate.after["pressure_im"] < gate.before["pressure_im"])
    speed = ways["speed-limit"]
    assert np.all(speed.setting < speed.speeds)


def test_a_way_that_holds_does_so_by_hand(creeping: Plan) -> None:
    """Throttle and gate put into the points of each day: inside; and a hair wider open is not, where it was closed."""
    build = with_settings(estate(FITTED, *CREEP), ["boost_control.target=", "prediction.mode=spring"])
    throttle = next(hold for hold in creeping.holds if hold.way == "throttle")
    i = int(np.argmin(throttle.setting))
    speed, share = throttle.speeds[i : i + 1], throttle.setting[i]
    worst = {}
    for wider in (1.0, 1.08):
        worst[wider] = 0.0
        for day in days_of(build):
            other = with_settings(build, day.settings) if day.settings else build
            loss = assemble(other, cards_of(other), speed, "target").points["throttle_loss"][0]
            use, _ = uses(other, speed, [1e5], mode=3, throttle_loss=loss / (wider * share) ** 2)
            worst[wider] = max(worst[wider], float(use[0]))
    assert worst[1.0] <= 1.0 + 1e-7 < worst[1.08]


def test_a_shut_throttle_is_not_needed_when_the_gate_is_enough(fitted: Plan) -> None:
    assert fitted.holds == ()


def test_an_unfitted_knock_limit_keeps_both_ends_of_its_band() -> None:
    free = plan_build(estate(), speeds=list(SPEEDS[2:6]), samples=0)
    own = plan_build(estate(FITTED), speeds=list(SPEEDS[2:6]), samples=0)
    assert (free.knock.code, own.knock.code) == ("safe-end", "fitted")
    assert free.knock.asks
    assert not own.knock.asks
    assert np.all(free.ceiling <= own.ceiling + 40.0)
    assert np.all(free["angle_half_burned"] > own["angle_half_burned"] + np.radians(2.0))


def test_the_owners_spark_goes_before_a_guess() -> None:
    table = "spark.advance=20 deg"
    spark = plan_build(estate(table, "spark.ignition_delay=3 deg"), speeds=list(SPEEDS[4:6]), samples=0)
    assert spark.knock.code == "spark-table"
    capped = plan_build(estate("fuel.card=e85"), speeds=list(SPEEDS[4:6]), samples=0)
    assert capped.knock.code == "phasing-cap"
    assert capped.knock.asks
    assert "guess" in capped.knock.words
    own = plan_build(estate("fuel.card=e85", "spark.phasing=16 deg"), speeds=list(SPEEDS[4:6]), samples=0)
    assert "your cap" in own.knock.words


def test_knock_is_a_limit_under_a_spark_table_that_is_too_early() -> None:
    late, early = (
        plan_build(estate(f"spark.advance={angle} deg"), speeds=list(SPEEDS[4:6]), samples=0)
        for angle in (4, 24)
    )
    assert "knock" in early.binding
    assert np.nanmax(np.nan_to_num(early.ceiling)) < np.nanmax(late.ceiling)


def test_what_is_wanted_and_cannot_be_had_is_said() -> None:
    wish = 'plan.wanted_torque={ speed = [2000, 6500], unit = "rpm", value = [600, 200], value_unit = "Nm" }'
    found = plan_build(estate(FITTED, wish), speeds=list(SPEEDS), samples=0)
    torque = next(short for short in found.wanted if short.quantity == "torque")
    assert torque.short[0]
    assert not torque.short[-1]
    assert torque.binding[0] == found.binding[0]


def test_a_plan_without_a_gate_gives_what_the_wheel_gives() -> None:
    settings = ["wastegate.kind=none", "boost_control.target=", "prediction.mode=gate-shut", "limits.torque=2000 Nm",
                FITTED]  # fmt: skip
    found = plan_build(estate(*settings), speeds=list(SPEEDS[:2]), samples=0)
    assert found.spring is None
    assert not found.duty


def test_a_smaller_spike_gives_more() -> None:
    speeds = list(SPEEDS[3:7])
    much, little = (
        plan_build(estate(FITTED, f"plan.spike={s}"), speeds=speeds, samples=0) for s in ("0.10", "0.0")
    )
    assert np.all(much.ceiling < little.ceiling)
    assert [day.name for day in little.days] == ["this day", "cold", "hot", "altitude"]


def test_fast_limits_leave_temperature_out_of_a_spike() -> None:
    settings = (FITTED, "limits.egt_reading=750 degC", "limits.torque=500 Nm")
    speeds = list(SPEEDS[5:7])
    strict, fast = (
        plan_build(estate(*settings, f"plan.spike_limits={which}"), speeds=speeds, samples=0)
        for which in ("all", "fast")
    )
    assert np.all(fast.ceiling >= strict.ceiling)
    assert np.any(fast.ceiling > strict.ceiling + 1e3)
    spike = next(day for day in fast.days if day.name == "spike")
    assert "egt" not in {limit.name for limit in spike.limits}


def test_own_days_are_kept_too() -> None:
    day = 'plan.days=[{ name = "finish", settings = ["ambient.pressure=79.5 kPa station", "ambient.altitude=2000 m"] }]'
    speeds = list(SPEEDS[1:3])
    plain, finish = (plan_build(estate(FITTED, *more), speeds=speeds, samples=0) for more in ((), (day,)))
    assert finish.days[-1].name == "finish"
    assert finish.days[-1].held
    assert np.all(finish.ceiling <= plain.ceiling + 40.0)


def test_target_of_a_prediction_is_what_the_plan_wants_replaced(fitted: Plan) -> None:
    """The build's own target is a wish, not an input."""
    other = plan_build(
        estate(FITTED, PARTS, 'boost_control.target="170 kPa absolute"'), speeds=list(SPEEDS), samples=0
    )
    np.testing.assert_array_equal(other.target, fitted.target)
    assert replace(other, wanted=()).binding == fitted.binding
