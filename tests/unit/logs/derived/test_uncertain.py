"""Errors carried through formulas: a published example with correlated inputs, closed forms, sampling."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.logs.derived.uncertain import BAND, NOISE, Uncertain, exact, known, through, where_valid
from boostwright.physics.gas import isentropic

ONE = np.zeros(1)


def test_impedance_of_the_guide() -> None:
    """JCGM 100:2008, example H.2 (readings and results from memory): measured together, so with correlated errors."""
    readings = np.array(
        [
            [5.007, 4.994, 5.005, 4.990, 4.999],
            [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3],
            [1.0456, 1.0438, 1.0468, 1.0428, 1.0433],
        ]
    )
    mean = readings.mean(axis=1)
    shares = np.linalg.cholesky(np.cov(readings) / 5.0)
    voltage, current, phase = (
        Uncertain(ONE + mean[k], {f"source {j}": ONE + shares[k, j] for j in range(3)}) for k in range(3)
    )
    resistance = through(lambda v, i, p: v / i * np.cos(p), voltage, current, phase)
    reactance = through(lambda v, i, p: v / i * np.sin(p), voltage, current, phase)
    impedance = through(np.divide, voltage, current)
    for found, value, error in (
        (resistance, 127.732, 0.071),
        (reactance, 219.847, 0.295),
        (impedance, 254.260, 0.236),
    ):
        assert found.value[0] == pytest.approx(value, abs=2e-3)
        assert found.sigma[0] == pytest.approx(error, abs=6e-4)


def test_a_shared_error_cancels_in_a_difference_and_adds_in_a_sum() -> None:
    barometer = known("error of the barometer", 1e5, 500.0, ONE)
    one, other = through(np.add, exact(8e4, ONE), barometer), through(np.add, exact(5e4, ONE), barometer)
    assert through(np.subtract, one, other).sigma[0] == pytest.approx(0.0, abs=1e-9)
    assert through(np.add, one, other).sigma[0] == pytest.approx(2 * 500.0 / np.sqrt(3.0))
    apart = known("error of another", 5e4, 500.0, ONE)
    assert through(np.subtract, one, apart).sigma[0] == pytest.approx(500.0 * np.sqrt(2.0 / 3.0))


def test_against_sampling_through_a_crooked_formula() -> None:
    """Total pressure of a fast tap: half a million draws say what the law of propagation says, within a per cent."""
    rng = np.random.default_rng(7)
    static = known("static", 1.6e5, 4e3, ONE)
    flow = known("flow", 0.25, 0.02, ONE)
    formula = where_valid(isentropic.mach_number_from_static_pressure)

    def total(p: np.ndarray, m: np.ndarray) -> np.ndarray:
        mach = formula(m, p, 1100.0, 0.0018, 289.0, 1.32)
        return np.asarray(p / isentropic.pressure_ratio.formula(mach, 1.32))

    found = through(total, static, flow)
    drawn = total(1.6e5 + rng.uniform(-4e3, 4e3, 500_000), 0.25 + rng.uniform(-0.02, 0.02, 500_000))
    assert found.sigma[0] == pytest.approx(float(np.std(drawn)), rel=0.01)


def test_band_holds_ninety_per_cent_of_a_normal_error() -> None:
    rng = np.random.default_rng(1)
    inside = np.abs(rng.normal(size=400_000)) < BAND
    assert inside.mean() == pytest.approx(0.9, abs=2e-3)
    found = exact(1.0, ONE).with_error("x", 2.0)
    assert found.low[0] == pytest.approx(1.0 - 2.0 * BAND)
    assert found.high[0] == pytest.approx(1.0 + 2.0 * BAND)


def test_what_is_new_in_every_row_is_kept_apart() -> None:
    found = exact(1.0, ONE).with_error(f"{NOISE}a", 3.0).with_error("error of a", 4.0)
    assert found.sigma[0] == pytest.approx(5.0)
    assert found.sigma_of_rows[0] == pytest.approx(3.0)
    assert found.sigma_of_log[0] == pytest.approx(4.0)
    assert found.largest() == (("error of a", pytest.approx(0.64)), (f"{NOISE}a", pytest.approx(0.36)))


def test_outside_its_domain_a_relation_answers_no_number() -> None:
    root = where_valid(isentropic.mach_number_from_pressure_ratio)
    found = root(np.array([0.9395, -0.1, 1.2, np.nan]), np.full(4, 1.4))
    assert found[0] == pytest.approx(0.3, abs=1e-4)
    assert np.isnan(found[1:]).all()


def test_one_sided_where_the_formula_ends() -> None:
    """At the edge of a formula the side that has an answer counts."""
    found = through(lambda x: np.where(x >= 0.0, x, np.nan), exact(0.0, ONE).with_error("x", 0.5))
    assert found.sigma[0] == pytest.approx(0.5)


def test_largest_sources_are_those_of_rows_that_have_a_value() -> None:
    """A row without a value, whose parts may be anything, decides nothing."""
    value = np.array([1.0, 2.0, np.nan])
    made = Uncertain(value, {"a": np.array([0.3, 0.3, 1e9]), "b": np.array([0.1, 0.1, np.nan])})
    assert [name for name, _ in made.largest()] == ["a", "b"]
    assert made.largest()[0][1] == pytest.approx(0.9)
