"""Definitions, kinematics, breathing and friction: identities, siblings, signs."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boostwright.physics.cylinder import (
    air_standard,
    breathing,
    definitions,
    friction,
    pumping,
    slider_crank,
)

RPM = np.pi / 30.0


def test_speed_and_acceleration_are_derivatives_of_travel() -> None:
    omega, angles = 700.0, np.linspace(0.0, 2.0 * np.pi, 721)
    step = 1e-5
    travel = lambda angle: slider_crank.piston_travel(angle, 0.093, 0.144)  # noqa: E731
    speed = omega * (travel(angles + step) - travel(angles - step)) / (2.0 * step)
    np.testing.assert_allclose(slider_crank.piston_speed(angles, 0.093, 0.144, omega), speed, atol=1e-4)
    step = 1e-4
    second = (travel(angles + step) - 2.0 * travel(angles) + travel(angles - step)) / step**2
    acceleration = slider_crank.piston_acceleration(angles, 0.093, 0.144, omega)
    np.testing.assert_allclose(acceleration, omega**2 * second, atol=20.0)


def test_dead_centres_are_exact() -> None:
    """r w^2 (1 + r/l) above, -r w^2 (1 - r/l) below."""
    r, rod, omega = 0.0465, 0.144, 700.0
    top, bottom = slider_crank.piston_acceleration(np.array([0.0, np.pi]), 2.0 * r, rod, omega)
    assert top == pytest.approx(r * omega**2 * (1.0 + r / rod))
    assert bottom == pytest.approx(-r * omega**2 * (1.0 - r / rod))


def test_mean_piston_speed_is_the_mean_of_the_speed() -> None:
    angles = np.linspace(0.0, np.pi, 20001)
    mean = np.trapezoid(slider_crank.piston_speed(angles, 0.093, 0.144, 700.0), angles) / np.pi
    assert definitions.mean_piston_speed(0.093, 700.0) == pytest.approx(mean, rel=1e-6)


def test_torque_power_pressure() -> None:
    pressure = definitions.brake_mean_effective_pressure(300.0, 2.5e-3)
    assert definitions.torque_from_mean_effective_pressure(pressure, 2.5e-3) == pytest.approx(300.0)
    # Work of a cycle: mean effective pressure times displacement over two turns.
    assert definitions.brake_power(300.0, 500.0) == pytest.approx(pressure * 2.5e-3 * 500.0 / (4.0 * np.pi))


BACKPRESSURE = [breathing.backpressure_factor_heywood, breathing.backpressure_factor_eriksson]


@pytest.mark.parametrize("factor", BACKPRESSURE, ids=lambda relation: relation.__name__)
def test_back_pressure_takes_charge(factor) -> None:  # type: ignore[no-untyped-def]
    ratios = np.linspace(0.6, 2.5, 20)
    values = factor(ratios, 9.5, 1.3)
    assert np.all(np.diff(values) < 0.0)
    assert factor(1.0, 9.5, 1.3) == pytest.approx(1.0, abs=1e-14)


@given(ratio=st.floats(0.7, 2.0), compression=st.floats(8.0, 12.0))
def test_the_two_back_pressure_forms_are_siblings(ratio: float, compression: float) -> None:
    heywood = breathing.backpressure_factor_heywood(ratio, compression, 1.3)
    eriksson = breathing.backpressure_factor_eriksson(ratio, compression, 1.3)
    assert heywood == pytest.approx(eriksson, abs=0.012)


def test_residual_grows_with_back_pressure_and_falls_with_heat() -> None:
    residual = breathing.residual_fraction_ideal(np.array([0.8, 1.0, 1.5]), 9.5, 1.3, 3.5)
    assert np.all(np.diff(residual) > 0.0)
    assert breathing.residual_fraction_ideal(1.0, 9.5, 1.3, 5.0) < residual[1]


def test_friction_forms_are_of_one_size() -> None:
    """Half a bar to four and a half at 2000 to 7000 rpm; Barnes-Moss holds the pumping too."""
    speeds = np.array([2000.0, 4000.0, 7000.0]) * RPM
    piston = definitions.mean_piston_speed(0.090, speeds)
    total = friction.friction_barnes_moss(speeds)
    chen = friction.friction_chen_flynn(80e5, piston, 0.40e5, 0.005, 0.08e5, 0.002e5)
    diesel = friction.friction_heywood_diesel(speeds, piston)
    for values in (total, chen, diesel):
        assert np.all(np.diff(values) > 0.0)
        assert np.all((values > 0.5e5) & (values < 6.5e5))


def test_friction_rises_with_load() -> None:
    low, high = friction.friction_chen_flynn(np.array([40e5, 100e5]), 15.0, 4e4, 0.005, 8e3, 200.0)
    assert high - low == pytest.approx(0.005 * 60e5)


def test_pumping_sign() -> None:
    assert pumping.pumping_mean_effective_pressure(150e3, 200e3, 5e3) < 0.0
    assert pumping.pumping_mean_effective_pressure(250e3, 200e3, 5e3) > 0.0
    assert pumping.valve_loss(20.0, 100e3, 4e3) == pytest.approx(16e3)


@given(ratio=st.floats(6.0, 14.0), gamma=st.floats(1.2, 1.4), rise=st.floats(1.5, 6.0))
def test_dual_cycle_without_cut_off_is_otto(ratio: float, gamma: float, rise: float) -> None:
    otto = air_standard.efficiency_otto(ratio, gamma)
    assert air_standard.efficiency_dual(ratio, gamma, rise, 1.0) == pytest.approx(otto, rel=1e-9)
    assert air_standard.efficiency_dual(ratio, gamma, rise, 1.5) < otto


def test_air_flow_by_definition() -> None:
    """Volumetric efficiency 1 fills the displacement once in two turns."""
    flow = breathing.mass_flow_speed_density(1.0, 1.0e5, 300.0, 2.0e-3, 2.0 * np.pi, 287.0)
    assert flow == pytest.approx(1.0e5 / (287.0 * 300.0) * 1.0e-3)
