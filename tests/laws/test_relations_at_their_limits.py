"""Relations where a sceptic looks first: no flow, no difference, all of it, very cold, very high, both ways round.

Gas, turbo and air; heat, cylinder and sensors stand in ``test_relations_of_heat_at_their_limits``.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from boostwright.physics import power_correction
from boostwright.physics.cylinder import (
    breathing,
)
from boostwright.physics.gas import (
    air,
    exhaust,
    isentropic,
    mixture,
    orifice,
    pipe,
    restriction,
    standard_atmosphere,
)
from boostwright.physics.turbo import compression, corrected, poppet, shaft, slip, surge, turbine

GAMMA = st.floats(1.2, 1.67)
PRESSURE = st.floats(5e4, 4e5)
HOT = st.floats(600.0, 1300.0)
calmly = settings(deadline=None, derandomize=True, max_examples=60)


# Flow: none, choked, and either way round.


@calmly
@given(p=PRESSURE, t=HOT, gamma=GAMMA)
def test_no_difference_no_flow_and_beyond_choking_no_more(p: float, t: float, gamma: float) -> None:
    def flow(behind: float) -> float:
        return float(orifice.mass_flow_orifice(0.7, 1e-3, p, t, behind, 290.0, gamma))

    critical = float(isentropic.critical_pressure_ratio(gamma))
    assert flow(p) == 0.0
    assert flow(1.2 * p) == 0.0
    choked = 0.7e-3 * p * float(isentropic.choked_flow_function(gamma)) / np.sqrt(290.0 * t)
    for share in (1.0, 0.7, 0.0):
        assert flow(share * critical * p) == pytest.approx(choked, rel=1e-12)
    behind = np.linspace(critical, 1.0, 50) * p
    assert np.all(np.diff([flow(float(one)) for one in behind]) < 0.0)


@calmly
@given(mach=st.floats(1e-4, 0.02), gamma=GAMMA)
def test_slow_flow_is_bernoullis(mach: float, gamma: float) -> None:
    """Total less static is half rho V^2 = gamma/2 p M^2, to M^2/4 of itself."""
    head = 1.0 / float(isentropic.pressure_ratio(mach, gamma)) - 1.0
    assert head == pytest.approx(0.5 * gamma * mach**2, rel=0.3 * mach**2 + 1e-8)
    psi = float(orifice.flow_function(1.0 - 1e-6, gamma))
    assert psi == pytest.approx(np.sqrt(2e-6), rel=1e-5)


def test_no_flow_stands_still() -> None:
    for mach in (isentropic.mach_number_from_static_pressure, isentropic.mach_number_from_total_pressure):
        assert float(mach(0.0, 1e5, 900.0, 1e-3, 289.0, 1.33)) == 0.0
    assert float(pipe.velocity_head(0.0, 1e-3, 1.2)) == 0.0
    assert float(restriction.pressure_loss_eriksson(2e8, 0.0, 300.0, 1e5)) == 0.0
    assert float(restriction.upstream_pressure_eriksson(2e8, 0.0, 300.0, 1e5)) == pytest.approx(1e5)
    assert float(breathing.mass_flow_speed_density(0.9, 1e5, 300.0, 2e-3, 0.0, 287.0)) == 0.0
    assert float(poppet.effective_area_poppet(0.0, 0.038, 0.006, 0.7, 0.7)) == 0.0
    assert float(poppet.poppet_area_heywood(0.0, 0.03, 0.0015, np.pi / 4.0, 0.027, 0.006)) == 0.0


@calmly
@given(reynolds=st.floats(10.0, 1500.0))
def test_slow_pipe_flow_is_laminar(reynolds: float) -> None:
    """Hagen and Poiseuille: 64/Re."""
    assert float(pipe.friction_factor_churchill(reynolds, 1e-3)) == pytest.approx(64.0 / reynolds, rel=2e-3)


# Turbo: no ratio, no work; whatever one machine takes the other gives.


@calmly
@given(t=HOT, gamma=GAMMA, efficiency=st.floats(0.3, 1.0))
def test_no_ratio_no_work(t: float, gamma: float, efficiency: float) -> None:
    assert float(compression.temperature_after_compression(t, 1.0, efficiency, gamma)) == pytest.approx(t)
    assert float(compression.specific_work_compression(t, 1.0, efficiency, 1005.0, gamma)) == 0.0
    assert float(turbine.temperature_after_expansion(t, 1.0, efficiency, gamma)) == pytest.approx(t)
    assert float(turbine.specific_work_expansion(t, 1.0, efficiency, 1150.0, gamma)) == 0.0
    assert float(turbine.spouting_velocity(t, 1.0, 1150.0, gamma)) == 0.0
    assert float(turbine.turbine_flow_sivertsson_eriksson(1e5, 1e5, t, 289.0, 8e-4, 0.69, 2.4)) == 0.0
    assert float(shaft.expansion_ratio_needed(0.0, 0.1, t, efficiency, 0.96, 1150.0, gamma)) == 1.0


@calmly
@given(t=st.floats(250.0, 320.0), ratio=st.floats(1.01, 4.0), gamma=GAMMA)
def test_a_perfect_turbine_gives_back_what_a_perfect_compressor_took(
    t: float, ratio: float, gamma: float
) -> None:
    taken = float(compression.specific_work_compression(t, ratio, 1.0, 1005.0, gamma))
    warm = float(compression.temperature_after_compression(t, ratio, 1.0, gamma))
    assert float(turbine.specific_work_expansion(warm, ratio, 1.0, 1005.0, gamma)) == pytest.approx(
        taken, rel=1e-9
    )
    assert float(turbine.temperature_after_expansion(warm, ratio, 1.0, gamma)) == pytest.approx(t, rel=1e-12)
    assert float(turbine.spouting_velocity(warm, ratio, 1005.0, gamma)) ** 2 / 2.0 == pytest.approx(
        taken, rel=1e-9
    )


@calmly
@given(flow=st.floats(0.0, 0.5), t=st.floats(250.0, 330.0), p=PRESSURE)
def test_correction_to_the_state_itself_changes_nothing(flow: float, t: float, p: float) -> None:
    assert float(corrected.corrected_flow(flow, t, p, t, p)) == pytest.approx(flow, rel=1e-12, abs=1e-15)
    assert float(corrected.corrected_speed(9e3, t, t)) == pytest.approx(9e3)
    round_trip = corrected.referred_flow(corrected.referred_flow(flow, t, p, 298.0, 1e5), 298.0, 1e5, t, p)
    assert float(round_trip) == pytest.approx(flow, rel=1e-12, abs=1e-15)


def test_many_blades_leave_no_slip_and_the_two_authors_are_siblings() -> None:
    assert float(slip.slip_factor_stanitz(1e6)) == pytest.approx(1.0, abs=1e-5)
    assert float(slip.slip_factor_wiesner(1e6, 0.0, 0.5)) == pytest.approx(1.0, abs=1e-4)
    for blades in (12.0, 16.0, 20.0):
        assert float(slip.slip_factor_wiesner(blades, 0.0, 0.4)) == pytest.approx(
            float(slip.slip_factor_stanitz(blades)), abs=0.03
        )


def test_greitzers_number_is_tip_speed_over_twice_the_resonators() -> None:
    """B = U/(2 omega L)."""
    omega = float(surge.helmholtz_frequency(345.0, 6e-3, 1.6e-3, 0.3))
    assert float(surge.greitzer_parameter(380.0, 345.0, 6e-3, 1.6e-3, 0.3)) == pytest.approx(
        380.0 / (2 * omega * 0.3)
    )


# Air: dry and wet, cold and high.


@calmly
@given(t=st.floats(253.15, 323.15), altitude=st.floats(0.0, 3000.0), humidity=st.floats(0.0, 1.0))
def test_humidity_only_ever_thins_the_air(t: float, altitude: float, humidity: float) -> None:
    p = float(standard_atmosphere.standard_pressure(altitude))
    dry, damp = air.humid_air(p, t, 0.0), air.humid_air(p, t, humidity)
    assert np.array_equal(dry, air.humid_air_mole_fractions(p, 0.0))
    assert damp.sum() == pytest.approx(1.0, rel=1e-12)
    assert np.all(damp >= 0.0)
    assert damp[1] <= dry[1]
    lighter = air.density_ideal_gas(p, t, mixture.gas_constant(damp))
    assert float(lighter) <= float(air.density_ideal_gas(p, t, mixture.gas_constant(dry))) * (1.0 + 1e-12)
    # dry part, vapour and oxygen are the same sum by two roads
    vapour = damp[4] * p
    assert damp[1] == pytest.approx(0.2095 * float(air.dry_pressure(p, vapour)) / p, rel=1e-9)
    ratio = float(air.humidity_ratio(p, vapour))
    assert ratio / (1.0 + ratio) == pytest.approx(float(mixture.mass_fractions(damp)[4]), rel=1e-9, abs=1e-15)


def test_saturation_passes_freezing_without_a_step() -> None:
    """The two forms meet at 0 degC within 0.05 %; over ice the pressure would be lower, at -20 degC by 18 %."""
    steps = [air.humid_air(101325.0, t, 1.0)[4] for t in (273.15, 273.16, 273.17)]
    assert steps[2] / steps[0] == pytest.approx(1.0 + 0.02 * 0.0726, abs=6e-4)
    supercooled = float(air.saturation_pressure_magnus_alduchov_eskridge(253.15))
    # Smithsonian tables 1.254 hPa, from memory; the form is stated to 0.4 %
    assert supercooled == pytest.approx(125.4, rel=4e-3)


@pytest.mark.parametrize(
    "form",
    [
        power_correction.correction_j1349,
        power_correction.correction_j1349_exact,
        power_correction.correction_j607,
        power_correction.correction_iso_1585,
        power_correction.correction_jis_d_1001,
        power_correction.correction_din_70020,
    ],
    ids=lambda form: form.__name__,
)
def test_thin_or_warm_air_is_made_good_for(form) -> None:  # type: ignore[no-untyped-def]
    """Every standard, from -20 to 40 degC and from sea level to 3000 m."""
    pressures = np.asarray(standard_atmosphere.standard_pressure(np.linspace(0.0, 3000.0, 13)))
    temperatures = np.linspace(253.0, 313.0, 13)
    assert np.all(np.diff(form(pressures, 298.0)) > 0.0)
    assert np.all(np.diff(form(99e3, temperatures)) > 0.0)
    assert float(form(pressures[-1], 253.0)) == pytest.approx(1.3, abs=0.12), (
        "cold makes up for part of the height"
    )


@calmly
@given(height=st.floats(-1500.0, 10900.0), ambient=st.floats(0.5, 1.2))
def test_atmosphere_obeys_gas_law_and_weight(height: float, ambient: float) -> None:
    """p = rho R T, and dp/dH = -rho g."""
    p, t, rho = (
        float(f(height))
        for f in (
            standard_atmosphere.standard_pressure,
            standard_atmosphere.standard_temperature,
            standard_atmosphere.standard_density,
        )
    )
    assert p == pytest.approx(rho * 287.05287 * t, rel=1e-9)
    upper, lower = (float(standard_atmosphere.standard_pressure(height + step)) for step in (1.0, -1.0))
    assert (upper - lower) / 2.0 == pytest.approx(-rho * 9.80665, rel=1e-6)


# Exhaust: very rich and very lean.


@calmly
@given(y=st.floats(1.2, 4.0), z=st.floats(0.0, 1.0))
def test_rich_exhaust_holds_no_oxygen_and_lean_no_fuel(y: float, z: float) -> None:
    very_rich = exhaust.exhaust_mole_fractions(0.65, y, z, air.DRY_AIR)
    assert very_rich[1] == pytest.approx(0.0, abs=1e-12)
    assert np.all(very_rich >= 0.0)
    lean = exhaust.exhaust_mole_fractions(1e7, y, z, air.DRY_AIR)
    np.testing.assert_allclose(lean, air.DRY_AIR, atol=1e-6)
    energy = [
        float(exhaust.chemical_energy(exhaust.exhaust_mole_fractions(x, y, z, air.DRY_AIR)))
        for x in (0.65, 0.8, 0.95, 1.0, 1.2)
    ]
    assert energy[0] > energy[1] > energy[2] > energy[3] == pytest.approx(0.0, abs=1e-3)
    assert energy[4] == pytest.approx(0.0, abs=1e-3)
