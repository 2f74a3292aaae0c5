"""What stands on the dyno card, the order sheet and the pocket card, against the plan they are drawn from."""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from green_build import ESTATE, GREEN
from small_plan import small_plan

from boostwright.build import Build, read_build
from boostwright.build.build import Curve
from boostwright.tasks.plan import plan_build
from boostwright.tasks.plan_result import Plan
from boostwright.tasks.predict import predict_build
from boostwright.tasks.sheets.answer import Verdict
from boostwright.tasks.sheets.dyno_card import dyno_card_of
from boostwright.tasks.sheets.facts import with_table
from boostwright.tasks.sheets.go_no_go import go_no_go_of
from boostwright.tasks.sheets.guesses import guesses_of
from boostwright.tasks.sheets.order_sheet import order_sheet_of
from boostwright.tasks.sheets.pocket_card import PocketCard, pocket_card_of
from boostwright.tasks.sheets.stop_values import StopValue, stop_values

SPEEDS = tuple((np.array([2000, 2750, 3500, 4500, 5500, 6500]) * math.pi / 30).tolist())


@cache
def planned() -> tuple[Build, Plan]:
    build = read_build(ESTATE, GREEN)
    return build, plan_build(build, speeds=SPEEDS, samples=0)


@cache
def pocket() -> PocketCard:
    return pocket_card_of(*planned())


def stop_of(values: tuple[StopValue, ...], quantity: str) -> StopValue:
    return next(value for value in values if value.quantity == quantity)


def test_pulls_rise_from_the_spring_to_the_table_in_steps() -> None:
    build, plan = small_plan()
    card = dyno_card_of(build, plan)
    caps = [step.cap for step in card.pulls]
    assert caps == sorted(caps)
    assert caps[0] == pytest.approx(np.nanmax(card.spring_alone))
    assert caps[-1] == pytest.approx(np.nanmax(plan.target))
    assert max(np.diff(caps)) <= build["dyno"].si("step") + 1e-6
    finer = dyno_card_of(read_build(ESTATE, [*GREEN, "dyno.step=8 kPa"]), plan)
    assert len(finer.pulls) > len(card.pulls)
    assert card.pulls[0].until < card.pulls[1].until == plan.speeds[-1]


def test_stop_values_are_the_builds_and_the_plans() -> None:
    build, plan = small_plan()
    stops = stop_values(build, plan)
    cut = stop_of(stops, "pressure_im")
    assert cut.value == pytest.approx(190e3)
    assert cut.expected == pytest.approx(float(np.nanmax(plan["pressure_im"])))
    assert stop_of(stops, "boost").value == pytest.approx(190e3 - plan.pressure_amb)
    assert stop_of(stops, "egt_reading").value == pytest.approx(950 + 273.15)
    assert stop_of(stops, "shaft_speed").value == pytest.approx(
        next(limit.limit[0] for limit in plan.prediction.limits if limit.name == "shaft-speed")
    )
    fuel = stop_of(stops, "injector_pressure_difference")
    assert fuel.value == pytest.approx(0.95 * float(np.nanmin(plan["injector_pressure_difference"])))
    assert fuel.side == "below"
    assert stop_of(stops, "oil_pressure").value == pytest.approx(3.5e5)


def test_what_nobody_has_set_says_which_key_sets_it() -> None:
    _, plan = small_plan()
    bare = read_build(ESTATE, [*GREEN, "fail_safes.boost_cut=", "fail_safes.oil_pressure_least="])
    stops = stop_values(bare, plan)
    for quantity, key in (("pressure_im", "boost_cut"), ("oil_pressure", "oil_pressure_least")):
        found = stop_of(stops, quantity)
        assert math.isnan(found.value)
        assert found.source == f"not set: fail_safes.{key}"


