"""How slow a probe is, from the log itself: from how it falls when fuel is cut, or from a second probe beside it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.timebase.lag import noise_of
from boostwright.logs.timebase.sampling import Sampling

__all__ = ["LagFound", "NoLag", "lag_from_falls", "lag_from_two_probes", "lift_offs"]

Array = NDArray[np.float64]

_FALL = 20.0  # K a reading must fall by for its fall to tell anything
_LONGEST = 8.0  # s of a fall that are looked at: later the walls, which cool slowly, are what it shows
_LEAST = 0.01  # of the time constant: gas does not settle at once, own estimate
_STRETCH = 0.8  # s over which two probes are compared at a time
_SEARCH = np.geomspace(0.03, 12.0, 160)  # s


@dataclass(frozen=True)
class LagFound:
    """A time constant found in a log.

    time_constant, low, high [s] estimate, and two standard errors to either side
    events  falls used; 0 for two probes
    words   how it was found and what it rests on
    """

    time_constant: float
    low: float
    high: float
    events: int
    words: str


@dataclass(frozen=True)
class NoLag:
    """Why no time constant was found, in words."""

    words: str


def lift_offs(throttle: Sampling, open_at: float = 0.5, shut_at: float = 0.15, within: float = 1.0) -> Array:
    """Times (k,) [s] at which the throttle had just been shut from wide.

    throttle  of pedal or throttle opening [-]; from above ``open_at`` to below ``shut_at`` within ``within`` [s]
    """
    t, v = throttle.time, throttle.value
    shut = np.flatnonzero((v[1:] < shut_at) & (v[:-1] >= shut_at)) + 1
    out = [t[k] for k in shut if np.any(v[(t >= t[k] - within) & (t < t[k])] > open_at)]
    return np.array(out)


def lag_from_falls(reading: Sampling, starts: Array, delay: float = 0.3) -> LagFound | NoLag:
    """Time constant from the falls of a reading [K] after fuel was cut.

    starts  (k,) [s] when; delay [s] from then on until the gas is taken to have settled
    Once the gas has come down the reading nears it as exp(-t/tau): level and size of each fall are free, tau is
    common. The gas itself may still be falling, as the walls give off heat: each fall is fitted with a level that
    stands and with one that drifts, and the difference widens the band. So what comes out is if anything too long.
    """
    falls = [f for f in (_fall(reading, s + delay, starts) for s in starts) if f is not None]
    if not falls:
        return NoLag(
            f"no fall of {_FALL:.0f} K or more with enough readings follows a lift-off: the lag does not show."
        )
    still, still_error = _common(falls, drift=False)
    moving, moving_error = _common(falls, drift=True)
    if not (np.isfinite(still) and np.isfinite(moving)):
        return NoLag("the falls after lift-off do not have the shape of a first-order lag.")
    # of the two the one that leaves less over, counted for its further unknowns; the other widens the band
    tau = moving if _worth(falls, still, moving) else still
    own = moving_error if tau == moving else still_error
    error = float(np.sqrt(own**2 + (0.5 * (still - moving)) ** 2 + (_LEAST * tau) ** 2))
    low, high = max(tau - 2.0 * error, 0.3 * tau), tau + 2.0 * error
    words = (
        f"{tau:.2g} s, {low:.2g} to {high:.2g}, at the small flow after {len(falls)} "
        f"{'lift-off' if len(falls) == 1 else 'lift-offs'}; gas that goes on cooling makes it look longer than it is"
    )
    return LagFound(tau, low, high, len(falls), words)


@dataclass(frozen=True, eq=False)
class _Fall:
    time: Array
    value: Array


def _fall(reading: Sampling, start: float, starts: Array) -> _Fall | None:
    """The readings of one fall, from its start to the next lift-off, its lowest point or 8 s."""
    later = starts[starts > start]
    end = min(start + _LONGEST, float(later.min()) if later.size else np.inf)
    inside = (reading.time >= start) & (reading.time <= end)
    t, v = reading.time[inside] - start, reading.value[inside]
    if t.size < 6:
        return None
    rising = np.flatnonzero(v > np.minimum.accumulate(v) + 0.1 * (v[0] - v.min()) + 2.0)
    if rising.size:  # fuel is back
        stop = int(np.argmin(v[: rising[0]])) + 1
        t, v = t[:stop], v[:stop]
    if t.size < 6 or v[0] - v.min() < _FALL:
        return None
    return _Fall(t, v)


def _left(falls: list[_Fall], tau: float, drift: bool) -> tuple[float, int]:
    """Squares left over by falls of one time constant, and the unknowns."""
    total, unknowns = 0.0, 1
    for fall in falls:
        columns = [np.exp(-fall.time / tau), np.ones(fall.time.size)]
        if drift:
            columns.append(fall.time)
        design = np.stack(columns, axis=1)
        solved, *_ = np.linalg.lstsq(design, fall.value, rcond=None)
        total += float(np.sum((fall.value - design @ solved) ** 2))
        unknowns += design.shape[1]
    return total, unknowns


def _common(falls: list[_Fall], *, drift: bool) -> tuple[float, float]:
    """Common time constant and its standard error; NaN where the best lies at an end of what is looked through."""
    squares = np.array([_left(falls, float(tau), drift)[0] for tau in _SEARCH])
    best = int(np.argmin(squares))
    if best in (0, _SEARCH.size - 1):
        return float("nan"), float("nan")
    x, y = np.log(_SEARCH[best - 1 : best + 2]), squares[best - 1 : best + 2]
    bend = (y[0] - 2.0 * y[1] + y[2]) / (x[1] - x[0]) ** 2
    shift = 0.5 * (y[0] - y[2]) / max(y[0] - 2.0 * y[1] + y[2], 1e-300) * (x[1] - x[0])
    tau = float(np.exp(x[1] + shift))
    count = sum(f.time.size for f in falls)
    unknowns = _left(falls, tau, drift)[1]
    variance = float(y[1]) / max(count - unknowns, 1)
    return tau, tau * float(np.sqrt(2.0 * variance / max(bend, 1e-300)))


def _worth(falls: list[_Fall], still: float, moving: float) -> bool:
    """True where a drifting level leaves so much less over that its unknowns are worth it (Bayes' criterion)."""
    count = sum(f.time.size for f in falls)
    a, ka = _left(falls, still, False)
    b, kb = _left(falls, moving, True)
    floor = 1e-12 * count
    gain = count * np.log(max(a, floor) / max(b, floor))
    return bool(gain > (kb - ka) * np.log(count))


def lag_from_two_probes(first: Sampling, second: Sampling) -> tuple[LagFound, LagFound] | NoLag:
    """Time constants of two probes of different size in the same gas, both readings [K].

    y1 + tau1 y1' = y2 + tau2 y2' whatever the gas does; summed over time, so that nothing is differentiated:
    integral of (y1 - y2) = tau2 (y2 - y2(0)) - tau1 (y1 - y1(0)) + offset t. Least squares on increments over stretches
    of a few samples; the offset takes up a steady difference of the two. Two probes alike in size tell only that.
    """
    from boostwright.logs.timebase.resample import resample

    slow = first if first.period >= second.period else second
    begin, end = max(first.time[0], second.time[0]), min(first.time[-1], second.time[-1])
    time = slow.time[(slow.time >= begin) & (slow.time <= end)]
    if time.size < 40:
        return NoLag("fewer than forty readings of both probes at once.")
    a, b = resample(first, time).value, resample(second, time).value
    good = np.isfinite(a) & np.isfinite(b)
    time, a, b = time[good], a[good], b[good]
    area = np.concatenate([[0.0], np.cumsum(0.5 * np.diff(time) * ((a - b)[1:] + (a - b)[:-1]))])
    apart = max(4, int(np.ceil(_STRETCH / slow.period)))
    rows = np.arange(0, time.size - apart, apart)
    if rows.size < 12:
        return NoLag("too short a stretch of both probes at once.")
    left = area[rows + apart] - area[rows]
    design = np.stack(
        [-(a[rows + apart] - a[rows]), b[rows + apart] - b[rows], time[rows + apart] - time[rows]], axis=1
    )
    square = (
        design.T @ design
    )  # noise of the readings adds to their squares and would make every lag look short
    square[0, 0] -= 2.0 * rows.size * noise_of(a) ** 2
    square[1, 1] -= 2.0 * rows.size * noise_of(b) ** 2
    inverse = np.linalg.pinv(square)
    solved = inverse @ (design.T @ left)
    rest = left - design @ solved
    variance = float(rest @ rest) / max(rows.size - 3, 1)
    covariance = variance * inverse @ (design.T @ design) @ inverse
    errors = np.sqrt(np.diag(covariance))
    if not (solved[0] > 2.0 * errors[0] and solved[1] > 2.0 * errors[1]):
        return NoLag(
            "the two readings do not tell two lags apart: they move too little, or the probes are too much alike."
        )
    made = []
    for tau, error, other in ((solved[0], errors[0], second), (solved[1], errors[1], first)):
        low, high = max(float(tau - 2.0 * error), 0.0), float(tau + 2.0 * error)
        words = f"{tau:.2g} s ({low:.2g} to {high:.2g} s) beside {other.name} in the same gas"
        made.append(LagFound(float(tau), low, high, 0, words))
    return made[0], made[1]
