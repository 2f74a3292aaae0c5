"""One step of the integrator: a linearly implicit pair of stages whose Jacobian may be some steps old.

ROS2 of Verwer, Spee, Blom and Hundsdorfer (1999): second order whatever matrix stands for the Jacobian, and damping
without limit where it is the true one. So small volumes, the air in the pipe and the chambers cost no small steps. The
totals follow with the same weights, which closes every balance to rounding.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.solve.kernel.transient_flows import flows
from boostwright.solve.kernel.transient_layout import DYNAMIC_COUNT, SHAFT, STATE_COUNT, STIFF_COUNT

__all__ = ["fill_jacobian", "step_states"]

_GAMMA = 1.0 - 1.0 / np.sqrt(2.0)
_SMALL = 1e-6  # of a state, for difference quotients
_FRESH = 0.01  # relative change of a state since the Jacobian was made, above which it is made anew
_LIFT = 2e-4  # m, the same for the gate
_OLD = 8  # steps, after which it is made anew anyway
_ROUGH = 0.002  # relative change that a second stage may correct; more, and the step is halved
_HALVINGS = 5
_SLOWEST = 20.0  # rad/s of the shaft
_F0, _F1, _K1, _K2, _TRIAL, _MADE, _PERTURBED = range(7)  # rows of the work array


@compiled
def fill_jacobian(
    p: Any, c: Any, maps: Any, turbines: Any, y: Any, u: Any, scale: Any, work: Any, jacobian: Any, a: Any
) -> None:
    """Difference quotients of all rates (38,) by the stiff states (14,) into ``jacobian`` (38, 14)."""
    base, beside, moved = work[_F0], work[_F1], work[_PERTURBED]
    flows(p, c, maps, turbines, y, u, base, a)
    for i in range(STATE_COUNT):
        moved[i] = y[i]
    for j in range(STIFF_COUNT):
        change = _SMALL * (abs(y[j]) + scale[j])
        moved[j] = y[j] + change
        flows(p, c, maps, turbines, moved, u, beside, a)
        moved[j] = y[j]
        for i in range(STATE_COUNT):
            jacobian[i, j] = (beside[i] - base[i]) / change


@compiled
def _factor(jacobian: Any, h: float, matrix: Any, order: Any) -> None:
    """LU factors with row exchanges of 1 - gamma h J for the stiff states, in place."""
    n = STIFF_COUNT
    for i in range(n):
        for j in range(n):
            matrix[i, j] = -_GAMMA * h * jacobian[i, j]
        matrix[i, i] += 1.0
    for k in range(n):
        best = k
        for i in range(k + 1, n):
            if abs(matrix[i, k]) > abs(matrix[best, k]):
                best = i
        order[k] = best
        if best != k:
            for j in range(n):
                matrix[k, j], matrix[best, j] = matrix[best, j], matrix[k, j]
        inverse = 1.0 / matrix[k, k]
        for i in range(k + 1, n):
            matrix[i, k] *= inverse
            for j in range(k + 1, n):
                matrix[i, j] -= matrix[i, k] * matrix[k, j]


@compiled
def _solve(matrix: Any, order: Any, jacobian: Any, h: float, k: Any) -> None:
    """k := (1 - gamma h J)^-1 k: the stiff states by their factors, the others and the totals from those."""
    n = STIFF_COUNT
    for i in range(n):
        j = int(order[i])
        if j != i:
            k[i], k[j] = k[j], k[i]
    for i in range(n):
        for j in range(i):
            k[i] -= matrix[i, j] * k[j]
    for i in range(n - 1, -1, -1):
        for j in range(i + 1, n):
            k[i] -= matrix[i, j] * k[j]
        k[i] /= matrix[i, i]
    for i in range(n, STATE_COUNT):
        rest = 0.0
        for j in range(n):
            rest += jacobian[i, j] * k[j]
        k[i] += _GAMMA * h * rest


@compiled
def _try(
    p: Any,
    c: Any,
    maps: Any,
    turbines: Any,
    y: Any,
    u: Any,
    h: float,
    scale: Any,
    work: Any,
    tables: Any,
    a: Any,
) -> float:
    """A step of ``h`` into the trial row; returns the largest relative correction of its second stage."""
    jacobian, matrix, order = tables[0], tables[1], tables[2][0]
    k1, k2, trial = work[_K1], work[_K2], work[_TRIAL]
    flows(p, c, maps, turbines, y, u, k1, a)
    _factor(jacobian, h, matrix, order)
    _solve(matrix, order, jacobian, h, k1)
    for i in range(STATE_COUNT):
        trial[i] = y[i] + h * k1[i]
    trial[SHAFT] = max(trial[SHAFT], _SLOWEST)
    flows(p, c, maps, turbines, trial, u, k2, a)
    for i in range(STATE_COUNT):
        k2[i] -= 2.0 * k1[i]
    _solve(matrix, order, jacobian, h, k2)
    worst = 0.0
    for i in range(STATE_COUNT):
        trial[i] = y[i] + h * (1.5 * k1[i] + 0.5 * k2[i])
        if i < DYNAMIC_COUNT:
            size = 0.5 * h * abs(k1[i] + k2[i]) / (abs(y[i]) + scale[i])
            if not size <= worst:
                worst = size
    return worst


@compiled
def step_states(
    p: Any,
    c: Any,
    maps: Any,
    turbines: Any,
    y: Any,
    u: Any,
    h: float,
    scale: Any,
    work: Any,
    tables: Any,
    a: Any,
) -> int:
    """Carry the states ``h`` [s] on, in halved steps where things happen fast; 0 where no step holds, else 1.

    scale (38,) size below which a state counts as small; work (7, 38); tables (3, 38, 14): the Jacobian, its factors,
    row order, age of the Jacobian, and the throttle and gate it was made for
    """
    made, trial, age, knew = work[_MADE], work[_TRIAL], tables[2][1], tables[2][2]
    done, small, halvings = 0.0, h, 0
    while done < h * (1.0 - 1e-9):
        changed = age[0] <= 0.0 or abs(u[0] - knew[0]) > _FRESH * knew[0] or abs(u[1] - knew[1]) > _LIFT
        for i in range(STIFF_COUNT):
            if abs(y[i] - made[i]) > _FRESH * (abs(made[i]) + scale[i]):
                changed = True
        if changed or age[0] > _OLD:
            fill_jacobian(p, c, maps, turbines, y, u, scale, work, tables[0], a)
            for i in range(STATE_COUNT):
                made[i] = y[i]
            age[0], knew[0], knew[1] = 1.0, u[0], u[1]
        worst = _try(p, c, maps, turbines, y, u, small, scale, work, tables, a)
        if not worst < _ROUGH and halvings < _HALVINGS:
            small *= 0.5
            halvings += 1
            age[0] = 0.0
            continue
        if not worst < 1e3:
            return 0
        for i in range(STATE_COUNT):
            y[i] = trial[i]
        y[SHAFT] = max(y[SHAFT], _SLOWEST)
        age[0] += 1.0
        done += small
    return 1
