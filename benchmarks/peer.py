"""The peer: ``scipy.optimize.root`` (its default, MINPACK's hybrid Powell method) point by point on our residual.

It gets what our solver has: the same three balances in the same three unknowns (logarithms, so that no trial can turn
negative), and a fixed sequence of starts over the whole range of shaft speeds, tried until one leads to a root that a
wheel would hold. Two sequences are run: one begins with our solver's cold start, the other is the one that serves the
peer best, found by trying sixteen starts on such points beforehand. It is told which mode holds the point in the end
(a target may be out of reach, a gate may hang on its stop), which our solver has to find out; and only the time inside
the root finder counts.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np
from scipy.optimize import root

from boostwright.solve.kernel.layout import NO_TURBO, TARGET
from boostwright.solve.kernel.point import point_residual

CLOSED = 1e-7
FAR = 40.0  # a logarithm beyond this is no state of anything; the residual is not asked there
# Starts: shaft speed over the ceiling, flow over that of the engine on ambient air, p_em over ambient. The first is our
# own cold start; of sixteen that were tried, the others are those that between them lead to the most roots.
STARTS = (
    (0.08, 0.8, 1.1),
    (0.50, 1.0, 2.0),
    (0.20, 1.0, 1.2),
    (0.60, 1.0, 1.3),
    (0.95, 3.0, 4.0),
    (0.35, 1.2, 1.4),
    (0.80, 2.6, 3.0),
    (0.35, 0.9, 1.2),
)
ORDERS = {"cold": (0, 1, 2, 3, 4, 5, 6, 7), "best": (7, 2, 0, 1, 4, 3, 5, 6)}
"""Two sequences: our cold start first, and the one that needs the fewest evaluations, chosen knowing the answers."""


def starts(points: np.ndarray) -> list[tuple[list[tuple[float, ...]], float]]:
    """Starts of every point: ln(air flow), ln(p_em), ln(shaft speed); and the highest ln(shaft speed)."""
    density = points["pressure_amb"] / (points["gas_constant_air"] * points["temperature_amb"])
    cycles = points["engine_speed"] / (4.0 * np.pi)
    flow = points["volumetric_efficiency"] * density * points["displacement"] * cycles
    ambient, ceiling = points["pressure_amb"], points["shaft_speed_ceiling"]
    share, swallowed, ratio = (np.array(column) for column in zip(*STARTS, strict=True))
    scaled = (np.outer(flow, swallowed), np.outer(ambient, ratio), np.outer(ceiling, share))
    rows = np.log(np.stack(scaled, axis=-1)).tolist()
    return [
        ([tuple(start) for start in row], top)
        for row, top in zip(rows, np.log(ceiling).tolist(), strict=True)
    ]


def residual(p: Any, maps: Any, turbines: Any, mode: int, share: float) -> Callable[[Any], Any]:
    """The balances of one point as a function of the unknowns; two of each where there is no turbo."""
    size = 2 if mode == NO_TURBO else 3
    u, out = np.zeros(3), np.empty(3)

    def balances(unknowns: Any) -> Any:
        u[:size] = unknowns
        if not (abs(u[0]) < FAR and abs(u[1]) < FAR and abs(u[2]) < FAR):
            return np.full(size, 1e3)
        try:
            point_residual(p, maps, turbines, mode, share, u, out)
        except (
            ArithmeticError,
            ValueError,
        ):  # plain Python refuses what machine code lets pass as not a number
            return np.full(size, 1e3)
        return out[:size].copy()

    return balances


@dataclass
class Outcome:
    """What the peer did at one point.

    unknowns  of the root it ends with, None when no start leads to one
    refused   roots on the way that no wheel would hold, or beyond the compressor card
    seconds   inside the root finder, all starts; last: of the start that led to the root
    """

    unknowns: list[float] | None = None
    refused: int = 0
    evaluations: int = 0
    seconds: float = 0.0
    last: float = 0.0


def solve(
    p: Any, begin: list[tuple[float, ...]], top: float, maps: Any, turbines: Any, mode: int, share: float
) -> Outcome:
    """Solve one point: start after start until a root is one that a wheel would hold. That check is free.

    top  ln(shaft speed) where the compressor card ends
    """
    function = residual(p, maps, turbines, mode, share)
    size = 2 if mode == NO_TURBO else 3
    outcome = Outcome()
    for start in begin:
        began = time.process_time()
        found = root(function, start[:size])
        took = time.process_time() - began
        outcome.seconds += took
        outcome.evaluations += found.nfev
        if not (found.success and np.abs(found.fun).max() < CLOSED):
            continue
        if mode == NO_TURBO:
            outcome.unknowns = [*found.x.tolist(), 0.0]
        elif found.x[2] <= top and is_stable(function, mode, found.x):
            outcome.unknowns = found.x.tolist()
        else:
            outcome.refused += 1
            continue
        outcome.last = took
        break
    return outcome


def is_stable(function: Callable[[Any], Any], mode: int, unknowns: Any) -> bool:
    """True where the wheel would return to the balance: its power margin falls with shaft speed, all else settled.

    A held target has no such condition of its own: the gate sees to it.
    """
    if mode == TARGET:
        return True
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
