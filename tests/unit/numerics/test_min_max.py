"""Extremes of stretches: against numpy's own, with gaps, ends and infinities."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from boostwright.numerics.min_max import fold_min_max


@pytest.mark.parametrize("step", [1, 3, 4, 64, 255, 256, 1000])
@pytest.mark.parametrize("size", [1, 5, 256, 999, 5000])
@pytest.mark.parametrize("gaps", [False, True])
def test_extremes_are_those_of_each_stretch(step: int, size: int, gaps: bool) -> None:
    values = np.random.default_rng(size).normal(size=size).astype(np.float32)
    if gaps:
        values[::3] = np.nan
        values[size // 2 : size // 2 + 2 * step] = np.nan
        values[-1] = np.inf
    low, high = fold_min_max(values, step)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        for k in range(-(-size // step)):
            part = values[k * step : (k + 1) * step]
            np.testing.assert_array_equal(low[k], np.nanmin(part))
            np.testing.assert_array_equal(high[k], np.nanmax(part))
