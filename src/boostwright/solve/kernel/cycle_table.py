"""The table of closed cycles as the solver reads it: one row for an engine speed and lambda, four variables.

Beyond the box the variables are bent back smoothly, so that a solver on its way through sees no step and no wild
polynomial; ``outside_table`` says so, and the answer there is no prediction.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled, scratch
from boostwright.numerics.weighted_rows import chebyshev_weights, weighted_rows

__all__ = [
    "NODE_HALF",
    "NODE_MIDDLE",
    "RESIDUAL_POWER",
    "bent",
    "burn_peak",
    "cycle_outputs",
    "fill_outputs",
    "fill_phasings",
    "knock_limited_phasing",
    "outside_table",
    "weigh_state",
]

_HEADER = 16
_TERMS = 80
_KNOCK = 5  # column of a row, in the order of components.cycle_table.COLUMNS
_SOFT = 0.05  # how far beyond the box a bent variable can go, in half widths
RESIDUAL_POWER = 0.77
_BLEND = 0.01  # logarithm of pressure within which burn peak and compression peak are blended
NODE_MIDDLE, NODE_HALF = (
    -0.02,
    0.36,
)  # burn durations after half burned: middle and half of the polynomial's span


@compiled
def bent(x: float) -> float:
    """x inside [-1, 1]; beyond, it turns with the same slope and comes to rest 0.05 outside."""
    if x > 1.0:
        return 1.0 + _SOFT * (1.0 - np.exp((1.0 - x) / _SOFT))
    if x < -1.0:
        return -1.0 - _SOFT * (1.0 - np.exp((1.0 + x) / _SOFT))
    return x


@compiled
def _places(
    row: Any, mass: float, temperature: float, residual: float, angle: float
) -> tuple[float, float, float, float]:
    """Stretched variables, -1 to 1 inside the box."""
    return (
        (np.log(mass) - row[8] - row[0]) * row[1],
        (np.log(temperature) - row[2]) * row[3],
        (max(residual, 0.0) ** RESIDUAL_POWER - row[4]) * row[5],
        (angle - row[6]) * row[7],
    )


@compiled
def outside_table(row: Any, mass: float, temperature: float, residual: float, angle: float) -> int:
    """0 inside the box; else the sum of 1 (mass), 2 (temperature), 4 (residual fraction), 8 (phasing)."""
    a, b, c, d = _places(row, mass, temperature, residual, angle)
    edge = 1.0 + 1e-9
    return (abs(a) > edge) + 2 * (abs(b) > edge) + 4 * (abs(c) > edge) + 8 * (abs(d) > edge)


@compiled
def weigh_state(
    row: Any, mass: float, temperature: float, residual: float, angle: float, weights: Any
) -> None:
    """Weights (80,) of a row's coefficients at a state."""
    a, b, c, d = _places(row, mass, temperature, residual, angle)
    chebyshev_weights(bent(a), bent(b), bent(c), bent(d), weights)


@compiled
def burn_peak(v: Any) -> tuple[float, float]:
    """Top of the polynomial v[8..14] on [-1, 1], sought from v[7]: its logarithm of pressure and its place."""
    g = min(max(v[7], -1.0), 1.0)
    for _ in range(3):
        first = v[9] + g * (
            2.0 * v[10] + g * (3.0 * v[11] + g * (4.0 * v[12] + g * (5.0 * v[13] + g * 6.0 * v[14])))
        )
        second = 2.0 * v[10] + g * (6.0 * v[11] + g * (12.0 * v[12] + g * (20.0 * v[13] + g * 30.0 * v[14])))
        step = -first / second if second < 0.0 else 0.3 * np.sign(first)
        g = min(max(g + min(max(step, -0.3), 0.3), -1.0), 1.0)
    top = v[8] + g * (v[9] + g * (v[10] + g * (v[11] + g * (v[12] + g * (v[13] + g * v[14])))))
    return top, g


@compiled
def _dissociate(row: Any, mass: float, out: Any) -> None:
    """Work that dissociation costs is taken off the first output and left in the gas, third and fourth."""
    hotter = (1.0 - row[11]) * out[0] / (mass * row[13])
    out[0] *= row[11]
    out[3] *= 1.0 + hotter / out[2]
    out[2] += hotter


