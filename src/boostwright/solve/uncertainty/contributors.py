"""Which doubts make an answer uncertain, and by how much: first-order shares of its variance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Shares", "SharesOfVariance", "shares_of_variance"]

Array = NDArray[np.float64]

_PER_TERM = 3.0  # samples a term of the regression wants at least
_NONE = 1e-12  # of the mean square: less spread than this is rounding
_NO_SPREAD = 1e-12  # of the largest variance among scaled terms: what has less is no direction of its own


@dataclass(frozen=True)
class Shares:
    """Where the variance of one answer comes from.

    shares       (doubts,) [-] of the variance, by each doubt alone; nan where there were too few samples
    unexplained  [-] what no doubt alone explains: doubts that act together, and kinks
    samples      [-] that had an answer
    """

    shares: Array
    unexplained: float
    samples: int


def shares_of_variance(shifts: Array, answer: Array) -> Shares:
    """First-order shares of the variance of an answer (samples,), nan where a sample has none.

    shifts  (samples, doubts) [-]
    The answer is fitted by a sum of parabolas, one in each doubt (straight lines where there are few samples); the
    variance of each parabola over that of the answer is the doubt's share, less what chance alone would give it.
    Source: variance-based first-order indices by regression, Saltelli et al., Global Sensitivity Analysis: The Primer,
    2008 (from memory); the shares of a straight fit are squared standardised regression coefficients.
    """
    return SharesOfVariance(shifts).of(answer)


class SharesOfVariance:
    """``shares_of_variance`` for several answers of the same samples, whose regression is prepared once."""

    def __init__(self, shifts: Array) -> None:
        """From the shifts (samples, doubts) [-]."""
        self._shifts = shifts
        self._prepared: dict[bytes, _Regression] = {}

    def of(self, answer: Array) -> Shares:
        """Shares of the variance of an answer (samples,)."""
        here = np.isfinite(answer)
        count, doubts = int(here.sum()), self._shifts.shape[1]
        nothing = np.full(doubts, np.nan)
        if count < 3:
            return Shares(nothing, float("nan"), count)
        y = answer[here] - answer[here].mean()
        variance = float(y @ y) / count
        if variance <= _NONE * float(np.mean(answer[here] ** 2)):
            return Shares(np.zeros(doubts), 0.0, count)
        if count <= _PER_TERM * (doubts + 1) / 2.0:
            return Shares(nothing, float("nan"), count)
        key = here.tobytes()
        if key not in self._prepared:
            self._prepared[key] = _regression(self._shifts[here])
        fit = self._prepared[key]
        coefficients = fit.inverse @ (y @ fit.terms)
        left = y - fit.terms @ coefficients
        freedom = max(count - fit.terms.shape[1] - 1, 1)
        noise = float(left @ left) / freedom
        own = coefficients.reshape(-1, doubts)
        squares = np.einsum("pk,pqk,qk->k", own, fit.products, own)
        shares = np.maximum(squares / count - len(own) * noise / count, 0.0) / variance
        return Shares(shares, float(np.clip(noise / variance, 0.0, 1.0)), count)


@dataclass(frozen=True)
class _Regression:
    """terms (samples, powers times doubts) less their means; inverse of their products, over the terms that have a
    spread; products (powers, powers, doubts) of each doubt's own terms."""

    terms: Array
    inverse: Array
    products: Array


def _regression(x: Array) -> _Regression:
    """The regression on samples (k, doubts) that all have an answer."""
    count, doubts = x.shape
    powers = 2 if count > _PER_TERM * (2 * doubts + 1) else 1
    terms = np.concatenate([x**power for power in range(1, powers + 1)], axis=1)
    terms = terms - terms.mean(axis=0)
    products = terms.T @ terms
    # a doubt that was not drawn has no spread, and no coefficient either
    spread = np.sqrt(np.where(np.diag(products) > 0.0, np.diag(products), 1.0))
    inverse = np.linalg.pinv(products / np.outer(spread, spread), rcond=_NO_SPREAD, hermitian=True)
    own = np.arange(doubts)
    places = [[(p * doubts + own, q * doubts + own) for q in range(powers)] for p in range(powers)]
    return _Regression(
        terms,
        inverse / np.outer(spread, spread),
        np.array([[products[place] for place in row] for row in places]),
    )
