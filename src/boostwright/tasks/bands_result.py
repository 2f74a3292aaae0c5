"""What a prediction with bands answers: the prediction, a band on every quantity, and where the doubt comes from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.operating_point import Prediction
from boostwright.solve.uncertainty.doubts import Doubt

__all__ = ["LEVELS", "BandValues", "BandedPrediction", "Contributor", "Doubt", "Headline"]

Array = NDArray[np.float64]

LEVELS = (0.05, 0.50, 0.95)
"""Shares of the samples below the low edge, the middle and the high edge of a band."""


@dataclass(frozen=True)
class BandValues:
    """Band of one quantity along the speeds: low, middle, high (n,) in ``unit``, over the samples that have a value."""

    name: str
    unit: str
    low: Array
    middle: Array
    high: Array


@dataclass(frozen=True)
class Contributor:
    """A doubt and what it brings to one answer.

    share        [-] of the answer's variance, by this doubt alone
    sensitivity  by how much the answer moves, in its own unit, where the doubt moves up by one standard deviation
    """

    doubt: Doubt
    share: float
    sensitivity: float


@dataclass(frozen=True)
class Headline:
    """One answer people ask for first, a number a sample.

    quantity                  whose unit it is shown in
    nominal, low, middle, high  SI; nominal is the prediction's own
    standard_deviation        of the samples
    propagated                standard uncertainty by the law of propagation, first order; nan where not asked for
    contributors              largest first
    unexplained               [-] share of the variance that no doubt alone explains
    answered                  [-] share of the samples that have this answer
    """

    code: str
    words: str
    quantity: str
    unit: str
    nominal: float
    low: float
    middle: float
    high: float
    standard_deviation: float
    propagated: float
    contributors: tuple[Contributor, ...]
    unexplained: float
    answered: float


@dataclass(frozen=True)
class BandedPrediction:
    """A prediction with its bands.

    prediction    at the nominal values
    samples, seed  how many were drawn, and from which seed
    doubts        what was drawn
    bands         by quantity
    steady_share  (n,) [-] of the samples that have a steady state at each speed
    headlines     the answers people ask for first
    exact         keys written without a band, which were taken as exact
    notes         what must be known about the bands
    """

    prediction: Prediction
    samples: int
    seed: int
    doubts: tuple[Doubt, ...]
    bands: Mapping[str, BandValues]
    steady_share: Array
    headlines: tuple[Headline, ...]
    exact: tuple[str, ...]
    notes: tuple[str, ...]
