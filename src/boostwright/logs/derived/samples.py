"""The channels of a log at the instants at which they were truly sampled, and how much they scatter."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import convolve1d

from boostwright.logs.derived.instants import local_rates, oldest
from boostwright.logs.records import LogError
from boostwright.logs.series import Channels, Series
from boostwright.logs.timebase.resample import resample
from boostwright.logs.timebase.sampling import Sampling, samplings

__all__ = ["FEWEST_IN_A_LINE", "Sampled", "Samples", "noise_of"]

Array = NDArray[np.float64]
Kept = TypeVar("Kept")

FEWEST_IN_A_LINE = 5
"""Samples that a line is put through at the least."""
_FEWEST = 5
_FEWEST_MOVES = 16  # changes of pace; fewer are bends of the quantity, not steps of its resolution


@dataclass(frozen=True, eq=False)
class Sampled:
    """A channel at its samples.

    sampling  when and how often it was sampled, and its values in SI
    noise     standard deviation of what differs from sample to sample, resolution included
    basis     as in Series
    """

    sampling: Sampling
    noise: float
    basis: str

    @property
    def time(self) -> Array:
        """[s], rising, (n,)."""
        return self.sampling.time

    @property
    def value(self) -> Array:
        """In SI, (n,)."""
        return self.sampling.value

    @property
    def period(self) -> float:
        """[s] between samples; infinite with fewer than two."""
        return self.sampling.period if np.isfinite(self.sampling.period) else np.inf

    @property
    def age(self) -> float:
        """How old [s] a sample may be at the most when its row is written; 0 where all of a row is of one moment."""
        return oldest(self.sampling)

    @property
    def uneven(self) -> float:
        """By how much [s] a sample's instant differs from row to row: stamp, and age where rows come unevenly."""
        asked = min(self.sampling.jitter, self.age / np.sqrt(12.0))
        return float(np.hypot(self.sampling.stamp_error, asked))

    @cached_property
    def rates(self) -> Array:
        """Rate of change [its unit/s] at each sample (n,), the faster of both sides."""
        return local_rates(self.sampling)

    def at(self, time: Array, anywhere: bool = False) -> Array:
        """The channel at instants (m,), on the line between the sample before and the one after.

        NaN outside the samples and where two lie more than 2.5 periods apart; with ``anywhere`` neither.
        """
        if anywhere:
            return np.interp(time, self.time, self.value)
        return resample(self.sampling, time, "linear").value

    def before(self, time: Array) -> Array:
        """The last sample before instants (m,), for what moves in steps."""
        return resample(self.sampling, time, "previous").value

    def half_window(self, window: float) -> int:
        """Samples to either side of one that a line over ``window`` [s] is put through."""
        half = FEWEST_IN_A_LINE // 2
        return max(round(0.5 * window / self.period), half) if np.isfinite(self.period) else half

    def around(self, time: Array, window: float = 0.0) -> Sampled:
        """The samples that a reading at instants (m,) and a slope over ``window`` [s] there hang on.

        So that what is worked out of a long log block by block goes through its samples once, not once a block.
        """
        pad = 4 * self.half_window(window) + 8
        begin = max(int(np.searchsorted(self.time, np.min(time))) - pad, 0)
        end = int(np.searchsorted(self.time, np.max(time), side="right")) + pad
        if begin == 0 and end >= self.time.size:
            return self
        cut = slice(begin, end)
        part = replace(self.sampling, time=self.time[cut], value=self.value[cut])
        return Sampled(part, self.noise, self.basis)

    def slopes(self, window: float) -> tuple[Array, Array]:
        """Rate of change at each sample [its unit/s], and its standard error by the samples' noise and their stamps.

        window  [s] of samples that a least-squares line is put through; FEWEST_IN_A_LINE at the least
        NaN where the window is not whole: half of one at each end and beside each gap.
        """
        time, value, n = self.time, self.value, self.time.size
        half = self.half_window(window)
        if n < 2 * half + 1:
            return np.full(n, np.nan), np.zeros(n)
        ones = np.ones(2 * half + 1)

        def total(x: Array) -> Array:
            return np.asarray(convolve1d(x, ones, mode="nearest"))

        t, v = time - time[0], value - value[0]
        st, sv = total(t), total(v)
        stt, stv = total(t * t) - st * st / ones.size, total(t * v) - st * sv / ones.size
        with np.errstate(divide="ignore", invalid="ignore"):
            slope = stv / stt
        slope[:half], slope[n - half :] = np.nan, np.nan
        span = np.full(n, np.inf)
        span[half : n - half] = time[2 * half :] - time[: n - 2 * half]
        slope[span > 1.5 * 2 * half * self.period] = np.nan
        spread = self.period**2 * half * (half + 1) * (2 * half + 1) / 3.0
        moved = np.where(np.isfinite(slope), slope, 0.0) * self.uneven
        return slope, np.hypot(self.noise, moved) / np.sqrt(spread)


def noise_of(value: Array) -> float:
    """Standard deviation of what is new in every sample, from second differences; the resolution's where that is none.

    value (n,) without NaN. A straight course has none; median absolute deviation, so that steps do not count.
    Source: the variance of a second difference of white noise is six times its own.
    """
    if value.size < _FEWEST:
        return 0.0
    second = np.abs(value[:-2] - 2.0 * value[1:-1] + value[2:])
    moving = np.abs(np.diff(value))
    moving = moving[moving > 0.0]
    uneven = np.count_nonzero(second > 1e-6 * np.max(moving, initial=0.0)) >= _FEWEST_MOVES
    resolution = float(np.percentile(moving, 2)) if uneven else 0.0
    scatter = 1.4826 * float(np.median(second)) / np.sqrt(6.0)
    return scatter if scatter > 0.0 else float(resolution / np.sqrt(12.0))


class Samples:
    """The channels of a log at their true samples; a channel that cannot be read, or holds no number, is not there."""

    def __init__(self, channels: Channels) -> None:
        """For a log, or channels in memory."""
        readable = _Readable(channels)
        self._found = {
            name: Sampled(one, noise_of(one.value), readable.read(name).basis)
            for name, one in samplings(readable).items()
            if one.time.size
        }
        self._kept: dict[str, Any] = {}

    def once(self, what: str, make: Callable[[], Kept]) -> Kept:
        """What hangs on the whole log, made where it is first asked for."""
        if what not in self._kept:
            self._kept[what] = make()
        found: Kept = self._kept[what]
        return found

    @property
    def names(self) -> tuple[str, ...]:
        """The channels that are there."""
        return tuple(self._found)

    def find(self, name: str) -> Sampled | None:
        """A channel; None where it is not there."""
        return self._found.get(name)

    def numbered(self, name: str) -> tuple[str, ...]:
        """A channel and its numbered ones that are there: lambda, lambda_1, lambda_2 ..."""
        names = (name, *(f"{name}_{k}" for k in range(1, 17)))
        return tuple(one for one in names if one in self._found)


class _Readable:
    """The channels of a log that can be read."""

    def __init__(self, channels: Channels) -> None:
        self._series: dict[str, Series] = {}
        for name in channels.names:
            try:
                series = channels.read(name)
            except LogError:
                continue
            if np.isfinite(series.value).any():
                self._series[name] = series

    @property
    def names(self) -> tuple[str, ...]:
        """Those that can be read and hold a number."""
        return tuple(self._series)

    def read(self, name: str) -> Series:
        """One of them."""
        return self._series[name]
