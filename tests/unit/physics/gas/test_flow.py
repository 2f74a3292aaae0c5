"""Isentropic flow, shocks and orifices: limits, inverses and smoothness."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boostwright.physics.gas import isentropic, orifice, shock

GAMMAS = st.floats(1.2, 1.67)


@given(mach=st.floats(0.01, 0.9), gamma=GAMMAS)
def test_mach_number_from_flow_both_ways(mach: float, gamma: float) -> None:
    """0.5 kg/s of exhaust through the area that gives the Mach number."""
    area_star = 0.5 * np.sqrt(290.0 * 1100.0) / (2.0e5 * isentropic.choked_flow_function(gamma))
    area = area_star * isentropic.area_ratio(mach, gamma)
    static = 2.0e5 * isentropic.pressure_ratio(mach, gamma)
    from_total = isentropic.mach_number_from_total_pressure(0.5, 2.0e5, 1100.0, area, 290.0, gamma)
    from_static = isentropic.mach_number_from_static_pressure(0.5, static, 1100.0, area, 290.0, gamma)
    assert from_total == pytest.approx(mach, abs=1e-7)
    assert from_static == pytest.approx(mach, abs=1e-9)
    assert isentropic.mach_number_from_pressure_ratio(static / 2.0e5, gamma) == pytest.approx(mach, rel=1e-7)


def test_too_much_flow_for_the_pipe_says_mach_one() -> None:
    assert isentropic.mach_number_from_total_pressure(5.0, 1.0e5, 300.0, 1e-3, 287.0, 1.4) == 1.0


@given(mach=st.floats(0.0, 3.0), gamma=GAMMAS)
def test_ideal_gas_law_between_the_ratios(mach: float, gamma: float) -> None:
    assert isentropic.density_ratio(mach, gamma) * isentropic.temperature_ratio(mach, gamma) == pytest.approx(
        isentropic.pressure_ratio(mach, gamma), rel=1e-12
    )


@given(mach=st.floats(1.0, 4.0), gamma=GAMMAS)
def test_a_shock_loses_total_pressure_and_keeps_mass(mach: float, gamma: float) -> None:
    after = shock.mach_number_after_shock(mach, gamma)
    assert after <= 1.0 + 1e-12
    assert shock.shock_total_pressure_ratio(mach, gamma) <= 1.0 + 1e-12
    assert shock.shock_pressure_ratio(mach, gamma) == pytest.approx(
        shock.shock_density_ratio(mach, gamma) * shock.shock_temperature_ratio(mach, gamma), rel=1e-10
    )
    # The same flow is sonic in a larger area behind: A2*/A1* = p01/p02.
    areas = isentropic.area_ratio(mach, gamma) / isentropic.area_ratio(after, gamma)
    assert areas == pytest.approx(1.0 / shock.shock_total_pressure_ratio(mach, gamma), rel=1e-9)


@given(gamma=GAMMAS)
def test_flow_function_chokes_where_it_must_and_smoothly(gamma: float) -> None:
    critical = float(isentropic.critical_pressure_ratio(gamma))
    choked = float(isentropic.choked_flow_function(gamma))
    assert orifice.flow_function(critical, gamma) == pytest.approx(choked, rel=1e-12)
    assert orifice.flow_function(0.0, gamma) == pytest.approx(choked, rel=1e-12)
    step = 1e-4
    slope = (orifice.flow_function(critical + step, gamma) - choked) / step
    assert abs(slope) < 1e-3, "no kink where choking begins"
    assert orifice.flow_function(1.0, gamma) == 0.0


@given(gamma=GAMMAS, smoothing=st.floats(0.001, 0.05))
def test_smoothed_function_joins_in_value_and_is_monotone(gamma: float, smoothing: float) -> None:
    ratios = np.linspace(1.0 - 3.0 * smoothing, 1.0, 400)
    values = orifice.flow_function_smoothed(ratios, gamma, smoothing)
    assert np.all(np.diff(values) < 0.0)
    assert np.max(np.abs(np.diff(values, 2))) < 0.05 * values[0]
    outside = ratios <= 1.0 - smoothing
    np.testing.assert_allclose(values[outside], orifice.flow_function(ratios[outside], gamma), rtol=1e-12)


def test_flow_is_forward_only_and_scales() -> None:
    arguments = (0.7, 1e-3, 2.0e5, 1100.0, 1.1e5, 290.0, 1.33)
    flow = orifice.mass_flow_orifice(*arguments)
    assert orifice.mass_flow_orifice(0.7, 1e-3, 1.0e5, 1100.0, 1.1e5, 290.0, 1.33) == 0.0
    double = orifice.mass_flow_orifice(0.7, 1e-3, 4.0e5, 1100.0, 2.2e5, 290.0, 1.33)
    assert double == pytest.approx(2.0 * flow)
