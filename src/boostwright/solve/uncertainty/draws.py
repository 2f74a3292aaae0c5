"""Draws of all doubts from one seed: each doubt has a stream of its own, so that another doubt does not change it."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.uncertainty.doubts import Doubt

__all__ = ["draw"]

Array = NDArray[np.float64]

_NEAREST = 2.0**-53  # to 0 and to 1, where a normal spread has no end


def draw(doubts: Sequence[Doubt], samples: int, seed: int) -> Array:
    """Shifts (samples, doubts) [-], in widths of the bands: a Latin hypercube.

    Every doubt has one draw in each of as many equal slices of its spread as there are samples, shuffled. Its stream
    follows from the seed and its name alone.
    Source: McKay, Beckman and Conover, Technometrics 21 (1979), 239-245 (from memory).
    """
    shifts = np.empty((samples, len(doubts)))
    for column, doubt in enumerate(doubts):
        words = np.frombuffer(hashlib.sha256(doubt.name.encode()).digest(), dtype=np.uint32)
        stream = np.random.default_rng([seed, *(int(word) for word in words)])
        share = (stream.permutation(samples) + stream.random(samples)) / samples
        shifts[:, column] = doubt.distribution.quantile(np.clip(share, _NEAREST, 1.0 - _NEAREST))
    return shifts
