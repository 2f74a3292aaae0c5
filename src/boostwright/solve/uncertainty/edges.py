"""Edges of a band from samples."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["edges_of"]

Array = NDArray[np.float64]


def edges_of(values: Array, levels: Sequence[float]) -> Array:
    """Values (levels, ...) below which the shares ``levels`` [-] of what is sampled lie; samples (k, ...) come first.

    Samples without a value are left out; nan where none has one. The edges are those that a further sample lies beyond
    just as often as the levels say, however few samples there were: the i-th of k stands at i / (k + 1).
    Source: Weibull's plotting position (from memory); Hyndman and Fan, American Statistician 50 (1996), type 6.
    """
    shape = values.shape[1:]
    columns = np.ascontiguousarray(values.reshape(len(values), -1).T)
    columns = np.where(np.isfinite(columns), columns, np.nan)
    columns.sort(axis=1)  # nan goes to the end
    counts = np.isfinite(columns).sum(axis=1)
    last = np.maximum(counts - 1, 0)
    places = np.asarray(levels, dtype=float)[:, None] * (counts + 1) - 1.0
    places = np.clip(places, 0.0, last)
    below = np.floor(places).astype(np.intp)
    row = np.arange(len(columns))
    low, high = columns[row, below], columns[row, np.minimum(below + 1, last)]
    return np.asarray((low + (places - below) * (high - low)).reshape(len(levels), *shape), dtype=float)
