"""Builds that lack what the rules ask for: no gate, no table, one constant target, knock that is not predicted."""

from __future__ import annotations

import io

import numpy as np
import pypdf
import pytest
from green_build import ESTATE, GREEN

from boostwright.build import Build, read_build
from boostwright.report.sheets.page_pdf import page_pdf
from boostwright.report.sheets.write import sheet_pages
from boostwright.tasks.plan import plan_build
from boostwright.tasks.sheets.answer import GoNoGo, Stage, Verdict
from boostwright.tasks.sheets.facts import facts_of
from boostwright.tasks.sheets.go_no_go import go_no_go_of, judged
from boostwright.tasks.sheets.sheets import sheets_of

SPEEDS = tuple((np.array([2000, 3000, 4500, 6500]) * np.pi / 30).tolist())


def build_with(*settings: str) -> Build:
    return read_build(ESTATE, [*GREEN, *settings])


def sheet_of(*settings: str) -> GoNoGo:
    return judged(facts_of(build_with(*settings), speeds=SPEEDS))


def test_without_a_table_what_needs_one_is_not_answered() -> None:
    sheet = sheet_of("boost_control.target=", "prediction.mode=spring")
    assert sheet.table.startswith("none")
    for code in (
        "creep-floor",
        "rods-and-torque",
        "injectors",
        "fuel-pump",
        "sensor-range",
        "manifold-heat",
        "egt",
    ):
        assert sheet.line(code).verdict is Verdict.NOT_ANSWERED, code
    assert sheet.line("oil-drain-angle").verdict is Verdict.GO
    assert not sheet.may_go(Stage.FIRST_BOOST)


def test_without_a_gate_nothing_holds_the_boost() -> None:
    sheet = sheet_of("wastegate.kind=none", "prediction.mode=gate-shut")
    for code in ("gate-hose", "solenoid-dead", "creep-floor", "steady"):
        assert sheet.line(code).verdict is Verdict.STOP, code


def test_a_constant_target_does_not_say_from_where_boost_is_wanted() -> None:
    line = sheet_of("boost_control.target=150 kPa absolute").line("housing-late")
    assert line.verdict is Verdict.NOT_ANSWERED
    assert line.is_go, "no matter of safety"


def test_a_target_in_gauge_is_held_as_the_absolute_one_on_every_day() -> None:
    gauge = (
        'boost_control.target={ speed = [2750, 3250, 4500, 6500], unit = "rpm", '
        'value = [40.7, 48.7, 55.7, 50.7], value_unit = "kPa", value_basis = "gauge" }'
    )
    one, other = facts_of(build_with(gauge), speeds=SPEEDS), facts_of(build_with(), speeds=SPEEDS)
    assert one.held.keys() == other.held.keys()
    for day, prediction in one.held.items():
        np.testing.assert_allclose(
            prediction["pressure_im"], other.held[day]["pressure_im"], rtol=1e-6, equal_nan=True
        )


def test_days_with_an_overshoot_hold_more() -> None:
    facts = facts_of(build_with(), speeds=SPEEDS)
    assert facts.spikes
    plain = next(day for day in facts.held if day.startswith("cold") and day not in facts.spikes)
    spiked = next(day for day in facts.held if day.startswith("cold, spike"))
    assert spiked in facts.spikes
    at = 2  # 4500 rpm, held by the gate
    ratio = facts.held[spiked]["pressure_im"][at] / facts.held[plain]["pressure_im"][at]
    assert ratio == pytest.approx(1.05, rel=1e-3)


@pytest.mark.parametrize(
    "settings",
    [
        ("fuel.card=e85", "fuel_system.injector_flow=900 cm3/min"),
        ("limits.torque=", "limits.torque_basis=", "rods.given_as=none"),
        ("fuel_system.injection=none", "fuel_system.pump=none"),
        ("coolant.housing=oil-only", "plan.spike=0", "plan.altitude=0 m"),
    ],
    ids=["alcohol", "no torque limit", "no fuel system", "no days besides"],
)
def test_every_sheet_can_be_made(settings: tuple[str, ...]) -> None:
    # each part is a plan of its own: one of these builds shows what parts do to the sheets
    parts = () if "fuel.card=e85" in settings else ("plan.parts=",)
    build = build_with(*settings, *parts)
    plan = plan_build(build, speeds=SPEEDS, samples=0)
    sheets = sheets_of(build, plan)
    assert sheets.order.lines
    assert sheets.dyno.pulls
    assert sheets.pocket.rows
    if "limits.torque=" in settings:
        assert sheets.go_no_go.line("rods-and-torque").verdict is Verdict.NOT_ANSWERED
    if "fuel_system.injection=none" in settings:
        assert sheets.go_no_go.line("injectors").verdict is Verdict.NOT_ANSWERED
        assert any("not described" in line.what for line in sheets.order.lines)


def test_a_plan_without_any_table_stops_the_work() -> None:
    build = build_with("limits.torque=60 Nm", "plan.parts=")
    plan = plan_build(build, speeds=SPEEDS, samples=0)
    assert not np.isfinite(plan.target).any()
    sheet = go_no_go_of(build, plan)
    assert sheet.table.startswith("none")
    assert not sheet.may_go(Stage.FULL_PULL)
    sheets = sheets_of(build, plan)
    assert sheets.dyno.pulls == ()
    assert all(np.isnan(row.cap) for row in sheets.pocket.rows)
    for page in sheet_pages(sheets).values():
        assert len(pypdf.PdfReader(io.BytesIO(page_pdf(page))).pages) == 1