def test_the_order_sheet_names_choked_flow_and_valve_not_flange() -> None:
    build, plan = small_plan()
    sheet = order_sheet_of(build, plan)
    what = {line.part: line.what for line in sheet.lines}
    assert what["Turbine housing"].startswith("choked flow 0.0250 kg/s*sqrt(K)/kPa")
    assert "valve 44 mm across its seat" in what["Wastegate"]
    assert what["Spring"].startswith("0.40 bar gauge, bench")
    highest = max(float(np.nanmax(day["corrected_flow"])) for day in plan.days)
    assert f"{highest:.3f} kg/s corrected" in what["Compressor"]
    table = float(np.nanmax(plan.target))
    assert f"intake manifold to {(table + 50e3) / 1e3:.0f} kPa absolute" in what["Pressure sensors"]
    assert not sheet.ranked
    assert sheet.unconfirmed > 20


def test_guesses_are_ranked_by_what_they_move() -> None:
    build, plan = planned()
    guesses = guesses_of(build, plan)
    most = [max(int(part.split(" %")[0]) for part in guess.moves.split(", ")) for guess in guesses]
    assert most == sorted(most, reverse=True)
    assert len(guesses) >= 4
    assert all(guess.measure for guess in guesses)
    assert guesses == guesses_of(build, plan), "the same seed, the same ranking"


def test_a_known_turbine_is_no_longer_among_the_first_guesses() -> None:
    build, plan = planned()
    before = next(guess for guess in guesses_of(build, plan) if "flow of the turbine" in guess.what)
    known = read_build(ESTATE, [*GREEN, "turbine.choked_flow=0.025 kg/s*sqrt(K)/kPa +- 1 %"])
    after = [guess for guess in guesses_of(known, plan) if "turbine" in guess.what and "flow" in guess.what]
    assert "threshold" in before.moves
    assert all("threshold" not in guess.moves for guess in after)


def test_nothing_changes_at_the_builds_own_barometer() -> None:
    _, plan = planned()
    own = pocket().rows[0]
    assert own.pressure_amb == plan.pressure_amb
    assert own.lowered == 0.0
    np.testing.assert_allclose(own.target, plan.target, rtol=0.0, atol=600.0)


def test_the_cap_falls_with_the_barometer_and_holds_the_shaft() -> None:
    rows = pocket().rows
    assert [row.pressure_amb for row in rows] == sorted((row.pressure_amb for row in rows), reverse=True)
    caps = [row.cap for row in rows]
    assert all(later <= earlier + 1.0 for earlier, later in pairwise(caps))
    assert all(row.shaft_speed <= pocket().shaft_limit for row in rows)
    whole = [row.shaft_speed for row in rows if row.lowered == 0.0]
    assert whole == sorted(whole), "the same absolute boost from thinner air turns the wheel faster"
    assert rows[-1].power < rows[0].power
    assert any(row.lowered > 0.0 for row in rows)
    assert all(row.binding for row in rows if row.lowered > 0.0)


def test_the_lowered_table_is_inside_every_limit_of_its_day() -> None:
    build, plan = planned()
    row = pocket().rows[-1]
    there = np.isfinite(row.target)
    curve = Curve(tuple(plan.speeds[there].tolist()), tuple(row.target[there].tolist()), "absolute")
    day = with_table(build, [f"ambient.pressure={row.pressure_amb:.8g} Pa station"], curve, "target", None)
    prediction = predict_build(day, speeds=plan.speeds[there])
    assert prediction.solved.all()
    for limit in prediction.limits:
        if limit.name != "knock-phasing":
            assert np.nanmax(limit.utilisation, initial=0.0) <= 1.0 + 1e-3, limit.name


def test_the_plans_table_is_the_one_judged_and_the_builds_own_is_held_against_it() -> None:
    build, plan = planned()
    sheet = go_no_go_of(build, plan)
    assert sheet.table == "the plan's boost table"
    assert sheet.line("rods-and-torque").verdict is Verdict.GO
    hump = (
        'boost_control.target={ speed = [2250, 3000, 4500, 6500], unit = "rpm", value = [145, 196, 166, 160], '
        'value_unit = "kPa", value_basis = "absolute" }'
    )
    spoiled = go_no_go_of(read_build(ESTATE, [*GREEN, hump]), plan)
    line = spoiled.line("own-table")
    assert line.verdict is Verdict.STOP
    assert line.guards == 1
    speed = int(line.figure.split(" at ")[1].split(" rpm")[0])
    assert 2250 < speed < 4500
