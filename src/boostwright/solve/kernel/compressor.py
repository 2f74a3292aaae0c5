"""Compiled evaluation of the compressor surface: pressure ratio, work, surge, choke, at one speed and flow.

The table comes from ``components.compressor``, which says what is modelled and why; here it is only read. Two
transformations are undone on the way in: the flow becomes a velocity-like flow (near the flow ceiling a little more
flow costs a lot of velocity), and that is placed between the surge end (0) and the right end (1) of its line.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from boostwright.numerics.compiler import compiled
from boostwright.numerics.surfaces import BUCKETS, HEADER

__all__ = ["choke_flow", "compressor_state", "compressor_states", "line_end_flow", "peak_flow", "surge_flow"]

Array = NDArray[np.float64]

# Order of the scalars in a row; written by components.compressor. The last pair is the gap to the next row,
# inverted and as it is.
SURGE, WIDTH, DENSITY, CEILING, FALL, CHOKE, GAP = 0, 1, 2, 3, 4, 5, 6
# Caller's part of the header.
ENTHALPY, TOP, STEP = 8, 9, 10
# Left of surge: power of the fading slope, and share of the head lost down to zero flow.
FADE, STALL = 4.0, 0.04
# The velocity-like flow goes on as a straight line past this distance from the flow ceiling.
NEAR_CEILING = 0.012
# Enthalpy ratio below which the fall is bent towards its floor (0.43 ** 3.5 = 0.052 in pressure ratio).
BEND, FLOOR = 0.60, 0.43


@compiled
def _place(table: Array, speed: float) -> tuple[int, float, float, float, float]:
    """Where the row below a speed begins, and the Hermite weights of value and slope of it and the next."""
    q = speed * speed
    if q > table[TOP]:
        q = table[TOP]
    start = int(table[5])
    last = int(table[0]) - 2
    bucket = int(q * table[4])
    if bucket > BUCKETS:
        bucket = BUCKETS
    i = int(table[HEADER + bucket])
    while i < last and table[start + i + 1] <= q:
        i += 1
    at = int(table[6]) + i * int(table[7])
    h = table[at + 2 * GAP + 1]
    t = (q - table[start + i]) * table[at + 2 * GAP]
    u = 1.0 - t
    return at, (1.0 + 2.0 * t) * u * u, t * u * u * h, t * t * (3.0 - 2.0 * t), -t * t * u * h


@compiled
def _scalar(table: Array, at: int, which: int, w0: float, g0: float, w1: float, g1: float) -> float:
    j = at + 2 * which
    k = j + int(table[7])
    value: float = w0 * table[j] + g0 * table[j + 1] + w1 * table[k] + g1 * table[k + 1]
    return value


@compiled
def _sample(
    table: Array, at: int, j: int, w0: float, g0: float, w1: float, g1: float
) -> tuple[float, float, float, float]:
    """Head, its slope, work, its slope at sample ``j`` of the coordinate."""
    a = at + 2 * int(table[2]) + 8 * j
    b = a + int(table[7])
    return (
        w0 * table[a] + g0 * table[a + 2] + w1 * table[b] + g1 * table[b + 2],
        w0 * table[a + 1] + g0 * table[a + 3] + w1 * table[b + 1] + g1 * table[b + 3],
        w0 * table[a + 4] + g0 * table[a + 6] + w1 * table[b + 4] + g1 * table[b + 6],
        w0 * table[a + 5] + g0 * table[a + 7] + w1 * table[b + 5] + g1 * table[b + 7],
    )


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
def _loss(loss: float, change: float) -> float:
    """Loss after a change that extrapolates it; bent so that it falls but never reaches zero."""
    if change >= 0.0 or loss <= 0.0:
        return loss + max(change, 0.0)
    return loss * loss / (loss - change)


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
    at, w0, g0, w1, g1 = _place(table, speed)
    n = int(table[1])
    surge = _scalar(table, at, SURGE, w0, g0, w1, g1)
    width = _scalar(table, at, WIDTH, w0, g0, w1, g1)
    density = _scalar(table, at, DENSITY, w0, g0, w1, g1)
    ceiling = _scalar(table, at, CEILING, w0, g0, w1, g1)
    # The divisions stand apart from each other so that they can be done at once.
    per_width = 1.0 / (density * width)
    surge_width = surge / width
    steps_speed = (n - 1) / speed
    velocity = _velocity_flow(flow, ceiling)
    z = velocity * per_width - surge_width * speed  # coordinate times speed: finite at speed 0
    q = speed * speed
    if z >= speed:  # right of the line's end: head falls as a parabola, work goes on nearly straight
        psi, psi_z, mu, mu_z = _sample(table, at, n - 1, w0, g0, w1, g1)
        fall = _scalar(table, at, FALL, w0, g0, w1, g1)
        over = z - speed
        head = q * psi + over * (speed * psi_z - fall * over)
        work = head + _loss(q * (mu - psi), over * speed * (mu_z - psi_z)) + fall * over * over
    elif z >= 0.0:
        c = z * steps_speed
        j = int(c)
        if j > n - 2:
            j = n - 2
        c -= j
        d = 1.0 - c
        v0 = (1.0 + 2.0 * c) * d * d
        s0 = c * d * d * table[STEP]
        v1 = c * c * (3.0 - 2.0 * c)
        s1 = -c * c * d * table[STEP]
        psi, psi_z, mu, mu_z = _sample(table, at, j, w0, g0, w1, g1)
        psi_1, psi_z1, mu_1, mu_z1 = _sample(table, at, j + 1, w0, g0, w1, g1)
        head = q * (v0 * psi + s0 * psi_z + v1 * psi_1 + s1 * psi_z1)
        work = q * (v0 * mu + s0 * mu_z + v1 * mu_1 + s1 * mu_z1)
    else:  # left of surge: the slope fades, head sags a little
        psi, psi_z, mu, mu_z = _sample(table, at, 0, w0, g0, w1, g1)
        f = velocity / (density * surge * speed)
        fade = (1.0 - f * f * f * f) * surge_width / FADE
        sag = psi * STALL * (1.0 - f) * (1.0 - f)
        head = q * (psi - sag - psi_z * fade)
        work = head + q * (sag + _loss(mu - psi, (psi_z - mu_z) * fade))
    cpt = table[ENTHALPY]
    ratio = _bent(1.0 + head / cpt)
    work_ratio = _bent(1.0 + work / cpt)
    return ratio * ratio * ratio * math.sqrt(ratio), (work_ratio - 1.0) * cpt


@compiled
def _flow_at(table: Array, speed: float, which: int, share: float) -> float:
    """Flow at a share of the way from surge to the right end, or at the one that scalar ``which`` holds."""
    at, w0, g0, w1, g1 = _place(table, speed)
    surge = _scalar(table, at, SURGE, w0, g0, w1, g1)
    width = _scalar(table, at, WIDTH, w0, g0, w1, g1)
    density = _scalar(table, at, DENSITY, w0, g0, w1, g1)
    ceiling = _scalar(table, at, CEILING, w0, g0, w1, g1)
    if which >= 0:
        share = _scalar(table, at, which, w0, g0, w1, g1)
    return _flow_of_velocity((surge + share * width) * speed * density, ceiling)


@compiled
def surge_flow(table: Array, speed: float) -> float:
    """Flow [kg/s corrected] of the surge line (left ends of the speed lines) at a corrected speed [rad/s].

    Source: own surface (docs/explain/compressor.md).
    """
    return _flow_at(table, speed, -1, 0.0)


@compiled
def peak_flow(table: Array, speed: float) -> float:
    """Flow [kg/s corrected] right of which the pressure ratio falls strictly, at a corrected speed [rad/s].

    The surge flow unless the measured line itself rises with flow at its left end; then the right end of the last
    step of the surface on which it still rises, so it moves in steps with speed.
    Source: own surface (docs/explain/compressor.md).
    """
    at, w0, g0, w1, g1 = _place(table, speed)
    j = int(table[1]) - 1
    right = _sample(table, at, j, w0, g0, w1, g1)
    while j > 0:
        left = _sample(table, at, j - 1, w0, g0, w1, g1)
        # Slopes within three times the chord: the cubic cannot turn between the samples.
        steepest = 3.0 * (right[0] - left[0]) / table[STEP]
        if left[0] <= right[0] or left[1] > 0.0 or min(left[1], right[1]) < steepest:
            break
        right = left
        j -= 1
    return _flow_at(table, speed, -1, j * table[STEP])


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
