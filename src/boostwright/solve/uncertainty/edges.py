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
    finite = np.isfinite(values)
    if finite.all():
        return np.asarray(np.quantile(values, levels, axis=0, method="weibull"), dtype=float)
    out = np.full((len(levels), *values.shape[1:]), np.nan)
    some = finite.any(axis=0)
    if values.ndim == 1:
        return np.asarray(np.quantile(values[finite], levels, method="weibull"), dtype=float) if some else out
    if some.any():
        out[:, some] = np.nanquantile(values[:, some], levels, axis=0, method="weibull")
    return out
