"""Compression, expansion, shaft: inverses, limits, second law."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boostwright.physics.turbo import compression, shaft, turbine

RATIOS = st.floats(1.05, 4.0)
EFFICIENCIES = st.floats(0.3, 0.9)


@given(ratio=RATIOS, efficiency=EFFICIENCIES)
def test_efficiency_is_read_back(ratio: float, efficiency: float) -> None:
    outlet = compression.temperature_after_compression(298.15, ratio, efficiency, 1.4)
    back = compression.efficiency_from_temperatures(298.15, outlet, ratio, 1.4)
    assert back == pytest.approx(efficiency, rel=1e-10)
    work = compression.specific_work_compression(298.15, ratio, efficiency, 1005.0, 1.4)
    assert work == pytest.approx(1005.0 * (outlet - 298.15), rel=1e-10)


@given(ratio=RATIOS, efficiency=EFFICIENCIES)
def test_needed_expansion_ratio_closes_the_balance(ratio: float, efficiency: float) -> None:
    power = 0.25 * compression.specific_work_compression(298.15, ratio, 0.72, 1005.0, 1.4)
    needed = shaft.expansion_ratio_needed(power, 0.27, 1173.15, efficiency, 0.95, 1150.0, 1.33)
    if np.isnan(needed):
        return
    gained = 0.27 * turbine.specific_work_expansion(1173.15, needed, efficiency, 1150.0, 1.33)
    assert shaft.shaft_power_residual(gained, power, 0.95) == pytest.approx(0.0, abs=1e-6 * power)


def test_impossible_power_is_no_number() -> None:
    assert np.isnan(shaft.expansion_ratio_needed(500e3, 0.1, 1173.15, 0.7, 0.95, 1150.0, 1.33))


def test_surplus_speeds_the_shaft_up() -> None:
    assert shaft.shaft_acceleration(1000.0, 2e-5, 10000.0) == pytest.approx(5000.0)


@given(ratio=RATIOS)
def test_spouting_velocity_is_the_whole_ideal_drop(ratio: float) -> None:
    ideal = turbine.specific_work_expansion(1173.15, ratio, 1.0, 1150.0, 1.33)
    assert 0.5 * turbine.spouting_velocity(1173.15, ratio, 1150.0, 1.33) ** 2 == pytest.approx(ideal)


def test_published_flow_form_flattens_but_never_falls() -> None:
    outlet = np.linspace(200e3, 40e3, 200)
    flow = turbine.turbine_flow_sivertsson_eriksson(200e3, outlet, 1000.0, 290.0, 8e-4, 0.6859, 2.3633)
    assert flow[0] == 0.0
    assert np.all(np.diff(flow) > 0.0)
    assert flow[-1] / flow[100] < 1.25


def test_choked_area_and_flow_are_inverse() -> None:
    from boostwright.physics.gas.orifice import mass_flow_orifice

    area = turbine.choked_effective_area(3.0e-5, 288.5, 1.3)
    flow = mass_flow_orifice(1.0, area, 2.0e5, 1000.0, 0.5e5, 288.5, 1.3)
    assert flow * np.sqrt(1000.0) / 2.0e5 == pytest.approx(3.0e-5, rel=1e-10)


def test_parabola_peaks_where_it_should() -> None:
    ratios = np.linspace(0.0, 1.4, 1401)
    values = turbine.turbine_efficiency_parabola(ratios, 0.7, 0.65)
    assert ratios[np.argmax(values)] == pytest.approx(0.65, abs=1e-3)
    assert values[0] == 0.0
    assert values[-1] < 0.0, "beyond twice the best ratio the wheel brakes"
