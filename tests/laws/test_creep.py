"""Boost creep comes out of the balances: the takeoff angle is the only thing that changes.

The build and the script are those of ``studies/boost_creep``; nothing in the solver knows of creep.
"""

from __future__ import annotations

import csv
import math
from functools import cache

import numpy as np
import pytest

from boostwright.build import read_build
from boostwright.solve.operating_point import Prediction
from studies.boost_creep import creep

PSI = creep.PSI


@cache
def pull(angle: float, relation: str, *more: str) -> Prediction:
    return creep.pull(*creep.takeoff(angle, relation), *more)


@pytest.mark.parametrize("relation", creep.RELATIONS)
def test_back_facing_takeoff_creeps_and_one_in_the_line_of_flow_does_not(relation: str) -> None:
    line, back = pull(30.0, relation), pull(150.0, relation)
    assert line.solved.all()
    assert back.solved.all()
    straight, crept = line["boost"] / PSI, back["boost"] / PSI
    assert straight.max() - straight[0] <= 2.0
    assert abs(crept[0] - straight[0]) <= 1.0
    assert crept[-1] - straight[-1] >= 4.0
    assert math.isnan(creep.knee(line))
    knee = creep.knee(back)
    assert 3500.0 < knee < 6000.0
    above = knee < creep.SPEEDS / creep.RPM
    full = read_build(creep.HERE / "build")["wastegate"].si("full_lift")
    assert back["gate_lift"][above] == pytest.approx(full, rel=1e-6)
    assert (back["gate_lift"][~above] < full).all()
    assert {limit for limit, beyond in zip(back.binding_limit, above, strict=True) if beyond} == {
        "creep-floor"
    }
    assert set(line.binding_limit) == {"spring"}
    # boost bends at the knee: it rises more per rpm above it than below
    slope = np.diff(crept) / np.diff(creep.SPEEDS)
    assert slope[above[1:]].max() > 2.0 * slope[~above[1:]].max()


def test_it_creeps_inside_the_range_of_the_relation_too() -> None:
    """135 degrees is where the momentum relation ends; beyond it the points carry a flag."""
    line, back = pull(30.0, "hager-bassett"), pull(135.0, "hager-bassett")
    assert back["boost"][-1] - line["boost"][-1] >= 4.0 * PSI
    assert abs(back["boost"][0] - line["boost"][0]) <= 1.0 * PSI
    codes = {flag.code for flags in back.flags for flag in flags}
    assert "takeoff-angle-range" not in codes
    beyond = pull(150.0, "hager-bassett")
    assert all("takeoff-angle-range" in {flag.code for flag in flags} for flags in beyond.flags)


def test_exhaust_is_as_hot_as_the_trade_has_it() -> None:
    """850 to 950 degC at the turbine of a rich and cautiously sparked engine: common practice, no source."""
    for angle in (30.0, 150.0):
        heat = pull(angle, "hager-bassett")["temperature_em"] - 273.15
        assert heat.min() > 845.0
        assert heat.max() < 950.0


def test_nothing_else_differs_and_the_branch_is_no_larger_than_the_collector() -> None:
    line, back = pull(30.0, "gardel"), pull(150.0, "gardel")
    differing = set(line.settings) ^ set(back.settings)
    assert differing == {"wastegate.takeoff_angle=30 deg", "wastegate.takeoff_angle=150 deg"}
    build = read_build(creep.HERE / "build")
    assert build["wastegate"].si("branch_bore") <= build["exhaust_manifold"].si("collector_bore")
    assert not build["wastegate"].has("takeoff_loss")


def test_creep_grows_with_the_angle_and_recovery_falls() -> None:
    ends = [pull(angle, "hager-bassett") for angle in (30.0, 90.0, 135.0, 150.0, 180.0)]
    assert (np.diff([p["boost"][-1] for p in ends]) > 0.0).all()
    assert (np.diff([p["takeoff_recovery"][-1] for p in ends]) < 0.0).all()


def test_more_collector_bore_takes_the_creep_away() -> None:
    narrow = pull(150.0, "hager-bassett")
    wide = pull(150.0, "hager-bassett", "exhaust_manifold.collector_bore=60 mm")
    assert wide["boost"][-1] < narrow["boost"][-1] - 4.0 * PSI
    assert math.isnan(creep.knee(wide)) or creep.knee(wide) > creep.knee(narrow)


def test_creep_floor_is_what_the_pull_follows_above_the_knee() -> None:
    back = pull(150.0, "hager-bassett")
    floor = creep.pull(*creep.takeoff(150.0, "hager-bassett"), "prediction.mode=gate-open")
    above = creep.knee(back) < creep.SPEEDS / creep.RPM
    assert back["boost"][above] == pytest.approx(floor["boost"][above], rel=1e-6)
    assert (back["boost"][~above] > floor["boost"][~above]).all()


def test_case_of_the_trade_needs_a_recovery_that_steady_loss_nearly_explains() -> None:
    """14.5 psi at the end, with the start still between 5 and 7."""
    loss = creep.loss_for(44.0, 14.5)
    needed = creep.pull(f"wastegate.takeoff_loss={loss:.9f}")
    low, high = creep.PRACTICE_START
    assert low <= needed["boost"][0] / PSI <= high
    assert needed["boost"][-1] / PSI == pytest.approx(14.5, abs=0.01)
    rows = [row for row in creep.read("practice") if row["collector_mm"] == "44"]
    assert needed["takeoff_recovery"][-1] == pytest.approx(float(rows[0]["recovery_needed"]), abs=0.002)
    explained = [float(row["share_of_recovery_explained"]) for row in rows if row["angle_deg"] == "150"]
    assert all(0.8 < share < 1.1 for share in explained)
    # in a wider collector, by less: an honest miss, not hidden
    wide = [float(r["share_of_boost_explained"]) for r in creep.read("practice") if r["collector_mm"] == "50"]
    assert max(wide) < 0.8


def test_recorded_numbers_are_those_of_today() -> None:
    with (creep.HERE / "pull.csv").open(encoding="utf-8", newline="") as file:
        recorded = list(csv.DictReader(file))
    for row, fresh in zip(recorded, creep.pulls(), strict=True):
        for key, value in fresh.items():
            assert float(row[key]) == pytest.approx(value, rel=2e-3, abs=0.02), (row["speed_rpm"], key)
    fresh_row = creep.angle_row("gardel", 150.0)
    row = next(r for r in creep.read("angles") if (r["relation"], r["angle_deg"]) == ("gardel", "150"))
    for key in ("boost_start_psi", "boost_end_psi", "knee_rpm", "recovery_end"):
        assert float(row[key]) == pytest.approx(fresh_row[key], rel=5e-3)


@pytest.mark.parametrize("page", creep.PAGES, ids=lambda page: page.name)
def test_pages_show_the_recorded_tables(page: object) -> None:
    text = page.read_text(encoding="utf-8")  # type: ignore[attr-defined]
    assert creep.filled(text) == text
    assert all(f"<!-- {name} -->" in text for name in creep.rendered())
