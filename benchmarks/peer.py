"""The peer: ``scipy.optimize.root`` (its default, MINPACK's hybrid Powell method) point by point on our residual.

It gets what our solver has: the same three balances in the same three unknowns (logarithms, so that no trial can turn
negative), the same cold start, and then a fixed sequence of further starts over the whole range of shaft speeds, until
one converges. It is told which mode holds the point in the end (a target may be out of reach, a gate may hang on its
stop); our solver has to find that out. Of several roots it takes whichever it meets.
"""

from __future__ import annotations

from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import numpy as np
from scipy.optimize import root

from boostwright.solve.kernel.layout import NO_TURBO, TARGET
from boostwright.solve.kernel.point import point_residual

CLOSED = 1e-7
FAR = 40.0  # a logarithm beyond this is no state of anything; the residual is not asked there
# Shaft speed over the ceiling, flow over that of the engine on ambient air, p_em over ambient: our own start, then
# the others in the order in which they most often succeed.
STARTS = (
    (0.08, 0.8, 1.1),
    (0.50, 1.6, 1.8),
    (0.65, 2.0, 2.2),
    (0.35, 1.2, 1.4),
    (0.80, 2.6, 3.0),
    (0.20, 1.0, 1.2),
    (0.95, 3.0, 4.0),
    (0.05, 0.8, 1.05),
)


def starts(points: np.ndarray) -> list[list[tuple[float, float, float]]]:
    """Starts of every point: ln(air flow), ln(p_em), ln(shaft speed)."""
    density = points["pressure_amb"] / (points["gas_constant_air"] * points["temperature_amb"])
    cycles = points["engine_speed"] / (4.0 * np.pi)
    flow = points["volumetric_efficiency"] * density * points["displacement"] * cycles
    ambient, ceiling = points["pressure_amb"], points["shaft_speed_ceiling"]
    share, swallowed, ratio = (np.array(column) for column in zip(*STARTS, strict=True))
    scaled = (np.outer(flow, swallowed), np.outer(ambient, ratio), np.outer(ceiling, share))
    return [[tuple(start) for start in row] for row in np.log(np.stack(scaled, axis=-1)).tolist()]


def residual(p: Any, maps: Any, turbines: Any, mode: int, share: float) -> Callable[[Any], Any]:
    """The balances of one point as a function of the unknowns; two of each where there is no turbo."""
    out = np.empty(3)
    if mode == NO_TURBO:
        three = np.zeros(3)

        def two_balances(u: Any) -> Any:
            if not (abs(u[0]) < FAR and abs(u[1]) < FAR):
                return np.full(2, 1e3)
            three[0], three[1] = u
            point_residual(p, maps, turbines, mode, share, three, out)
            return out[:2].copy()

        return two_balances

    def three_balances(u: Any) -> Any:
        if not (abs(u[0]) < FAR and abs(u[1]) < FAR and abs(u[2]) < FAR):
            return np.full(3, 1e3)
        point_residual(p, maps, turbines, mode, share, u, out)
        return out.copy()

    return three_balances


class Outcome(SimpleNamespace):
    """What the peer found: unknowns (3,) or None, starts used, evaluations, seconds of the start that converged."""


def solve(
    p: Any,
    begin: list[tuple[float, float, float]],
    maps: Any,
    turbines: Any,
    mode: int,
    share: float,
    clock: Callable[[], float],
) -> Outcome:
    """Solve one point from the first start that converges."""
    function = residual(p, maps, turbines, mode, share)
    size = 2 if mode == NO_TURBO else 3
    evaluations = 0
    for used, start in enumerate(begin, 1):
        began = clock()
        found = root(function, start[:size])
        took = clock() - began
        evaluations += found.nfev
        if found.success and np.abs(found.fun).max() < CLOSED:
            unknowns = np.append(found.x, np.zeros(3 - size))
            return Outcome(unknowns=unknowns, starts=used, evaluations=evaluations, last=took)
    return Outcome(unknowns=None, starts=len(STARTS), evaluations=evaluations, last=0.0)


def is_stable(p: Any, maps: Any, turbines: Any, mode: int, share: float, unknowns: Any) -> bool:
    """True where the wheel would return to the balance: its power margin falls with shaft speed, all else settled.

    A held target has no such condition of its own: the gate sees to it.
    """
    if mode in (NO_TURBO, TARGET):
        return True
    function = residual(p, maps, turbines, mode, share)
    jacobian = np.empty((3, 3))
    for k in range(3):
        step = np.zeros(3)
        step[k] = 1e-6
        jacobian[:, k] = (function(unknowns + step) - function(unknowns - step)) / 2e-6
    inner = np.linalg.solve(jacobian[:2, :2], jacobian[:2, 2])
    return bool(jacobian[2, 2] - jacobian[2, :2] @ inner < 0.0)


def plain(p: np.void) -> SimpleNamespace:
    """A point as a plain object with Python numbers, the fastest thing to read for the interpreter."""
    values = {name: p[name] for name in p.dtype.names}
    return SimpleNamespace(
        **{n: v.tolist() if isinstance(v, np.ndarray) else v.item() for n, v in values.items()}
    )
