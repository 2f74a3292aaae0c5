"""Power correction: references, siblings, ranges, and what it must not be used for."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.physics import power_correction as correction


@pytest.mark.parametrize(
    ("factor", "pressure", "temperature"),
    [
        (correction.correction_j1349, 99e3, 298.0),
        (correction.correction_j1349_exact, 99e3, 298.0),
        (correction.correction_iso_1585, 99e3, 298.0),
        (correction.correction_jis_d_1001, 99e3, 298.0),
        (correction.correction_din_70020, 101.3e3, 293.0),
        (correction.correction_j607, 29.92 * 3386.389, (60.0 + 459.67) / 1.8),
    ],
    ids=lambda value: getattr(value, "__name__", ""),
)
def test_one_at_its_own_reference(factor, pressure: float, temperature: float) -> None:  # type: ignore[no-untyped-def]
    assert factor(pressure, temperature) == pytest.approx(1.0, abs=1e-9)


def test_printed_and_exact_forms_stay_together() -> None:
    dry = np.linspace(88e3, 103e3, 31)
    printed = correction.correction_j1349(dry, 298.0)
    exact = correction.correction_j1349_exact(dry, 298.0)
    assert np.max(np.abs(printed - exact)) < 0.0006


def test_the_old_gross_standard_flatters_by_four_per_cent() -> None:
    ratio = correction.correction_j607(99e3, 298.0) / correction.correction_j1349(99e3, 298.0)
    assert ratio == pytest.approx(1.04, abs=0.005)


def test_wrong_divisor_of_the_copied_fahrenheit_form_is_not_ours() -> None:
    """77 degF is 25 degC: the factor is 1 there, not sqrt(537/505) = 1.03."""
    celsius_25 = (77.0 + 459.67) / 1.8
    assert correction.correction_j1349(99e3, celsius_25) == pytest.approx(1.0, abs=5e-4)


def test_range_of_the_standard_is_flagged() -> None:
    flags = correction.correction_j1349.outside_valid_range(
        dry_pressure=np.array([95e3, 80e3]), temperature=np.array([298.0, 320.0])
    )
    assert flags["dry_pressure"].tolist() == [False, True]
    assert flags["temperature"].tolist() == [False, True]


def test_engine_factor_is_held_at_its_ends() -> None:
    low, middle, high = correction.engine_factor_compression_ignition(np.array([20.0, 50.0, 90.0]))
    assert low == pytest.approx(0.1992)
    assert middle == pytest.approx(0.66)
    assert high == pytest.approx(1.2)


@pytest.mark.parametrize(
    ("dry", "kelvin", "counts"),
    [(99e3, 298.0, True), (95e3, 303.0, True), (90e3, 308.0, False), (102e3, 278.0, False)],
)
def test_a_test_outside_the_standard_is_known_as_such(dry: float, kelvin: float, counts: bool) -> None:
    factor = correction.correction_iso_1585(dry, kelvin)
    outside = correction.FACTOR_LIMITS["correction_iso_1585"].outside(np.asarray(factor))
    assert bool(outside) is not counts
