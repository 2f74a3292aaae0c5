"""The threshold of every sample: the engine speed at which its shut-gate balance reaches its stated boost."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.kernel.layout import MODES, SOLVED
from boostwright.solve.problem import Problem
from boostwright.solve.run import solve

__all__ = ["FINE", "fine_speeds", "speeds_about", "thresholds_of"]

Array = NDArray[np.float64]

FINE = 61
"""Speeds between which the threshold is sought; the same as for the nominal one."""
_STEP = 6  # between the speeds of the first look
_NEAR = (0.55, 1.7)  # of the nominal threshold: where those of the samples are looked for first


@dataclass(frozen=True)
class _Batch:
    """What ``solve`` needs of a problem."""

    points: NDArray[np.void]
    maps: Array
    turbines: Array


def fine_speeds(speed_limit: float) -> Array:
    """Engine speeds (FINE,) [rad/s] up to the limit [rad/s]."""
    return np.linspace(0.12 * speed_limit, speed_limit, FINE)


def speeds_about(speeds: Array, threshold: float) -> Array:
    """Those of the fine speeds (FINE,) [rad/s] among which the thresholds of most samples lie, given the nominal one;
    all of them where that is nan."""
    if not np.isfinite(threshold):
        return speeds
    low, high = np.searchsorted(speeds, [_NEAR[0] * threshold, _NEAR[1] * threshold])
    first = max(int(low) - 1, 0)
    last = min(int(high), speeds.size - 1)
    last = min(first + _STEP * -(-(last - first) // _STEP), speeds.size - 1)
    return speeds[first : last + 1]


def thresholds_of(problem: Problem, speeds: Array, boost: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Thresholds (k,) [rad/s] of k samples; nan where the boost is not reached, the lowest speed where that has it.

    problem  of k samples at the speeds (m,) [rad/s], sample by sample, in any mode
    boost    (k,) [Pa gauge] stated for each
    Every sixth speed is looked at first, then those below the first that reaches the boost; a straight line between
    the two last ones, as for the nominal threshold.
    Returns the thresholds, and where they lie between the speeds: elsewhere other speeds may give another answer.
    """
    k, m = boost.size, speeds.size
    points = problem.points.reshape(k, m)
    outside = points["pressure_amb"][:, 0]
    coarse = np.unique(np.append(np.arange(0, m, _STEP), m - 1))
    reached, height = _reached(problem, points[:, coarse], outside, boost)
    found = np.full(k, np.nan)
    some = reached.any(axis=1)
    first = np.argmax(reached, axis=1)
    found[some & (first == 0)] = speeds[0]
    between_speeds = some & (first > 0)
    inner = np.flatnonzero(between_speeds)
    if inner.size == 0:
        return found, between_speeds
    left, right = coarse[first[inner] - 1], coarse[first[inner]]
    between = np.minimum(left[:, None] + np.arange(1, _STEP), right[:, None])
    own_reached, own_height = _reached(problem, points[inner[:, None], between], outside[inner], boost[inner])
    everything = np.concatenate([own_reached, np.ones((inner.size, 1), dtype=bool)], axis=1)
    ladder = np.column_stack([height[inner, first[inner] - 1], own_height, height[inner, first[inner]]])
    step = np.argmax(everything, axis=1)
    rows = np.arange(inner.size)
    a, b = ladder[rows, step], ladder[rows, step + 1]
    low, high = speeds[left + step], speeds[left + step + 1]
    with np.errstate(invalid="ignore", divide="ignore"):
        straight = low + (boost[inner] - a) / (b - a) * (high - low)
    found[inner] = np.where(np.isfinite(b), straight, high)
    return found, between_speeds


def _reached(
    problem: Problem, points: NDArray[np.void], outside: Array, boost: Array
) -> tuple[NDArray[np.bool_], Array]:
    """Where the boost is reached (k, m), and the boost there [Pa], nan where there is no balance."""
    flat = np.ascontiguousarray(points).reshape(-1)
    flat["mode"] = MODES.index("gate-shut")
    states = solve(_Batch(flat, problem.maps, problem.turbines)).reshape(points.shape)
    solved = states["outcome"] == SOLVED
    height = np.where(solved, states["pressure_im"] - outside[:, None], np.nan)
    return np.asarray(~solved | (height >= boost[:, None])), height
