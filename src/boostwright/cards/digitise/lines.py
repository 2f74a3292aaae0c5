"""Geometry of what was clicked: smooth curves through points, where they cross, how rough they are. All in pixels."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["along", "crossings", "reaching", "roughness", "smooth_curve", "without_repeats"]

Array = NDArray[np.float64]


def without_repeats(points: Array, closed: bool = False) -> Array:
    """Points (n, 2) without neighbours in one place (nearer than a hundredth of a pixel)."""
    points = np.asarray(points, dtype=float).reshape(-1, 2)
    if len(points) < 2:
        return points
    apart = np.hypot(*np.diff(points, axis=0).T) > 0.01
    points = points[np.append(True, apart)]
    if closed and len(points) > 2 and np.hypot(*(points[0] - points[-1])) <= 0.01:
        points = points[:-1]
    return points


def along(points: Array) -> Array:
    """Length [pixels] along a polyline (n, 2) at each of its points, from 0."""
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])


def smooth_curve(points: Array, closed: bool = False, pieces: int = 12) -> tuple[Array, Array]:
    """A smooth curve through points, as a dense polyline.

    points  (n, 2) [pixels] in order, none twice in a row
    closed  whether it goes on from the last to the first
    pieces  straight pieces between two points
    Returns the polyline (m, 2) and the number (m,) of the point that each of its places follows, with its share of the
    way to the next. Cubic between points; each slope is that of the parabola through three neighbours over the length
    along the chords. Two points give a straight line.
    """
    n = len(points)
    if n < 3:
        share = np.linspace(0.0, max(n - 1, 0), pieces * max(n - 1, 0) + 1)
        return (points[0] + share[:, None] * (points[-1] - points[0]) if n == 2 else points), share
    knots = np.vstack([points[-2:], points, points[:3]]) if closed else points
    t = along(knots)
    h, d = np.diff(t), np.diff(knots, axis=0) / np.diff(t)[:, None]
    slope = np.empty_like(knots)
    slope[1:-1] = (h[1:, None] * d[:-1] + h[:-1, None] * d[1:]) / (h[:-1] + h[1:])[:, None]
    slope[0] = 2.0 * d[0] - slope[1]
    slope[-1] = 2.0 * d[-1] - slope[-2]
    first, last = (2, n + 2) if closed else (0, n - 1)
    u = np.arange(pieces) / pieces
    out, numbers = [], []
    for i in range(first, last):
        a = ((1 + 2 * u) * (1 - u) ** 2)[:, None]
        b = (u * (1 - u) ** 2)[:, None] * h[i]
        c = (u * u * (3 - 2 * u))[:, None]
        e = (u * u * (u - 1))[:, None] * h[i]
        out.append(a * knots[i] + b * slope[i] + c * knots[i + 1] + e * slope[i + 1])
        numbers.append(i - first + u)
    out.append(knots[last : last + 1])
    numbers.append(np.array([float(last - first)]))
    return np.vstack(out), np.concatenate(numbers)


def reaching(points: Array, more: float) -> Array:
    """A polyline (n, 2) that goes straight on by so many pixels at both ends; two points more."""
    length = along(points)
    inner = min(5.0, 0.5 * length[-1])
    ends = []
    for at, inside in ((0, inner), (-1, length[-1] - inner)):
        place = np.array([np.interp(inside, length, points[:, i]) for i in (0, 1)])
        way = points[at] - place
        ends.append(points[at] + more * way / max(float(np.hypot(*way)), 1e-9))
    return np.vstack([ends[0], points, ends[1]])


def crossings(first: Array, second: Array) -> Array:
    """Where two polylines cross.

    first, second  (n, 2), (m, 2) [pixels]
    Returns (k,) places on the first: number of its point and share of the way to the next, in order. A crossing at a
    point that two pieces share counts once.
    """
    if len(first) < 2 or len(second) < 2:
        return np.empty(0)
    p, r = first[:-1, None, :], np.diff(first, axis=0)[:, None, :]
    q, s = second[None, :-1, :], np.diff(second, axis=0)[None, :, :]
    cross = r[..., 0] * s[..., 1] - r[..., 1] * s[..., 0]
    gap = q - p
    with np.errstate(divide="ignore", invalid="ignore"):
        t = (gap[..., 0] * s[..., 1] - gap[..., 1] * s[..., 0]) / cross
        u = (gap[..., 0] * r[..., 1] - gap[..., 1] * r[..., 0]) / cross
    hit = (np.abs(cross) > 1e-12) & (t >= 0.0) & (t < 1.0) & (u >= 0.0) & (u < 1.0)
    piece, _ = np.nonzero(hit)
    places = np.sort(piece + t[hit])
    if places.size:
        places = places[np.append(True, np.diff(places) > 1e-6)]
    return np.asarray(places)


def roughness(points: Array, closed: bool = False) -> Array:
    """How far each point lies off the curve its neighbours make, in pixels; nan where there are too few.

    points  (n, 2) [pixels] in order
    Returns (n,): the distance across, signed, from the cubic through two neighbours on each side (at the ends the
    parabola through the next three, which tells less and is left nan). A slip of the hand shows; a smooth line does
    not, unless its points are far apart for its bend.
    """
    n = len(points)
    off = np.full(n, np.nan)
    if n < 5:
        return off
    where = range(n) if closed else range(2, n - 2)
    for i in where:
        around = points[[(i + k) % n for k in (-2, -1, 1, 2)]]
        chord = around[2] - around[1]
        length = float(np.hypot(*chord))
        if length < 1e-9:
            continue
        e = chord / length
        frame = np.array([e, [-e[1], e[0]]])
        local = (around - around[1]) @ frame.T
        own = (points[i] - around[1]) @ frame.T
        if np.any(np.diff(local[:, 0]) <= 0.0):
            continue
        weights = [
            np.prod([(own[0] - local[m, 0]) / (local[k, 0] - local[m, 0]) for m in range(4) if m != k])
            for k in range(4)
        ]
        off[i] = own[1] - float(np.dot(weights, local[:, 1]))
    return off
