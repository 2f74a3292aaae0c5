"""Compiled evaluation of the compressor surface: pressure ratio, work, surge, choke, at one speed and flow.

The table comes from ``components.compressor``, which says what is modelled and why; here it is only read. Two
transformations are undone on the way in: the flow becomes a velocity-like flow (near the flow ceiling a
little more
flow costs a lot of velocity), and that is placed between the surge end (0) and the right end (1) of its
speed line.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from boostwright.numerics.compiler import compiled
from boostwright.numerics.surfaces import BUCKETS, HEADER

__all__ = ["choke_flow", "compressor_state", "compressor_states", "line_end_flow", "surge_flow"]

Array = NDArray[np.float64]

# Order of the scalars in a row; written by components.compressor.
SURGE, WIDTH, DENSITY, CEILING, FALL, CHOKE = 0, 1, 2, 3, 4, 5
# Caller's part of the header.
ENTHALPY, TOP = 8, 9
# Left of surge: power of the fading slope, and share of the head lost down to zero flow.
FADE, STALL = 4.0, 0.04
# The velocity-like flow goes on as a straight line past this distance from the flow ceiling.
NEAR_CEILING = 0.02
# Enthalpy ratio below which the fall is bent towards its floor (0.43 ** 3.5 = 0.052 in pressure ratio).
BEND, FLOOR = 0.60, 0.43


@compiled
def _row(table: Array, q: float) -> int:
    start = int(table[5])
    last = int(table[0]) - 2
    bucket = int(q * table[4])
    if bucket > BUCKETS:
        bucket = BUCKETS
    i = int(table[HEADER + bucket])
    while i < last and table[start + i + 1] <= q:
        i += 1
    return i


@compiled
def _scalar(
    table: Array, at: int, step: int, which: int, h: float, w0: float, g0: float, w1: float, g1: float
) -> float:
    j = at + 2 * which
    k = j + step
    value: float = w0 * table[j] + w1 * table[k] + h * (g0 * table[j + 1] + g1 * table[k + 1])
    return value


@compiled
def _velocity_flow(flow: float, ceiling: float) -> float:
    room = 1.0 - flow / ceiling
    edge = NEAR_CEILING * NEAR_CEILING
    if room >= edge:
        return 2.0 * ceiling * (1.0 - math.sqrt(room))
    return 2.0 * ceiling * (1.0 - NEAR_CEILING) + (edge - room) * ceiling / NEAR_CEILING


@compiled
def _flow_of_velocity(velocity: float, ceiling: float) -> float:
    if velocity >= 2.0 * ceiling:
        return ceiling
    return velocity * (1.0 - 0.25 * velocity / ceiling)


@compiled
def _bent(ratio: float) -> float:
    if ratio >= BEND:
        return ratio
    return FLOOR + (BEND - FLOOR) * math.exp((ratio - BEND) / (BEND - FLOOR))


@compiled
def compressor_state(table: Array, speed: float, flow: float) -> tuple[float, float]:
    """Total pressure ratio [-] and specific work [J/kg at 288.15 K inlet] at one operating point.

    table  from ``components.compressor.compressor_surface``
    speed  [rad/s] corrected to 288.15 K, >= 0
    flow   [kg/s] corrected to 288.15 K and 101 325 Pa, >= 0
    Finite for every finite argument in those ranges; actual work = specific work x inlet temperature /
    288.15 K.
    Source: own surface (docs/explain/compressor.md).
    """
    q = speed * speed
    qs = q if q < table[TOP] else table[TOP]
    i = _row(table, qs)
    n = int(table[1])
    k = int(table[2])
    step = int(table[7])
    at = int(table[6]) + i * step
    p = int(table[5]) + i
    h = table[p + 1] - table[p]
    t = (qs - table[p]) / h
    u = 1.0 - t
    w0 = (1.0 + 2.0 * t) * u * u
    g0 = t * u * u
    w1 = t * t * (3.0 - 2.0 * t)
    g1 = -t * t * u
    surge = _scalar(table, at, step, SURGE, h, w0, g0, w1, g1)
    width = _scalar(table, at, step, WIDTH, h, w0, g0, w1, g1)
    density = _scalar(table, at, step, DENSITY, h, w0, g0, w1, g1)
    ceiling = _scalar(table, at, step, CEILING, h, w0, g0, w1, g1)
    x = _velocity_flow(flow, ceiling) / density  # flow coefficient times speed
    z = (x - surge * speed) / width  # coordinate times speed
    gh0 = g0 * h
    gh1 = g1 * h
    if z >= speed:
        a = at + 2 * k + 8 * (n - 1)
        b = a + step
        fall = _scalar(table, at, step, FALL, h, w0, g0, w1, g1)
        psi = w0 * table[a] + w1 * table[b] + gh0 * table[a + 2] + gh1 * table[b + 2]
        psi_z = w0 * table[a + 1] + w1 * table[b + 1] + gh0 * table[a + 3] + gh1 * table[b + 3]
        mu = w0 * table[a + 4] + w1 * table[b + 4] + gh0 * table[a + 6] + gh1 * table[b + 6]
        mu_z = w0 * table[a + 5] + w1 * table[b + 5] + gh0 * table[a + 7] + gh1 * table[b + 7]
        over = z - speed
        head = q * psi + over * (speed * psi_z - fall * over)
        work = q * mu + over * speed * mu_z
    elif z >= 0.0:
        c = z / speed * (n - 1)
        j = int(c)
        if j > n - 2:
            j = n - 2
        c -= j
        d = 1.0 - c
        dz = 1.0 / (n - 1)
        v0 = (1.0 + 2.0 * c) * d * d
        s0 = c * d * d * dz
        v1 = c * c * (3.0 - 2.0 * c)
        s1 = -c * c * d * dz
        a = at + 2 * k + 8 * j
        b = a + step
        psi = w0 * (v0 * table[a] + s0 * table[a + 1] + v1 * table[a + 8] + s1 * table[a + 9])
        psi += w1 * (v0 * table[b] + s0 * table[b + 1] + v1 * table[b + 8] + s1 * table[b + 9])
        psi += gh0 * (v0 * table[a + 2] + s0 * table[a + 3] + v1 * table[a + 10] + s1 * table[a + 11])
        psi += gh1 * (v0 * table[b + 2] + s0 * table[b + 3] + v1 * table[b + 10] + s1 * table[b + 11])
        mu = w0 * (v0 * table[a + 4] + s0 * table[a + 5] + v1 * table[a + 12] + s1 * table[a + 13])
        mu += w1 * (v0 * table[b + 4] + s0 * table[b + 5] + v1 * table[b + 12] + s1 * table[b + 13])
        mu += gh0 * (v0 * table[a + 6] + s0 * table[a + 7] + v1 * table[a + 14] + s1 * table[a + 15])
        mu += gh1 * (v0 * table[b + 6] + s0 * table[b + 7] + v1 * table[b + 14] + s1 * table[b + 15])
        head = q * psi
        work = q * mu
    else:
        a = at + 2 * k
        b = a + step
        psi = w0 * table[a] + w1 * table[b] + gh0 * table[a + 2] + gh1 * table[b + 2]
        psi_z = w0 * table[a + 1] + w1 * table[b + 1] + gh0 * table[a + 3] + gh1 * table[b + 3]
        mu = w0 * table[a + 4] + w1 * table[b + 4] + gh0 * table[a + 6] + gh1 * table[b + 6]
        mu_z = w0 * table[a + 5] + w1 * table[b + 5] + gh0 * table[a + 7] + gh1 * table[b + 7]
        f = x / (surge * speed)
        f2 = f * f
        fade = (1.0 - f2 * f2) * surge / (FADE * width)
        head = q * (psi * (1.0 - STALL * (1.0 - f) * (1.0 - f)) - psi_z * fade)
        work = q * (mu - mu_z * fade)
    cpt = table[ENTHALPY]
    ratio = _bent(1.0 + head / cpt)
    work_ratio = _bent(1.0 + work / cpt)
    return ratio * ratio * ratio * math.sqrt(ratio), (work_ratio - 1.0) * cpt


@compiled
def _flow_at(table: Array, speed: float, which: int, share: float) -> float:
    q = speed * speed
    qs = q if q < table[TOP] else table[TOP]
    i = _row(table, qs)
    step = int(table[7])
    at = int(table[6]) + i * step
    p = int(table[5]) + i
    h = table[p + 1] - table[p]
    t = (qs - table[p]) / h
    u = 1.0 - t
    w0 = (1.0 + 2.0 * t) * u * u
    g0 = t * u * u
    w1 = t * t * (3.0 - 2.0 * t)
    g1 = -t * t * u
    surge = _scalar(table, at, step, SURGE, h, w0, g0, w1, g1)
    width = _scalar(table, at, step, WIDTH, h, w0, g0, w1, g1)
    density = _scalar(table, at, step, DENSITY, h, w0, g0, w1, g1)
    ceiling = _scalar(table, at, step, CEILING, h, w0, g0, w1, g1)
    if which >= 0:
        share = _scalar(table, at, step, which, h, w0, g0, w1, g1)
    return _flow_of_velocity((surge + share * width) * speed * density, ceiling)


@compiled
def surge_flow(table: Array, speed: float) -> float:
    """Flow [kg/s corrected] of the surge line (left ends of the speed lines) at a corrected speed [rad/s].

    Source: own surface (docs/explain/compressor.md).
    """
    return _flow_at(table, speed, -1, 0.0)


@compiled
def line_end_flow(table: Array, speed: float) -> float:
    """Flow [kg/s corrected] at the right end of what was measured, at a corrected speed [rad/s].

    Source: own surface (docs/explain/compressor.md).
    """
    return _flow_at(table, speed, -1, 1.0)


@compiled
def choke_flow(table: Array, speed: float) -> float:
    """Flow [kg/s corrected] at which the line chokes at a corrected speed [rad/s]; see the explanation page.

    Source: own surface (docs/explain/compressor.md).
    """
    return _flow_at(table, speed, CHOKE, 0.0)


@compiled
def compressor_states(table: Array, speed: Array, flow: Array) -> tuple[Array, Array]:
    """Pressure ratio and specific work for arrays (n,) of corrected speed and flow; see compressor_state.

    Source: own surface (docs/explain/compressor.md).
    """
    ratio = np.empty(speed.size)
    work = np.empty(speed.size)
    for i in range(speed.size):
        ratio[i], work[i] = compressor_state(table, speed[i], flow[i])
    return ratio, work
