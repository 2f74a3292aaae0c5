"""Corrected flow and speed, and the similarity of compressors, against definitions and published worked examples."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.errors import OutOfDomain
from boostwright.physics.turbo.compressor_similarity import (
    choked_flow_ratio,
    density_ratio_over_wheel,
    flow_coefficient,
    head_coefficient,
    isentropic_head,
    pressure_ratio_of_head,
    scaled_flow,
    scaled_speed,
    tip_speed,
)
from boostwright.physics.turbo.corrected import (
    actual_flow,
    corrected_flow,
    corrected_speed,
    mass_flow_of_volume_flow,
    referred_flow,
    referred_speed,
)

POUND = 0.45359237
INCH_OF_MERCURY = 3386.389
RANKINE = 1.0 / 1.8
PSI = 6894.757

SAE = (298.0, 100e3)
TESTBED = (545.0 * RANKINE, 28.4 * INCH_OF_MERCURY)
ISA = (288.15, 101325.0)
SWEDISH = (293.0, 101.3e3)


@pytest.mark.parametrize(
    ("start", "end", "factor"),
    [
        (SAE, TESTBED, 0.95412),
        (SAE, ISA, 1.03042),
        (SAE, SWEDISH, 1.02161),
        (SWEDISH, TESTBED, 0.93394),
        (SWEDISH, ISA, 1.00863),
    ],
)
def test_flow_from_one_reference_to_another(
    start: tuple[float, float], end: tuple[float, float], factor: float
) -> None:
    # Definition; the factors were computed independently of this project's code.
    assert referred_flow(1.0, *start, *end) == pytest.approx(factor, abs=1e-5)
    assert referred_flow(referred_flow(0.2, *start, *end), *end, *start) == pytest.approx(0.2, rel=1e-14)


def test_speed_from_one_reference_to_another() -> None:
    assert referred_speed(1.0, 298.0, TESTBED[0]) == pytest.approx(1.00798, abs=1e-5)


def test_worked_example_of_corrected_flow() -> None:
    # Public worked example: 45 lb/min at 11.5 psia and 110 F, corrected to 14.7 psia and 68 F; printed 59.79.
    flow = 45.0 * POUND / 60.0
    corrected = corrected_flow(flow, 570.0 * RANKINE, 11.5 * PSI, 528.0 * RANKINE, 14.7 * PSI)
    assert corrected * 60.0 / POUND == pytest.approx(59.79, rel=1e-3)


def test_corrected_flow_by_definition() -> None:
    assert corrected_flow(0.20, 305.0, 96e3, 298.0, 100e3) == pytest.approx(0.21077, abs=1e-5)
    assert actual_flow(0.21077, 305.0, 96e3, 298.0, 100e3) == pytest.approx(0.20, abs=1e-5)


def test_correction_is_undone_by_its_own_state() -> None:
    state = (312.0, 93e3)
    through = corrected_flow(actual_flow(0.31, *state, *SAE), *state, *SAE)
    assert through == pytest.approx(0.31, rel=1e-14)
    # Correcting straight to a second reference is correcting to the first and moving it.
    direct = corrected_flow(0.3, *state, *ISA)
    assert referred_flow(corrected_flow(0.3, *state, *SAE), *SAE, *ISA) == pytest.approx(direct, rel=1e-14)
    assert corrected_speed(9e3, 312.0, 312.0) == 9e3


def test_volume_flow_is_that_of_air_at_the_reference() -> None:
    # 1 CFM of air of 1.2 kg/m3 is 0.000566 kg/s (definition of the foot).
    cubic_foot = 0.3048**3 / 60.0
    pressure = 1.2 * 287.05 * 293.15
    assert mass_flow_of_volume_flow(cubic_foot, 293.15, pressure) == pytest.approx(0.000566, abs=1e-6)


def test_head_and_tip_speed_of_a_worked_point() -> None:
    # Jensen et al., SAE 910070, form from memory: head over half the tip speed squared; 56 mm wheel at 120 000 rpm,
    # pressure ratio 2, 298.15 K, cp 1005: U 351.86 m/s, 1.0601.
    speed = 120e3 * np.pi / 30.0
    u = tip_speed(speed, 0.056)
    assert u == pytest.approx(351.86, abs=0.01)
    assert 2.0 * head_coefficient(isentropic_head(2.0, 298.15), u) == pytest.approx(1.0601, rel=1e-3)
    assert u / np.sqrt(1.4 * 287.05 * 298.15) == pytest.approx(1.0166, rel=1e-3)


def test_flow_coefficient_of_the_model_of_sims_2014() -> None:
    # Sivertsson and Eriksson, SIMS 2014, write it with R T/p for density and 8 omega R^3 for D^2 U (twice ours).
    flow, omega, radius, pressure, temperature = 0.1391, 6000.0, 0.0328, 99510.0, 295.5297
    theirs = flow * 287.0 * temperature / (omega * 8.0 * radius**3 * pressure)
    density = pressure / (287.0 * temperature)
    ours = flow_coefficient(flow, density, 2.0 * radius, omega * radius)
    assert ours == pytest.approx(2.0 * theirs, rel=1e-12)


def test_head_and_ratio_undo_each_other() -> None:
    ratio = np.linspace(0.3, 5.0, 30)
    assert pressure_ratio_of_head(isentropic_head(ratio, 301.0), 301.0) == pytest.approx(ratio, rel=1e-13)


def test_choked_throat_at_rest_is_the_isentropic_one() -> None:
    # At rest: density ratio times sound-speed ratio at Mach 1, (2/2.4)^3 = 0.5787 (isentropic tables, gamma 1.4).
    assert choked_flow_ratio(0.0) == pytest.approx(0.57870, abs=1e-5)
    assert np.all(np.diff(choked_flow_ratio(np.linspace(0.0, 1.0, 20))) > 0.0)


def test_density_after_a_lossless_compressor_is_isentropic() -> None:
    head = isentropic_head(2.0, 300.0)
    assert density_ratio_over_wheel(head, head, 300.0) == pytest.approx(2.0 ** (1.0 / 1.4), rel=1e-9)


def test_scaling_keeps_tip_speed_and_flow_coefficient() -> None:
    scale = 0.06 / 0.431
    flow, speed = 4.5627, 2281.7
    u = tip_speed(speed, 0.431)
    assert tip_speed(scaled_speed(speed, scale), 0.06) == pytest.approx(u, rel=1e-12)
    large = flow_coefficient(flow, 1.225, 0.431, u)
    assert flow_coefficient(scaled_flow(flow, scale), 1.225, 0.06, u) == pytest.approx(large, rel=1e-12)


def test_outside_the_domain_is_refused() -> None:
    with pytest.raises(OutOfDomain, match="pressure"):
        corrected_flow(0.1, 300.0, 0.0, 298.0, 100e3)
    with pytest.raises(OutOfDomain, match="pressure_ratio"):
        isentropic_head(np.array([1.5, -0.1]), 300.0)
