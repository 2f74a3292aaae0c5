"""How a lag blurs a record: as a first-order lag does, or as a mean over even weights; both ways."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.timebase.clock_search import Smooth

__all__ = ["Shape", "even_mean", "lagged"]

Shape = Callable[[Smooth, float], Smooth]
"""Blurs a record by a second moment [s2], frees it from one where that is negative; middles stay."""


def lagged(base: Smooth, moment: float) -> Smooth:
    """Lagged by a first-order lag of second moment [s2], or freed from one where it is negative; middles stay."""
    from scipy.signal import lfilter

    tau = float(np.sqrt(abs(moment)))
    if tau < 1e-9:
        return base
    if moment < 0.0:
        slope = np.gradient(base.value, base.step)
        return replace(base, start=base.start + tau, value=base.value + tau * slope)
    there = np.isfinite(base.value)
    filled = np.interp(np.arange(there.size), np.flatnonzero(there), base.value[there])
    ratio = base.step / tau
    keep, mean = np.exp(-ratio), -np.expm1(-ratio) / ratio
    drive = np.empty_like(filled)
    drive[0] = filled[0]
    drive[1:] = (mean - keep) * filled[:-1] + (1.0 - mean) * filled[1:]
    made = np.asarray(lfilter([1.0], [1.0, -float(keep)], drive))
    return replace(
        base, start=base.start - tau, value=np.where(_clear(there, 5.0 * tau, base.step), made, np.nan)
    )


def even_mean(base: Smooth, moment: float) -> Smooth:
    """The same for a mean over even weights, and to the second order for the way back."""
    from scipy.ndimage import uniform_filter1d

    if moment < 0.0:
        bend = np.gradient(np.gradient(base.value, base.step), base.step)
        return replace(base, value=base.value + 0.5 * moment * bend)
    there = np.isfinite(base.value)
    filled = np.interp(np.arange(there.size), np.flatnonzero(there), base.value[there])
    whole = float(np.sqrt(12.0 * moment + base.step**2)) / base.step
    odd = (
        2 * int((whole - 1.0) / 2.0) + 1
    )  # between two odd widths the means are mixed by their second moments
    narrow, wide = (uniform_filter1d(filled, w, mode="nearest") for w in (odd, odd + 2))
    share = (whole**2 - odd**2) / ((odd + 2) ** 2 - odd**2)
    made = (1.0 - share) * narrow + share * wide
    clear = _clear(there, whole * base.step, base.step)
    return replace(base, value=np.where(clear, made, np.nan))


def _clear(there: NDArray[np.bool_], reach: float, step: float) -> NDArray[np.bool_]:
    """Points with nothing missing within a reach [s]."""
    from scipy.ndimage import minimum_filter1d

    if there.all():
        return there
    return np.asarray(minimum_filter1d(there.astype(np.uint8), 2 * round(reach / step) + 1)).astype(bool)
