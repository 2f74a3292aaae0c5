"""Edges of bands and shares of variance, against numpy's own quantiles and least squares."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.solve.uncertainty.contributors import SharesOfVariance, shares_of_variance
from boostwright.solve.uncertainty.edges import edges_of

LEVELS = (0.05, 0.5, 0.95)


@pytest.mark.filterwarnings("ignore:All-NaN")
def test_edges_are_numpys_quantiles_of_what_has_a_value() -> None:
    values = np.random.default_rng(4).normal(size=(200, 7, 3))
    values[:30, 2] = np.nan
    values[:, 4, 1] = np.nan
    values[:199, 5, 2] = np.nan
    values[3, 6, 0] = np.inf
    known = np.where(np.isfinite(values), values, np.nan)
    expected = np.nanquantile(known, LEVELS, axis=0, method="weibull")
    np.testing.assert_allclose(edges_of(values, LEVELS), expected, rtol=1e-14)
    np.testing.assert_allclose(
        edges_of(values[:, 0, 0], LEVELS), np.quantile(values[:, 0, 0], LEVELS, method="weibull")
    )
    assert np.isnan(edges_of(np.full(9, np.nan), LEVELS)).all()


def test_shares_are_those_of_numpys_least_squares() -> None:
    draw = np.random.default_rng(5)
    shifts = draw.normal(size=(600, 20))
    shifts[:, 7] = 0.0  # not drawn
    answer = 3.0 * shifts[:, 0] + shifts[:, 1] ** 2 + shifts[:, 2] * shifts[:, 3] + draw.normal(size=600)
    answer[::9] = np.nan
    here = np.isfinite(answer)
    terms = np.concatenate([shifts[here], shifts[here] ** 2], axis=1)
    terms -= terms.mean(axis=0)
    y = answer[here] - answer[here].mean()
    fit = np.linalg.lstsq(terms, y, rcond=1e-10)[0]
    noise = float(((y - terms @ fit) ** 2).sum()) / (y.size - 41)
    expected = np.empty(20)
    for k in range(20):
        own = terms[:, k::20] @ fit[k::20]
        expected[k] = max(float(own @ own) - 2.0 * noise, 0.0) / float(y @ y)
    found = shares_of_variance(shifts, answer)
    np.testing.assert_allclose(found.shares, expected, rtol=1e-9, atol=1e-12)
    assert found.unexplained == pytest.approx(noise * y.size / float(y @ y))
    assert found.shares[7] == 0.0


def test_prepared_once_the_shares_of_several_answers_are_each_its_own() -> None:
    draw = np.random.default_rng(6)
    shifts = draw.normal(size=(300, 8))
    one, other = shifts[:, 0] + 0.1 * draw.normal(size=300), shifts[:, 5] ** 2
    holed = one.copy()
    holed[::7] = np.nan
    together = SharesOfVariance(shifts)
    for answer in (one, holed, other, one):
        np.testing.assert_array_equal(together.of(answer).shares, shares_of_variance(shifts, answer).shares)
