"""Lag of a temperature probe undone where the log can carry it; elsewhere what the gas was at least and at most."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.timebase.lag_inverse import Inverse, undo_first_order
from boostwright.logs.timebase.sampling import Sampling
from boostwright.physics.heat.probe_lag import lag_at_flow

__all__ = ["LagBound", "LagUndone", "ProbeLag", "noise_of", "undo_lag"]

Array = NDArray[np.float64]

SLOWEST = 1.02
"""Time constant [s] beyond which lag is not undone: a second, and what rounding may add."""
SPARSEST = 0.105
"""Time [s] between samples beyond which it is not: ten a second, and jitter."""
_FEWEST = 8
_SURE = 2.0
_LONG = 0.5  # time constants that a temperature must last to be bounded from above


@dataclass(frozen=True)
class ProbeLag:
    """How slow a probe is.

    time_constant   [s]  first order, at the reference flow
    low, high       [s]  within which it is thought to lie
    how             where it is from, in words
    reference_flow  [kg/s] past the probe; NaN: the same at every flow
    exponent        [-]  the time constant falls with flow to this power; 0.5 across a wire or sheath
    """

    time_constant: float
    low: float
    high: float
    how: str
    reference_flow: float = float("nan")
    exponent: float = 0.5

    def at(self, flow: Array | None, count: int) -> Array:
        """Time constant (count,) [s] at flows (count,) [kg/s]; where none is known, that at the reference."""
        if flow is None or not np.isfinite(self.reference_flow):
            return np.full(count, self.time_constant)
        known = np.where(np.isfinite(flow), flow, self.reference_flow)
        floor = 0.02 * self.reference_flow  # still gas: free convection goes on
        made: Array = lag_at_flow(
            self.time_constant, np.maximum(known, floor), self.reference_flow, self.exponent
        )
        return made


@dataclass(frozen=True, eq=False)
class LagUndone:
    """Lag undone.

    time   (m,) [s]  middles between samples; value (m,) [K] mean of the gas there as the probe would show it settled,
                     NaN over gaps and where the probe is too slow
    error  (m,) [K]  standard error by noise and smoothing, the time constant taken as true
    low, high (m,) [K] with the time constant at the ends of its band, no noise
    noise  [K] of the reading; gain [-] of it in the estimate, at the peak
    width  [s] over which it is smoothed between jumps
    reading_peak, peak, peak_error [K] highest reading, highest estimate, its standard error: noise, what smoothing may
                     do to it, and the band of the time constant, whose ends count as two standard errors
    words  what was done and what it costs
    """

    name: str
    time: Array
    value: Array
    error: Array
    low: Array
    high: Array
    noise: float
    gain: float
    width: float
    reading_peak: float
    peak: float
    peak_error: float
    words: str


@dataclass(frozen=True)
class LagBound:
    """Lag that cannot be undone: between what the gas was.

    reading_peak [K] the gas was at least as hot for a moment; highest [K] no temperature above this lasted ``lasting``
    [s] or longer
    why    code: "slow", "hottest-slow" (only where it was hottest), "sparse" or "short"; words: a sentence or two
    """

    name: str
    reading_peak: float
    highest: float
    lasting: float
    why: str
    words: str


def undo_lag(sampling: Sampling, lag: ProbeLag, flow: Array | None = None) -> LagUndone | LagBound:
    """The gas behind a probe's reading, as the probe would show it if it were quick.

    sampling  of the reading [K]
    flow      (n,) [kg/s] at the samples' times, for a probe whose lag follows the flow; None: as at the reference
    Undone for time constants up to 1 s read ten times a second or more; anything slower or sparser gives a bound.
    """
    t, y = sampling.time, sampling.value
    tau = lag.at(flow, t.size)
    quickest = float(np.min(tau)) if tau.size else lag.time_constant
    if t.size < _FEWEST:
        return _bound(sampling, lag, tau, "short")
    if not sampling.period <= SPARSEST:
        return _bound(sampling, lag, tau, "sparse")
    if quickest > SLOWEST:
        return _bound(sampling, lag, tau, "slow")
    made = undo_first_order(t, y, tau, 0.8 * noise_of(y))
    slow = np.interp(made.time, t, tau) > SLOWEST
    value = np.where(slow, np.nan, made.value)
    # no gas is cooler than what its probe shows at the highest: then the hottest moment is not among those undone
    if not np.isfinite(value).any():
        return _bound(sampling, lag, tau, "slow")
    if tau[np.argmax(y)] > SLOWEST and np.nanmax(value) < np.max(y) - _SURE * made.noise:
        return _bound(sampling, lag, tau, "hottest-slow")
    low = _other(made, t, y, tau, lag.low / lag.time_constant)
    high = _other(made, t, y, tau, lag.high / lag.time_constant)
    top = int(np.nanargmax(value))
    spread = 0.25 * abs(float(high[top] - low[top]))
    near = np.abs(made.time - made.time[top]) <= 2.0 * made.width
    # an edge beside a peak makes it overshoot, and of a sharp peak the first smoothing takes more than a second would
    cut = 2.0 * float(np.nanmax(np.abs(made.cut[near])))
    error = float(np.sqrt(made.error[top] ** 2 + cut**2 + spread**2))
    share = float(np.mean(slow))
    words = _words(sampling, lag, tau, made, top, error, share, float(np.max(y)))
    return LagUndone(
        sampling.name,
        made.time,
        value,
        made.error,
        np.where(slow, np.nan, low),
        np.where(slow, np.nan, high),
        made.noise,
        float(made.gain[top]),
        made.width,
        float(np.max(y)),
        float(value[top]),
        error,
        words,
    )


def _other(made: Inverse, time: Array, reading: Array, tau: Array, factor: float) -> Array:
    """The estimate with another time constant: reading and its slope are the same, u = y + tau y'.

    The reading behind the estimate follows from it and the first time constant, so only the share of the lag changes.
    """
    at = np.interp(made.time, time, reading)
    kernel = round(made.width / max(float(np.median(np.diff(time))), 1e-9))
    if kernel > 1:
        window = np.ones(kernel) / kernel
        padded = np.pad(at, (kernel // 2, kernel - 1 - kernel // 2), mode="edge")
        at = np.convolve(padded, window, mode="valid")
    return at + factor * (made.value - at)


def _quantum(value: Array) -> float:
    """Step of a reading: its smallest change, 0 where changes have no common step."""
    steps = np.abs(np.diff(value))
    steps = steps[steps > 0.0]
    if steps.size < 3:
        return 0.0
    least = float(steps.min())
    whole = steps / least
    return least if float(np.mean(np.abs(whole - np.round(whole)) < 0.02)) > 0.98 else 0.0


def _bound(sampling: Sampling, lag: ProbeLag, tau: Array, why: str) -> LagBound:
    """Highest reading, and what no lasting temperature can have exceeded."""
    t, y = sampling.time, sampling.value
    if not y.size:
        return LagBound(
            sampling.name, float("nan"), float("nan"), float("nan"), why, f"{sampling.name} has no reading."
        )
    peak = float(np.max(y))
    period = sampling.period
    apart = 1
    if np.isfinite(period):
        apart = max(1, int(np.ceil(_LONG * float(np.median(tau)) / period)))
    highest, lasting = float("nan"), float("nan")
    if t.size > apart + 2:
        highest = max(
            _held(t, y, tau * f, apart)
            for f in (1.0, lag.low / lag.time_constant, lag.high / lag.time_constant)
        )
        highest, lasting = max(highest, peak), (apart + 1) * period
    reasons = {
        "slow": f"a time constant of {float(np.min(tau)):.2g} s is too long to undo",
        "hottest-slow": "where it read most the flow was so small that the probe is too slow to undo its lag",
        "sparse": f"one reading every {period:.2g} s is too few to undo a lag",
        "short": "so few readings cannot be undone",
    }
    words = f"{sampling.name}: {reasons[why]}. The gas was at least {peak - 273.15:.0f} degC for a moment"
    if np.isfinite(highest):
        words += f"; nothing above {highest - 273.15:.0f} degC lasted {lasting:.2g} s or longer"
    words += "."
    numbers = "" if f"{lag.low:.2g} to {lag.high:.2g}" in lag.how else f"{lag.low:.2g} to {lag.high:.2g} s, "
    words += f" (Probe: {numbers}{lag.how}.)"
    return LagBound(sampling.name, peak, highest, lasting, why, words)


def _held(t: Array, y: Array, tau: Array, apart: int) -> float:
    """Largest mean of the gas over ``apart`` samples, with two standard errors of the noise."""
    h = t[apart:] - t[:-apart]
    a = np.exp(-h / (0.5 * (tau[apart:] + tau[:-apart])))
    noise = noise_of(y)
    means = (y[apart:] - a * y[:-apart] + _SURE * noise * np.sqrt(1.0 + a**2)) / (1.0 - a)
    good = h <= 2.5 * float(np.median(h))
    return float(np.max(means[good])) if bool(good.any()) else float("nan")


def noise_of(y: Array) -> float:
    """Standard deviation of a reading's noise, in its unit.

    y  (n,)
    From fourth differences, of which a lagged quantity has little; at least what the reading's own step makes. Source:
    definition; the median stands for most of the record, whatever happens in the rest.
    """
    if y.size < 9:
        return float(_quantum(y) / np.sqrt(12.0))
    fourth = np.abs(np.diff(y, 4))
    return float(max(np.median(fourth) / 0.6745 / np.sqrt(70.0), _quantum(y) / np.sqrt(12.0)))


def _words(
    sampling: Sampling,
    lag: ProbeLag,
    tau: Array,
    made: Inverse,
    top: int,
    error: float,
    slow: float,
    peak: float,
) -> str:
    told = (
        f"{sampling.name}: lag undone, {float(np.min(tau)):.2g} s at the highest flow (known as {lag.how}). Noise "
        f"of {made.noise:.2g} K "
        f"becomes {made.noise * made.gain[top]:.2g} K ({made.gain[top]:.1f} times), it is smoothed over "
        f"{made.width:.2g} s between jumps. Peak {made.value[top] - 273.15:.0f} +- {2 * error:.0f} degC; the "
        f"probe showed {peak - 273.15:.0f}."
    )
    if slow > 0.0:
        told += f" In {slow:.0%} of the time the flow is so small that the probe is too slow; nothing is given there."
    return told
