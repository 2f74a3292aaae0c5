"""Reading a compressor's map at logged points: surge and choke at a speed, and the speed behind a flow and a ratio."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.facts import CompressorFacts

__all__ = ["choke_flow", "speed_from_map", "surge_flow"]

Array = NDArray[np.float64]


def _inside(facts: CompressorFacts, speed: Array) -> Array:
    """Where a corrected speed (n,) [rad/s] lies on the map's lines."""
    with np.errstate(invalid="ignore"):
        return np.asarray((speed >= facts.speeds[0]) & (speed <= facts.speeds[-1]))


def surge_flow(facts: CompressorFacts, speed: Array) -> Array:
    """Corrected flow (n,) [kg/s] of the surge line at corrected speeds (n,) [rad/s]; NaN off the map."""
    found = np.interp(speed, facts.speeds, facts.flow[:, 0])
    return np.where(_inside(facts, speed), found, np.nan)


def choke_flow(facts: CompressorFacts, speed: Array) -> Array:
    """Corrected flow (n,) [kg/s] at which the compressor chokes at corrected speeds (n,) [rad/s]; NaN off the map."""
    found = np.interp(speed, facts.speeds, facts.flow[:, -1])
    return np.where(_inside(facts, speed), found, np.nan)


def speed_from_map(facts: CompressorFacts, flow: Array, ratio: Array) -> Array:
    """Corrected speed (n,) [rad/s] at which the map gives a pressure ratio at a corrected flow.

    Left of a line's surge end the ratio of that end is taken, so a point in surge reads a speed a little low; right of
    its choke end a line gives nothing. Between two lines the square of the speed is taken as a straight line in the
    ratio, as heads go. NaN off the map.
    """
    good = np.isfinite(flow) & np.isfinite(ratio)
    found = np.full(flow.shape, np.nan)
    if good.any():
        found[good] = _search(facts, flow[good], ratio[good])
    return found


def _search(facts: CompressorFacts, flow: Array, ratio: Array) -> Array:
    lines = [
        np.interp(flow, facts.flow[k], facts.pressure_ratio[k], right=0.0) for k in range(facts.speeds.size)
    ]
    given = np.maximum.accumulate(np.stack(lines), axis=0)  # (k, n), rising with speed
    above = np.sum(given < ratio, axis=0)  # lines that stay below the point
    on_map = (above > 0) & (above < facts.speeds.size)
    k = np.clip(above, 1, facts.speeds.size - 1)
    at = np.arange(flow.size)
    low, high = given[k - 1, at], given[k, at]
    low = np.maximum(low, 1.0)
    share = np.clip((ratio - low) / np.maximum(high - low, 1e-9), 0.0, 1.0)
    squares = facts.speeds**2
    speed = np.sqrt(squares[k - 1] + share * (squares[k] - squares[k - 1]))
    return np.where(on_map, speed, np.nan)
