"""Compression of the connecting rod: the largest over the crank, from the table of closed cycles.

Gas pressure about its peak is the polynomial of the table; inertia relieves the rod most at the top, so the largest
force stands a little after the peak of pressure. Where the charge burns late, compression at the top may load it more.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled, scratch
from boostwright.numerics.weighted_rows import weighted_rows
from boostwright.solve.kernel.cycle_table import NODE_HALF, NODE_MIDDLE, burn_peak, weigh_state

__all__ = ["fill_rod_forces", "rod_force"]

_HEADER = 16
_STEPS = 12
_WIDTH = 0.05  # of the polynomial's half span; twelve of them are some 9 deg of crank


@compiled
def _relief(angle: float, ratio: float) -> float:
    """Piston acceleration over half stroke times speed squared, at ``ratio`` of half stroke to rod length."""
    sine, cosine = np.sin(angle), np.cos(angle)
    upright = np.sqrt(1.0 - (ratio * sine) ** 2)
    return cosine + ratio * (cosine**2 - sine**2) / upright + ratio**3 * (sine * cosine) ** 2 / upright**3


@compiled
def _at(pressure: float, angle: float, rod: Any, throw: float, out: Any) -> float:
    """Force along the rod [N] with this pressure [Pa] at this angle [rad]; keeps it in ``out`` if it is the largest."""
    gas = (pressure - rod[2]) * rod[1]
    inertia = throw * _relief(angle, rod[3])
    lean = rod[3] * np.sin(angle)
    force = (gas - inertia) / np.sqrt(1.0 - lean * lean)
    if force > out[0]:
        out[0], out[1], out[2], out[3] = force, gas, inertia, angle
    return force


@compiled
def rod_force(
    row: Any,
    mass: float,
    temperature: float,
    residual: float,
    angle_half_burned: float,
    speed: float,
    rod: Any,
    out: Any,
) -> None:
    """Largest compression: ``out`` (4,) force along the rod, gas and inertia along the cylinder [N], crank angle [rad].

    row    of the table; mass [kg] to angle_half_burned [rad] as in ``cycle_outputs``; speed [rad/s] of the engine
    rod    (5,) factor from the mean cycle to the strong one [-], piston area [m2], pressure below the piston [Pa], half
           stroke over rod length [-], reciprocating mass times half stroke [kg m]
    """
    weights = scratch(80)
    v = scratch(16)
    weigh_state(row, mass, temperature, residual, angle_half_burned, weights)
    weighted_rows(row, _HEADER, 16, weights, v)
    scale = rod[0] * mass * temperature
    throw = rod[4] * speed * speed
    out[0] = -1e300
    # The top is a saddle where fire comes late: compression alone stands there.
    _at(scale * np.exp(v[15]), 0.0, rod, throw, out)
    burn, place = burn_peak(v)
    top = _at(
        scale * np.exp(burn + row[12]),
        angle_half_burned + v[6] * (NODE_MIDDLE + NODE_HALF * place),
        rod,
        throw,
        out,
    )
    if top < 0.5 * out[0]:
        return
    for k in range(1, _STEPS + 1):
        g = min(place + _WIDTH * k, 1.0)
        log = v[8] + g * (v[9] + g * (v[10] + g * (v[11] + g * (v[12] + g * (v[13] + g * v[14])))))
        angle = angle_half_burned + v[6] * (NODE_MIDDLE + NODE_HALF * g)
        force = _at(scale * np.exp(log + row[12]), angle, rod, throw, out)
        if force < top:
            return
        top = force


@compiled
def fill_rod_forces(
    rows: Any, mass: Any, temperature: Any, residual: Any, angle: Any, speed: Any, rod: Any, out: Any
) -> None:
    """Largest compression (n, 4) at n states, each with its own row of the table; ``rod`` (n, 5)."""
    for i in range(mass.size):
        rod_force(rows[i], mass[i], temperature[i], residual[i], angle[i], speed[i], rod[i], out[i])
