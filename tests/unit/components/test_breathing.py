"""Valves and cams of a build: angles at any lift, areas, filling, losses, overlap."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from sound_build import swap, write_build

from boostwright.build import Build, check_build, with_settings
from boostwright.components.breathing import Filling, breathing_fields, valve_events, valve_loss_share
from boostwright.components.overlap import overlap_of_build, stock_cams
from boostwright.components.valve_train import cams_of_build
from boostwright.errors import BuildError

TABLE = 'volumetric_efficiency = { speed = [1500, 4500, 7000], unit = "rpm", value = [0.82, 0.97, 0.86] }\n'
CAMS = """intake_valve_diameter = "32 mm"
exhaust_valve_diameter = "28 mm"
intake_valve_lift = "9.5 mm"
exhaust_valve_lift = "9.0 mm"
cam_lift_basis = "1-mm"
intake_opening = "2 deg"
intake_closing = "38 deg"
exhaust_opening = "40 deg"
exhaust_closing = "1 deg"
"""
DEGREE = math.pi / 180.0
SPEEDS = np.array([1500.0, 3000.0, 4500.0, 6000.0, 7500.0]) * math.pi / 30.0


@pytest.fixture
def build(tmp_path: Path) -> Build:
    """Cams as the source of filling."""
    text = swap((TABLE, 'source = "cams"\n' + CAMS))
    checked = check_build(write_build(tmp_path / "build", text))
    assert checked.build is not None
    return checked.build


@pytest.fixture
def plain(tmp_path: Path) -> Build:
    """No word of valves or cams."""
    checked = check_build(write_build(tmp_path / "plain"))
    assert checked.build is not None
    return checked.build


def test_events_at_the_stated_lift_come_back(build: Build) -> None:
    events = valve_events(build)
    assert events.intake_closing / DEGREE == pytest.approx(38.0 - 180.0)
    assert events.exhaust_opening / DEGREE == pytest.approx(180.0 - 40.0)
    intake, exhaust = cams_of_build(build) or pytest.fail("no cams")
    assert (intake.middle - intake.half_duration(1e-3)) / DEGREE == pytest.approx(-2.0)
    assert (exhaust.middle + exhaust.half_duration(1e-3)) / DEGREE == pytest.approx(1.0)


def test_without_cams_the_events_are_the_stated_estimate(plain: Build) -> None:
    events = valve_events(plain)
    assert events.intake_closing / DEGREE == pytest.approx(-140.0)
    assert events.exhaust_opening / DEGREE == pytest.approx(135.0)
    intake, exhaust = stock_cams(plain, events)
    ends = intake.middle - intake.half_duration(1e-3), intake.middle + intake.half_duration(1e-3)
    assert ends == pytest.approx((0.0, events.intake_closing + 2.0 * math.pi), abs=1e-9)
    ends = exhaust.middle - exhaust.half_duration(1e-3), exhaust.middle + exhaust.half_duration(1e-3)
    assert ends == pytest.approx((events.exhaust_opening - 2.0 * math.pi, 0.0), abs=1e-9)


def test_centreline_and_duration_are_the_same_cam(build: Build) -> None:
    other = with_settings(
        build,
        ["breathing.intake_opening=", "breathing.intake_closing=", "breathing.intake_centreline=108 deg",
         "breathing.intake_duration=220 deg", "breathing.exhaust_opening=", "breathing.exhaust_closing=",
         "breathing.exhaust_centreline=109.5 deg", "breathing.exhaust_duration=221 deg"],
    )  # fmt: skip
    for one, two in zip(cams_of_build(build) or (), cams_of_build(other) or (), strict=True):
        assert one.middle == pytest.approx(two.middle)
        assert one.duration == pytest.approx(two.duration)


def test_one_cam_stated_at_two_lifts_is_one_cam(build: Build) -> None:
    intake, exhaust = cams_of_build(build) or pytest.fail("no cams")
    ends = {}
    for side, cam in (("intake", intake), ("exhaust", exhaust)):
        half = cam.half_duration(1.27e-3)
        first, last = (cam.middle - half) / DEGREE, (cam.middle + half) / DEGREE
        ends[side] = (-first, last - 180.0) if side == "intake" else (-180.0 - first, last)
    other = with_settings(
        build,
        ["breathing.cam_lift_basis=0.050-inch"]
        + [
            f"breathing.{s}_{e}={a!r} deg"
            for s, pair in ends.items()
            for e, a in zip(("opening", "closing"), pair, strict=True)
        ],
    )
    again = cams_of_build(other) or pytest.fail("no cams")
    assert again[0].duration == pytest.approx(intake.duration)
    assert again[1].middle == pytest.approx(exhaust.middle)
    assert intake.duration > 2.0 * intake.half_duration(1e-3) > 2.0 * intake.half_duration(1.27e-3)


def test_filling_falls_at_speed_and_sooner_with_smaller_valves(build: Build) -> None:
    field = breathing_fields(build, SPEEDS)["volumetric_efficiency"]
    assert (np.diff(field) < 0.0).all()
    assert field[0] == pytest.approx(0.92, abs=0.04)
    small = with_settings(build, ["breathing.intake_valve_diameter=27 mm"])
    less = breathing_fields(small, SPEEDS)["volumetric_efficiency"]
    assert less[0] == pytest.approx(field[0], abs=0.01)
    assert less[-1] < 0.93 * field[-1]


def test_later_closing_costs_slow_filling_and_helps_fast(build: Build) -> None:
    """A longer cam at the same opening: pushed back when slow, open for longer when fast."""
    early = ["breathing.intake_opening=-3 deg", "breathing.intake_closing=18 deg"]
    build = with_settings(build, early)
    late = with_settings(build, ["breathing.intake_opening=2 deg", "breathing.intake_closing=38 deg"])
    speeds = np.array([1500.0, 9500.0]) * math.pi / 30.0
    before, after = (np.asarray(breathing_fields(b, speeds)["volumetric_efficiency"]) for b in (build, late))
    assert after[0] < before[0] - 0.05
    assert after[1] > before[1]


def test_correction_is_one_at_the_reference(build: Build, plain: Build) -> None:
    from boostwright.components.breathing import backpressure_factor

    for these in (build, plain):
        fields = breathing_fields(these, SPEEDS)
        ratio = these["breathing"].si("reference_pressure_ratio")
        np.testing.assert_allclose(backpressure_factor(these, ratio) / fields["breathing_reference"], 1.0)


def test_known_curve_brings_its_own_reference_at_every_speed(plain: Build) -> None:
    these = with_settings(
        plain,
        ["breathing.volumetric_efficiency=", "breathing.source=known-curve", "breathing.known_curve_at=crank",
         "breathing.known_curve_air=din-70020", "breathing.known_torque=220 Nm"],
    )  # fmt: skip
    filling = Filling(SPEEDS, np.full(5, 0.9), np.linspace(1.05, 1.3, 5), np.full(5, 300.0))
    fields = breathing_fields(these, SPEEDS, filling)
    assert (np.diff(fields["breathing_reference"]) < 0.0).all()
    assert fields["breathing_temperature"] == pytest.approx(np.full(5, 300.0))
    with pytest.raises(BuildError, match="turned back"):
        breathing_fields(these, SPEEDS)


def test_overlap_grows_with_the_angle_and_is_none_below_zero(build: Build) -> None:
    found = []
    for closing in (-40.0, -10.0, 1.0, 15.0):
        these = with_settings(
            build, [f"breathing.exhaust_closing={closing} deg", f"breathing.intake_opening={closing} deg"]
        )
        found.append(overlap_of_build(these, valve_events(these)))
    areas = [one.area_angle for one in found]
    assert (found[0].area_angle, found[0].volume, found[0].resistance) == (0.0, 0.0, 0.0)
    assert (np.diff([one.volume for one in found[1:]]) > 0.0).all()
    assert (np.diff(areas) > 0.0).all()
    # a triangle of two curtains in series, by hand: within a factor of two of what 30 deg of it should have
    assert 1e-5 < areas[2] < 1e-4


def test_valve_loss_comes_from_valves_where_they_are_known(build: Build, plain: Build) -> None:
    piston = np.array([10.0, 20.0])
    assert valve_loss_share(plain, piston) == pytest.approx([0.07, 0.28])
    known = valve_loss_share(build, piston)
    assert known[1] == pytest.approx(4.0 * known[0])
    assert 0.05 < known[0] < 0.10
    beside_a_table = with_settings(build, ["breathing.source=table", "breathing.volumetric_efficiency=0.9"])
    assert valve_loss_share(beside_a_table, piston) == pytest.approx(known)
    written = with_settings(build, ["cylinder.valve_loss_factor=0.04"])
    assert valve_loss_share(written, piston) == pytest.approx([0.04, 0.16])
