"""A radial turbine from its dimensions: limits, best speed, housings, refusals. Unproven against any measurement."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boostwright.components.turbine_mean_line import (
    UNPROVEN,
    best_point,
    check_turbine_wheel,
    choked_swallowing_of_wheel,
    flow_sensitivity_to_a_over_r,
    turbine_lines_of_wheel,
)
from boostwright.components.turbine_wheel import Gas, TurbineWheel, turbine_state
from boostwright.errors import FaultyInput

WHEEL = TurbineWheel(
    inlet_diameter=0.054,
    inlet_width=0.0073,
    exit_tip_diameter=0.0486,
    exit_hub_diameter=0.0151,
    exit_blade_angle=float(np.deg2rad(54.0)),
    blades=11,
    a_over_r=0.64 * 0.0254,
    clearance=0.35e-3,
)
GAS = Gas()
HOUSINGS = [replace(WHEEL, a_over_r=a * 0.0254) for a in (0.48, 0.64, 0.83)]


@pytest.mark.parametrize("ratio", [1.4, 2.0, 2.6])
def test_best_blade_speed_ratio_is_that_of_radial_wheels(ratio: float) -> None:
    """0.6 to 0.75: usual (Watson and Janota 1982, from memory)."""
    best, efficiency, _ = best_point(WHEEL, ratio)
    assert 0.6 < best < 0.75
    assert 0.6 < efficiency < 0.85


@pytest.mark.parametrize("ratio", [1.4, 2.0, 2.6])
@pytest.mark.parametrize("wheel", HOUSINGS[1:])
def test_a_over_r_is_no_area(wheel: TurbineWheel, ratio: float) -> None:
    assert 0.05 < flow_sensitivity_to_a_over_r(wheel, ratio) < 0.7


@pytest.mark.parametrize("ratio", [1.4, 2.0, 2.6])
def test_a_small_housing_comes_nearer_to_an_area(ratio: float) -> None:
    """Up to 0.76: there the volute throttles and not the wheel; the reason stands in docs/explain/mean-lines.md."""
    assert 0.5 < flow_sensitivity_to_a_over_r(HOUSINGS[0], ratio) < 0.8


def test_sensitivity_falls_as_the_wheel_chokes() -> None:
    found = [flow_sensitivity_to_a_over_r(WHEEL, ratio) for ratio in (1.4, 2.0, 2.6)]
    assert found == sorted(found, reverse=True)


def test_no_speed_no_power() -> None:
    state = turbine_state(WHEEL, 0.0, np.array([1.4, 2.0, 2.6]), GAS)
    assert np.all(np.abs(state.efficiency) < 1e-9)
    assert np.all(state.flow > 0.0)


def test_runaway_ends_the_power() -> None:
    """Beyond about twice the best blade-speed ratio the wheel brakes, and holds flow back."""
    spouting = np.sqrt(2.0 * GAS.heat * GAS.temperature * (1.0 - 1.4 ** (-0.33 / 1.33)))
    speeds = 2.0 * np.array([0.7, 1.5]) * spouting / WHEEL.inlet_diameter
    working, braking = (turbine_state(WHEEL, float(s), np.array([1.4]), GAS) for s in speeds)
    assert working.efficiency[0] > 0.6
    assert braking.efficiency[0] < 0.0
    assert braking.flow[0] < working.flow[0]


def test_flow_rises_with_ratio_and_chokes() -> None:
    state = turbine_state(WHEEL, 2.0 * 300.0 / 0.054, np.linspace(1.15, 6.0, 40), GAS)
    assert np.all(np.diff(state.flow) > -1e-3 * state.flow[1:])
    assert state.choked[-1]
    assert not state.choked[0]
    assert state.flow[-1] == pytest.approx(state.flow[-5], rel=2e-3)


def test_choked_flow_is_below_that_of_the_bare_throat() -> None:
    """A loss-free nozzle of the wheel's exit throat at the inlet's total state passes more."""
    gamma = np.sqrt(GAS.ratio) * (2.0 / (GAS.ratio + 1.0)) ** ((GAS.ratio + 1.0) / (2.0 * (GAS.ratio - 1.0)))
    throat = WHEEL.exit_annulus * np.cos(WHEEL.exit_blade_angle)
    share = choked_swallowing_of_wheel(WHEEL) / (throat * gamma / np.sqrt(GAS.constant))
    assert 0.5 < share < 1.0


def test_power_is_never_more_than_the_gas_gives() -> None:
    for speed in np.linspace(0.0, 20000.0, 15):
        state = turbine_state(WHEEL, float(speed), np.linspace(1.05, 5.0, 20), GAS)
        assert np.all(state.efficiency < 0.85)


def test_three_housings_move_the_right_way() -> None:
    """Larger: at equal ratio more flow; at equal flow less drive pressure and less power, so a later threshold."""
    speed, ratios = 2.0 * 300.0 / 0.054, np.linspace(1.1, 3.0, 60)
    at_flow, power, flow = 0.06, [], []
    drive = []
    for wheel in HOUSINGS:
        state = turbine_state(wheel, speed, ratios, GAS)
        flow.append(float(np.interp(2.0, ratios, state.flow)))
        ratio = float(np.interp(at_flow, state.flow, ratios))
        drive.append(ratio)
        power.append(float(np.interp(ratio, ratios, state.efficiency)) * (1.0 - ratio ** (-0.33 / 1.33)))
    assert flow == sorted(flow)
    assert drive == sorted(drive, reverse=True)
    assert power == sorted(power, reverse=True)


def test_flow_carries_over_from_one_inlet_state_to_another() -> None:
    """m sqrt(T)/p at equal corrected speed: only windage knows the difference."""
    cold = Gas(temperature=400.0, pressure=150e3)
    speed = 11000.0
    hot = turbine_state(WHEEL, speed, np.array([1.8]), GAS)
    same = turbine_state(WHEEL, speed * np.sqrt(400.0 / GAS.temperature), np.array([1.8]), cold)
    swallow = [s.flow[0] * np.sqrt(g.temperature) / g.pressure for s, g in ((hot, GAS), (same, cold))]
    assert swallow[0] == pytest.approx(swallow[1], rel=1e-6)


def test_lines_say_that_they_are_unproven() -> None:
    lines = turbine_lines_of_wheel(WHEEL, np.array([4000.0, 8000.0]), np.array([1.2, 1.6, 2.2]))
    assert lines.words == UNPROVEN
    assert lines.corrected_flow.shape == lines.efficiency.shape == lines.expansion_ratio.shape
    assert np.all(lines.efficiency > 0.0)


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"exit_tip_diameter": 0.060}, "exit_tip_diameter"),
        ({"exit_hub_diameter": 0.050}, "exit_hub_diameter"),
        ({"a_over_r": 0.64}, "a_over_r"),
        ({"blades": 2}, "blades"),
        ({"exit_blade_angle": 54.0}, "exit_blade_angle"),
        ({"inlet_diameter": 54.0}, "inlet_diameter"),
        ({"clearance": 0.01}, "clearance"),
    ],
)
def test_impossible_wheels_are_refused_by_name(change: dict[str, float], word: str) -> None:
    wheel = replace(WHEEL, **change)  # type: ignore[arg-type]
    assert any(fault.key == word for fault in check_turbine_wheel(wheel))
    with pytest.raises(FaultyInput, match=word):
        turbine_lines_of_wheel(wheel, np.array([5000.0]), np.array([1.5]))
