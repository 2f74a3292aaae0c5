"""Which doubts make an answer uncertain, and by how much: first-order shares of its variance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Shares", "shares_of_variance"]

Array = NDArray[np.float64]

_PER_TERM = 3.0  # samples a term of the regression wants at least
_NONE = 1e-12  # of the mean square: less spread than this is rounding


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
    here = np.isfinite(answer)
    count, doubts = int(here.sum()), shifts.shape[1]
    nothing = np.full(doubts, np.nan)
    if count < 3:
        return Shares(nothing, float("nan"), count)
    y = answer[here] - answer[here].mean()
    variance = float(y @ y) / count
    if variance <= _NONE * float(np.mean(answer[here] ** 2)):
        return Shares(np.zeros(doubts), 0.0, count)
    x = shifts[here]
    powers = 2 if count > _PER_TERM * (2 * doubts + 1) else 1
    if count <= _PER_TERM * (doubts + 1) / 2.0:
        return Shares(nothing, float("nan"), count)
    terms = np.concatenate([x**power for power in range(1, powers + 1)], axis=1)
    terms = terms - terms.mean(axis=0)
    # a doubt that was not drawn has no spread, and no coefficient either
    coefficients = np.linalg.lstsq(terms, y, rcond=1e-10)[0]
    left = y - terms @ coefficients
    freedom = max(count - terms.shape[1] - 1, 1)
    noise = float(left @ left) / freedom
    shares = np.empty(doubts)
    for k in range(doubts):
        own = terms[:, k::doubts] @ coefficients[k::doubts]
        shares[k] = max(float(own @ own) / count - powers * noise / count, 0.0) / variance
    return Shares(shares, float(np.clip(noise / variance, 0.0, 1.0)), count)
