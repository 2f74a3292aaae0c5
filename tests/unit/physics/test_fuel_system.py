"""Injectors and pump: a flow-meter library as a peer, a motor solved apart, and the ends of every range."""

from __future__ import annotations

import numpy as np
import pytest
from fluids.flow_meter import differential_pressure_meter_solver
from scipy.optimize import brentq

from boostwright.physics import fuel_system


@pytest.mark.parametrize(("difference", "density"), [(2e5, 745.0), (4e5, 792.0), (1e7, 684.0)])
def test_an_injector_is_an_orifice_of_the_flow_meter_standard(difference: float, density: float) -> None:
    """Orifice of ISO 5167 with its discharge coefficient held, as the library `fluids` works it out."""

    def meter(drop: float, liquid: float) -> float:
        return float(
            differential_pressure_meter_solver(
                D=0.01, D2=0.0005, P1=101325.0 + drop, P2=101325.0, rho=liquid, mu=4e-4, k=1.3,
                meter_type="ISO 5167 orifice", C_specified=0.7, epsilon_specified=1.0,
            )
        )  # fmt: skip

    found = fuel_system.injector_mass_flow(meter(3e5, 684.0), difference, 3e5, density, 684.0)
    assert float(found) == pytest.approx(meter(difference, density), rel=1e-9)


def test_the_trades_own_example_of_more_rail_pressure() -> None:
    """550 cm3/min at 43.5 psi are 635 at 58 psi (common practice)."""
    assert 550.0 * float(fuel_system.injector_mass_flow(1.0, 58.0, 43.5, 745.0, 745.0)) == pytest.approx(
        635.0, abs=0.5
    )


def test_duty_is_one_when_the_pulse_fills_the_cycle() -> None:
    speed = 6000.0 * np.pi / 30.0
    flow = 4 * 0.006 * (20.0 - 1.2) / 20.0  # 20 ms a cycle, 1.2 ms of it dead
    assert float(fuel_system.injector_duty(flow, 4, 0.006, speed, 1.2e-3, 1, 4 * np.pi)) == pytest.approx(1.0)
    assert float(fuel_system.injector_duty(flow, 4, 0.006, speed, 1.2e-3, 1, 2 * np.pi)) == pytest.approx(2.0)


def test_duty_of_no_fuel_is_the_dead_time() -> None:
    speeds = np.array([100.0, 400.0])
    duty = fuel_system.injector_duty(0.0, 4, 0.006, speeds, 1e-3, 1, 4 * np.pi)
    np.testing.assert_allclose(duty, 1e-3 * speeds / (4 * np.pi))


def test_a_pump_on_less_voltage_is_a_motor_on_the_same_load() -> None:
    """Motor and displacement pump solved apart, by torque and current; the relation knows neither constant."""
    displacement, leak, constant, resistance = 4e-7, 6e-11, 0.02, 0.35  # m3/rad, m3/(s Pa), V s, ohm

    def flow(pressure: float, voltage: float) -> float:
        def torque_left(speed: float) -> float:
            current = (voltage - constant * speed) / resistance
            return constant * current - displacement * pressure

        speed = brentq(torque_left, 0.0, 2.0 * voltage / constant)
        return displacement * speed - leak * pressure

    for pressure in (2e5, 4e5):
        for voltage in (10.0, 12.0, 14.5):
            found = fuel_system.pump_flow_at_voltage(flow(pressure, 13.5), flow(0.0, 13.5), voltage, 13.5)
            assert float(found) == pytest.approx(flow(pressure, voltage), rel=1e-9)
            assert voltage > 13.5 or float(found) < flow(pressure, 13.5) * voltage / 13.5


def test_a_pump_that_cannot_lift_the_fuel_gives_none() -> None:
    assert float(fuel_system.pump_flow_at_voltage(5e-5, 1e-4, 6.0, 13.5)) == 0.0
