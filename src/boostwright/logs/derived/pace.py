"""How far the car goes in each gear while the engine turns by one radian, whatever the road speed lags.

In a gear that ratio stands still. Read row by row it does not: road speed is filtered, is asked later than engine
speed, or comes in whole km/h, and in a pull it is late by some per cent, which a torque from acceleration would have
twice.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.samples import Sampled, Samples
from boostwright.logs.gear import GearFacts, find_gears

__all__ = ["GearPace", "paces"]

Array = NDArray[np.float64]

_NEAR = 0.10  # of the ratio: what lag moves it by in a gear; gears lie 0.2 and more apart
_LAG = (0.1, 0.2)  # s a road speed is late, and how far that goes, one standard deviation: own estimate
_FEWEST = 8
_CLIP = 3.0
_TOGETHER = 4.0  # samples that are off together: neighbours share what is not lag


@dataclass(frozen=True)
class GearPace:
    """A gear: pace [m/rad] of road speed over engine speed, its standard error [m/rad], and the lag [s] found."""

    pace: float
    error: float
    lag: float


def paces(samples: Samples, name: str) -> tuple[GearPace, ...]:
    """The gears of a log by one of its road speeds, () where it shows none.

    Least squares of v/n = k (1 - lag n'/n) over all that was driven in a gear, with what is usual of the lag beside the
    data: a speed that follows with a lag shows v - lag v', and v' = k n'. Source: first-order lag of a ramp.
    """
    road, engine = samples.find(name), samples.find("engine_speed")
    if road is None or engine is None or road.time.size < _FEWEST or engine.time.size < _FEWEST:
        return ()
    turning, rate = _engine_at(engine, road.time)
    gears = find_gears(road.time, turning, road.value, name, road.period, GearFacts()).gears
    found = (_fitted(road, turning, rate, 1.0 / gear.ratio) for gear in gears)
    return tuple(one for one in found if one is not None)


def _engine_at(engine: Sampled, time: Array) -> tuple[Array, Array]:
    """Engine speed and its rate of change at instants."""
    slope, _ = engine.slopes(0.3)
    known = np.isfinite(slope)
    if not known.any():
        return engine.at(time), np.full(time.shape, np.nan)
    return engine.at(time), np.interp(time, engine.time[known], slope[known], left=np.nan, right=np.nan)


def _fitted(road: Sampled, turning: Array, rate: Array, pace: float) -> GearPace | None:
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio, change = road.value / turning, rate / turning
        rows = np.isfinite(change) & (np.abs(np.log(ratio / pace)) < _NEAR)
    step = road.noise / np.maximum(turning, 1.0)
    k, lag, error = pace, _LAG[0], np.inf
    for _ in range(3):
        if rows.sum() < _FEWEST:
            return None
        y, x = ratio[rows], change[rows]
        scatter = max(
            1.4826 * float(np.median(np.abs(y - k * (1.0 - lag * x)))), float(np.median(step[rows]))
        )
        scatter = max(scatter, 1e-5 * pace)
        # unknowns k and k lag; the usual lag is one more equation, at the pace of the gear
        left = np.vstack([np.column_stack([np.ones_like(x), -x]) / scatter, [0.0, 1.0 / (_LAG[1] * pace)]])
        right = np.append(y / scatter, _LAG[0] / _LAG[1])
        normal = np.linalg.inv(left.T @ left)
        k, slow = (float(one) for one in normal @ (left.T @ right))
        lag = slow / k
        error = float(np.sqrt(normal[0, 0] * _TOGETHER))
        with np.errstate(invalid="ignore"):
            rows &= np.abs(ratio - k * (1.0 - lag * change)) < max(_CLIP * scatter, 0.02 * pace)
    return GearPace(k, error, lag)
