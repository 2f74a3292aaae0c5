"""How late a lambda reading is: the way from the port, which shortens as flow grows, and the probe's own lag."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.timebase.sampling import Sampling

__all__ = ["DelayFound", "GasWay", "LambdaInTime", "NoDelay", "delay_from_log", "lambda_in_time"]

Array = NDArray[np.float64]

THREE_STROKES = 3.0 * np.pi
"""Crank angle [rad] from the middle of an intake stroke to that of the exhaust stroke it leads to (four strokes)."""
LONGEST = 3.0
"""Delay [s] beyond which gas stands rather than flows, and a reading belongs to no moment."""
SLOWEST = 40.0
"""Engine speed [rad/s] below which it does not run."""
_FEWEST = 60
_LAGS = (0.0, 0.02, 0.04, 0.06, 0.09, 0.13, 0.19, 0.28, 0.4, 0.6)  # s
_MOST_UNEXPLAINED = 0.7


@dataclass(frozen=True)
class GasWay:
    """What lies between cylinder and reading.

    volume  [m3]  gas from port to probe; volume_low, volume_high within which it is thought to lie
    sensor_lag [s] of the probe and what reads it, 0.06 for a wideband probe in good order (from memory)
    how     where these are from, in words
    crank_angle [rad] from what sets the mixture until it leaves by the port
    """

    volume: float
    volume_low: float
    volume_high: float
    sensor_lag: float
    how: str
    crank_angle: float = THREE_STROKES


@dataclass(frozen=True, eq=False)
class LambdaInTime:
    """A reading put back to when its mixture was drawn in.

    time   (m,) [s]  when; rising; value (m,) as read; NaN where gas takes longer than 3 s, so that it mixes
    delay  (m,) [s]  how late each reading was; delay_low, delay_high with the volume at the ends of its band
    words  what was done
    """

    time: Array
    value: Array
    delay: Array
    delay_low: Array
    delay_high: Array
    words: str


def lambda_in_time(
    reading: Sampling, way: GasWay, flow_time: Array, volume_flow: Array, engine_speed: Array
) -> LambdaInTime:
    """Readings at the times their mixture was drawn in.

    reading       of lambda
    flow_time     (n,) [s]  rising; volume_flow (n,) [m3/s] of hot gas between port and probe; engine_speed (n,) [rad/s]
    Gas that is at the probe now left the port when the flow summed since then equals the volume between (plug flow); so
    a falling flow cannot make gas overtake gas. The probe's own lag shifts by itself again: it delays by so much what
    changes slowly, and what changes fast it also rounds, which is left as it is. Values are not touched.
    Source: balance of volume; own method.
    """
    delays = [
        _delays(reading.time, v, way, flow_time, volume_flow, engine_speed)
        for v in (way.volume, way.volume_low, way.volume_high)
    ]
    off = np.interp(reading.time, flow_time, engine_speed) < SLOWEST
    standing = (delays[0] > LONGEST) | off
    time = np.maximum.accumulate(reading.time - np.minimum(delays[0], LONGEST))
    value = np.where(standing, np.nan, reading.value)
    ends = delays[0][~standing]
    still = float(np.mean(standing)) if standing.size else 0.0
    words = (
        f"{reading.name}: each reading put back by {ends.min():.2f} to {ends.max():.2f} s, by flow: "
        f"{way.volume * 1e3:.2g} l to the probe ({way.volume_low * 1e3:.2g} to {way.volume_high * 1e3:.2g}), "
        f"{way.sensor_lag:.2g} s of the probe and three strokes of the engine ({way.how})."
        if ends.size
        else f"{reading.name} has no reading of gas that moves."
    )
    if still > 0.0 and ends.size:
        words += f" In {still:.0%} of the time gas stands or creeps, as with the engine off; nothing is given there."
    return LambdaInTime(time, value, delays[0], delays[1], delays[2], words)


def _delays(at: Array, volume: float, way: GasWay, time: Array, flow: Array, speed: Array) -> Array:
    """How late readings are (m,) [s]."""
    left = _departure(at - way.sensor_lag, volume, time, flow)
    turned = way.crank_angle / np.maximum(np.interp(left, time, speed), SLOWEST)
    return at - left + turned


def _departure(arrival: Array, volume: float, time: Array, flow: Array) -> Array:
    """When gas that arrives at a time left the port; before and after the record the flow at its ends goes on."""
    if not arrival.size:
        return arrival
    flow = np.maximum(flow, 1e-5)
    total = np.concatenate([[0.0], np.cumsum(0.5 * np.diff(time) * (flow[1:] + flow[:-1]))])
    inside = np.interp(arrival, time, total)
    inside = np.where(arrival < time[0], (arrival - time[0]) * flow[0], inside)
    inside = np.where(arrival > time[-1], total[-1] + (arrival - time[-1]) * flow[-1], inside)
    wanted = inside - volume
    made: Array = np.where(wanted < 0.0, time[0] + wanted / flow[0], np.interp(wanted, total, time))
    return made


@dataclass(frozen=True)
class DelayFound:
    """Way and lag found in a log.

    volume [m3], volume_error; sensor_lag [s], lag_error: standard errors
    delay [s] of both together at the mean flow, delay_error [s]: better known than its parts where flow varies little
    unexplained [-] share of the reading's variance; words
    """

    volume: float
    volume_error: float
    sensor_lag: float
    lag_error: float
    delay: float
    delay_error: float
    unexplained: float
    words: str


@dataclass(frozen=True)
class NoDelay:
    """Why no delay was found, in words."""

    words: str


def delay_from_log(
    cause: Sampling, reading: Sampling, flow_time: Array, volume_flow: Array, engine_speed: Array
) -> DelayFound | NoDelay:
    """Volume to the probe and lag of the probe, from steps of the mixture.

    cause    what moves the mixture: lambda asked for, injector time, or 0 and 1 for fuel cut; any scale and sign
    reading  of lambda; flow as for ``lambda_in_time``
    For each pair the cause is delayed and lagged so, and the reading fitted with it, level and scale free. The errors
    allow for residuals that hang together. Refused where the cause explains too little or the best lies at an end.
    """
    t, y = reading.time, reading.value
    keep = (t > flow_time[0] + 1.0) & (t < flow_time[-1]) & (t > cause.time[0] + 1.0) & (t < cause.time[-1])
    t, y = t[keep], y[keep]
    if t.size < _FEWEST or np.std(y) == 0.0 or np.std(cause.value) == 0.0:
        return NoDelay("too little happens to the mixture to show a delay.")
    mean_flow = float(np.mean(volume_flow))
    volumes = (
        np.concatenate([[0.0], np.geomspace(0.004, 3.0, 40)]) * mean_flow
    )  # m3: 4 ms to 3 s at the mean flow
    step = min(reading.period, cause.period) / 2.0
    grid = np.arange(t[0] - 1.0, t[-1] + step, step)
    trial = _Trial(t, y, grid, cause, flow_time, volume_flow, engine_speed)
    table = np.array([[trial.left(v, lag) for lag in _LAGS] for v in volumes])
    i, k = np.unravel_index(int(np.argmin(table)), table.shape)
    if table[i, k] > _MOST_UNEXPLAINED:
        return NoDelay(
            f"what was asked for explains only {1 - table[i, k]:.0%} of how lambda moves: no delay can be read."
        )
    if i == volumes.size - 1:
        return NoDelay("the best delay is longer than any that gas takes: something else moves lambda.")
    return _polished(trial, float(volumes[i]), _LAGS[k], mean_flow)


class _Trial:
    def __init__(
        self, t: Array, y: Array, grid: Array, cause: Sampling, time: Array, flow: Array, speed: Array
    ) -> None:
        self.t, self.y, self._grid, self._cause = t, y, grid, cause
        self._flow = (time, flow, speed)
        moves = np.abs(np.diff(cause.value))
        self.steps = max(int(np.count_nonzero(moves > 0.2 * np.std(cause.value))), 1)
        self.blur = cause.period / np.sqrt(12.0)

    def fitted(self, volume: float, lag: float) -> Array:
        """What is left of the reading, over its standard deviation (n,)."""
        way = GasWay(max(volume, 0.0), 0.0, 0.0, 0.0, "")
        late = _delays(self._grid, way.volume, way, *self._flow)
        at = self._grid - late
        x = np.interp(at, self._cause.time, self._cause.value)  # a step lies anywhere between its two samples
        if lag > 1e-3:
            x = self._lagged(x, lag)
        seen = np.interp(self.t, self._grid, x)
        design = np.stack([np.ones(seen.size), seen], axis=1)
        solved, *_ = np.linalg.lstsq(design, self.y, rcond=None)
        return np.asarray((self.y - design @ solved) / np.std(self.y))

    def _lagged(self, x: Array, lag: float) -> Array:
        """First order on the even grid, exact for straight lines."""
        from scipy.signal import lfilter

        step = float(self._grid[1] - self._grid[0]) / lag
        a = np.exp(-step)
        mean = (1.0 - a) / step
        made, _ = lfilter([1.0 - mean, mean - a], [1.0, -a], x, zi=[x[0] * mean])
        return np.asarray(made)

    def left(self, volume: float, lag: float) -> float:
        """Share of the variance that is left."""
        return float(np.mean(self.fitted(volume, lag) ** 2))


def _polished(trial: _Trial, volume: float, lag: float, flow: float) -> DelayFound | NoDelay:
    """Least squares from the best pair of the table, and standard errors."""
    from scipy.optimize import minimize

    unit = flow * 0.1  # volume that takes a tenth of a second
    found = minimize(
        lambda p: trial.left(abs(p[0]) * unit, abs(p[1]) * 0.1),
        [volume / unit, lag / 0.1],
        method="Nelder-Mead",
        options={"xatol": 1e-3, "fatol": 1e-7, "initial_simplex": _simplex(volume / unit, lag / 0.1)},
    )
    best = np.abs(found.x)
    rest = trial.fitted(best[0] * unit, best[1] * 0.1)
    step = 0.1
    columns = [
        (
            trial.fitted((best[0] + step) * unit, best[1] * 0.1)
            - trial.fitted(max(best[0] - step, 0) * unit, best[1] * 0.1)
        )
        / (step + min(step, best[0])),
        (
            trial.fitted(best[0] * unit, (best[1] + step) * 0.1)
            - trial.fitted(best[0] * unit, max(best[1] - step, 0) * 0.1)
        )
        / (step + min(step, best[1])),
    ]
    jacobian = np.stack(columns, axis=1)
    rho = np.correlate(rest, rest, mode="full")[rest.size - 1 :]
    rho = rho / max(rho[0], 1e-300)
    first = int(np.argmax(rho < 0.05)) if (rho < 0.05).any() else rho.size - 1
    together = 1.0 + 2.0 * float(np.sum(rho[1 : first + 1]))
    covariance = np.linalg.pinv(jacobian.T @ jacobian) * float(np.mean(rest**2)) * max(together, 1.0)
    # the time of each step of the cause is known to a sample of it, and that of the reading to one of its own
    blur = (trial.blur / 0.1) ** 2 / trial.steps
    covariance = covariance + blur * np.array([[2.0, -1.0], [-1.0, 2.0]])
    both = float(np.ones(2) @ covariance @ np.ones(2))
    volume, lag = float(best[0] * unit), float(best[1] * 0.1)
    error_v, error_l = unit * float(np.sqrt(covariance[0, 0])), 0.1 * float(np.sqrt(covariance[1, 1]))
    delay = volume / flow + lag
    words = (
        f"lambda follows after {delay:.2f} +- {0.2 * np.sqrt(both):.2g} s at the mean flow: {volume * 1e3:.2g} +- "
        f"{2e3 * error_v:.2g} l of gas to the probe and {lag:.2g} +- {2 * error_l:.2g} s of lag"
    )
    return DelayFound(
        volume, error_v, lag, error_l, delay, 0.1 * float(np.sqrt(both)), float(np.mean(rest**2)), words
    )


def _simplex(a: float, b: float) -> Array:
    return np.array([[a, b], [a + 0.5, b], [a, b + 0.3]])
