"""What the hoses of the actuator do: fall of boost with speed by itself, its cure, and the two ways to fail."""

from __future__ import annotations

import itertools
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from boostwright.solve.operating_point import Prediction
from boostwright.tasks.predict import predict

BUILD = Path(__file__).resolve().parent.parent.parent / "studies" / "boost_creep" / "build"
SPEEDS = np.arange(3000.0, 6501.0, 500.0) * np.pi / 30.0
# a turbine half the study's size and a gate with room to spare: nothing creeps, the exhaust pushes hard
TIGHT = (
    "turbine.choked_flow=0.013 kg/s*sqrt(K)/kPa",
    "wastegate.card=poppet-44mm",
    "wastegate.branch_bore=44 mm",
    "exhaust_manifold.collector_bore=50 mm",
    "wastegate.diaphragm_diameter=60 mm",
    "wastegate.spring_rating=0.6 bar gauge",
)


@cache
def run(mode: str, *settings: str) -> Prediction:
    return predict(BUILD, mode=mode, settings=(*TIGHT, *settings), speeds=SPEEDS)


def test_boost_falls_with_speed_by_itself_on_the_lower_chamber() -> None:
    """No target, no table: the exhaust pushes the valve further open as the drive pressure rises."""
    alone = run("spring", "boost_control.plumbing=lower")
    boost = alone["boost"]
    assert (np.diff(boost) < 0.0).all()
    assert boost[0] - boost[-1] > 5e3
    across = alone["pressure_g"] - alone["pressure_4"]
    assert (np.diff(across) > 0.0).all()
    # the reason is the head force: without exhaust on the head the same spring would hold about its rating
    assert boost[0] < 0.6e5
    assert set(alone.binding_limit) == {"spring"}
    assert not (alone["gate_lift"] >= 10.4e-3).any()


def test_a_bigger_turbine_cures_the_cause() -> None:
    tight = run("spring")
    wide = predict(BUILD, mode="spring", settings=TIGHT[1:], speeds=SPEEDS)
    fall = [p["boost"][0] - p["boost"][-1] for p in (tight, wide)]
    assert fall[1] < 0.6 * fall[0]


@pytest.mark.parametrize("plumbing", ["upper", "both"])
def test_a_top_chamber_signal_restores_it(plumbing: str) -> None:
    """The boost of the pull's start is held to its end when the solenoid may feed the upper chamber."""
    alone = run("spring", "boost_control.plumbing=lower", "boost_control.fixed_duty=0.5")
    assert (np.diff(alone["boost"]) < 0.0).all()
    target = f"boost_control.target={(alone['boost'][0] + 101.3e3) / 1e3:.3f} kPa absolute"
    held = run("target", f"boost_control.plumbing={plumbing}", target)
    assert set(held.binding_limit) == {"boost-target"}
    assert held["boost"] == pytest.approx(alone["boost"][0], abs=5.0)
    assert (np.diff(held["solenoid_duty"]) > 0.0).all()


def test_only_both_chambers_hold_a_high_boost_to_the_end() -> None:
    """With the lower chamber fully bled the spring stands alone against the exhaust; a signal on top helps it."""
    target = "boost_control.target=215 kPa absolute"
    bled = run("target", "boost_control.plumbing=lower", target)
    assert bled.binding_limit[-1] == "gate-pushed-open"
    assert bled["boost"][-1] < 215e3 - 101.3e3 - 15e3
    held = run("target", "boost_control.plumbing=both", target)
    assert set(held.binding_limit) == {"boost-target"}
    assert held["pressure_im"] == pytest.approx(215e3, rel=1e-8)
    assert (held["signal_share"][3:] < 0.0).all()  # more on top than below


@pytest.mark.parametrize("plumbing", ["lower", "upper", "both"])
def test_a_dead_solenoid_gives_the_lowest_boost_and_a_lost_hose_the_highest(plumbing: str) -> None:
    kind = f"boost_control.plumbing={plumbing}"
    duties = (0.0, 0.2, 0.4)
    by_duty = [run("spring", kind, f"boost_control.fixed_duty={duty}")["boost"] for duty in duties]
    lost = run("spring", kind, "boost_control.signal_hose=lost")
    dead = by_duty[0]
    for low, high in itertools.pairwise(by_duty):
        assert (high > low + 1e3).all()
    assert (lost["boost"] > by_duty[-1] + 1e3).all()
    # dead means what the spring gives, whatever the plumbing
    assert dead == pytest.approx(run("spring", "boost_control.plumbing=lower")["boost"], rel=1e-9)
    assert (lost["signal_share"] == 0.0).all()


def test_duty_of_the_spring_run_is_the_builds_own_also_with_a_lost_hose() -> None:
    assert (run("spring", "boost_control.fixed_duty=0.3")["solenoid_duty"] == 0.3).all()
    assert (run("spring", "boost_control.signal_hose=lost")["solenoid_duty"] == 0.0).all()


def test_duty_found_for_a_target_gives_that_boost_when_it_is_fixed() -> None:
    for plumbing in ("lower", "upper", "both"):
        kind = f"boost_control.plumbing={plumbing}"
        held = run("target", kind, "boost_control.target=175 kPa absolute")
        for i in (0, -1):
            duty = f"boost_control.fixed_duty={held['solenoid_duty'][i]:.12f}"
            assert run("spring", kind, duty)["pressure_im"][i] == pytest.approx(175e3, rel=1e-6)


def test_signal_from_the_plenum_asks_for_more_boost_behind_the_cooler() -> None:
    outlet = run("spring", "wastegate.signal_source=compressor-outlet")
    plenum = run("spring", "wastegate.signal_source=plenum")
    loss = outlet["pressure_2"] - outlet["pressure_im"]
    gained = plenum["boost"] - outlet["boost"]
    assert (gained > 0.3 * loss).all()
    assert (gained < 1.2 * loss).all()


def test_friction_opens_later_and_a_stiffer_spring_lifts_less() -> None:
    easy, sticky = run("spring"), run("spring", "wastegate.friction_force=20 N")
    area = np.pi / 4 * 0.060**2
    assert sticky["boost"] - easy["boost"] == pytest.approx(20.0 / area, rel=0.8)
    assert (sticky["boost"] > easy["boost"]).all()
    stiff = run("spring", "wastegate.spring_rate=18 N/mm")
    assert (stiff["boost"] > easy["boost"]).all()