@compiled
def cycle_outputs(
    row: Any, mass: float, temperature: float, residual: float, angle_half_burned: float, out: Any
) -> None:
    """Outputs of a closed cycle (10,) in the order of CYCLE_OUTPUTS, from one row of the table.

    mass [kg] in one cylinder and temperature [K] at intake closing, residual fraction [-], angle of half burned [rad].
    """
    weights = scratch(80)
    v = scratch(16)
    weigh_state(row, mass, temperature, residual, angle_half_burned, weights)
    weighted_rows(row, _HEADER, 16, weights, v)
    heat = mass * (1.0 - residual) * row[9]
    scale = mass * temperature
    burn, place = burn_peak(v)
    burn += row[12]
    # The higher of burn peak and compression peak, the corner between them rounded.
    apart = burn - v[15]
    if apart > _BLEND:
        top, share = burn, 1.0
    elif apart < -_BLEND:
        top, share = v[15], 0.0
    else:
        top = max(burn, v[15]) + (_BLEND - abs(apart)) ** 2 / (4.0 * _BLEND)
        share = 0.5 + 0.5 * apart / _BLEND
    out[0] = heat * v[0]
    out[1] = heat * v[1]
    out[2] = v[2]
    out[3] = scale * v[3]
    _dissociate(row, mass, out)
    out[4] = scale * v[4]
    out[5] = np.exp(v[_KNOCK]) * row[10]
    out[6] = v[6]
    out[7] = scale * np.exp(top)
    out[8] = share * (angle_half_burned + v[6] * (NODE_MIDDLE + NODE_HALF * place))
    out[9] = heat


@compiled
def knock_limited_phasing(row: Any, mass: float, temperature: float, residual: float, limit: float) -> float:
    """Earliest angle of half burned [rad] in the box at which the knock integral does not exceed ``limit``.

    The box's earliest angle where even that does not knock, its latest where all do; nan where knock is not predicted.
    """
    weights = scratch(80)
    along = scratch(6)
    weigh_state(row, mass, temperature, residual, row[6], weights)
    # Sum over the other three variables. At the middle of the box the even Chebyshev polynomials of the angle are
    # +1 and -1 by turns and the odd ones 0, so the weight of degree 0 is the product of the other three.
    start = _HEADER + _KNOCK * _TERMS
    n = 0
    for i in range(5):
        for j in range(5 - i):
            for k in range(5 - i - j):
                others = weights[n]
                rest = i + j + k
                for m in range(6 - rest if rest < 3 else 5 - rest):
                    along[m] += others * row[start + n]
                    n += 1
    target = np.log(limit / row[10])
    if not target > -1e300:
        return np.nan
    if _clenshaw(along, -1.0) <= target:
        return row[6] - 1.0 / row[7]
    if _clenshaw(along, 1.0) >= target:
        return row[6] + 1.0 / row[7]
    low, high = -1.0, 1.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        if _clenshaw(along, middle) > target:
            low = middle
        else:
            high = middle
    return row[6] + 0.5 * (low + high) / row[7]


@compiled
def _clenshaw(c: Any, x: float) -> float:
    """Sum of c[k] T_k(x), six terms."""
    one = two = 0.0
    for k in range(5, 0, -1):
        one, two = c[k] + 2.0 * x * one - two, one
    return c[0] + x * one - two


@compiled
def fill_outputs(rows: Any, mass: Any, temperature: Any, residual: Any, angle: Any, out: Any) -> None:
    """Outputs (n, 10) of n states, each with its own row of the table."""
    for i in range(mass.size):
        cycle_outputs(rows[i], mass[i], temperature[i], residual[i], angle[i], out[i])


@compiled
def fill_phasings(rows: Any, mass: Any, temperature: Any, residual: Any, limit: Any, out: Any) -> None:
    """Knock-limited angles of half burned (n,) [rad] of n states, each with its own row of the table."""
    for i in range(mass.size):
        out[i] = knock_limited_phasing(rows[i], mass[i], temperature[i], residual[i], limit[i])
