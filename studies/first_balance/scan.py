"""Is the balance that the solver returns the one a wheel reaches first, coming up from rest?

    .venv/bin/python studies/first_balance/scan.py [points a mode]

For random plausible points the power left on the shaft is computed on 600 speeds from 2 % of the ceiling upwards, both
inner unknowns settled at each, without any of the solver's shortcuts. The first place where it changes from plus to
minus is the stable balance that a real wheel stops at. The solver's answer is compared with it. Writes result.csv.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path
from typing import Any

import numpy as np

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent.parent))

from benchmarks.random_points import compressor_tables, random_points, turbine_tables  # noqa: E402
from boostwright.numerics.compiler import compiled  # noqa: E402
from boostwright.solve.kernel.layout import GATE_OPEN, GATE_SHUT, MODES, SOLVED, SPRING, STATE  # noqa: E402
from boostwright.solve.kernel.match import first_guess  # noqa: E402
from boostwright.solve.kernel.settle import settle  # noqa: E402
from boostwright.solve.native import solve_points  # noqa: E402

RUNGS = 600
SEED = 20
LOWEST = 0.02  # of the ceiling


@compiled
def margins(p: Any, maps: Any, turbines: Any, mode: int, share: float, z: Any, margin: Any) -> None:
    """Relative power left on the shaft at ln(speed) ``z``, each rung started from the one below."""
    jacobian = np.zeros(4)
    x, y = first_guess(p)
    for k in range(z.size):
        x, y, margin[k], _pressure, _count = settle(
            p, maps, turbines, mode, share, np.exp(z[k]), x, y, jacobian, 1e-11
        )


def scanned(p: Any, maps: Any, turbines: Any, mode: int) -> tuple[float, int, float]:
    """ln(speed) of the first fall through zero (-inf below the first rung, inf never), the falls, the rung's width."""
    z = np.linspace(np.log(LOWEST * p["shaft_speed_ceiling"]), np.log(p["shaft_speed_ceiling"]), RUNGS)
    margin = np.zeros(RUNGS)
    margins(p, maps, turbines, mode, float(p["signal_share"]), z, margin)
    falls = np.flatnonzero((margin[:-1] > 0.0) & (margin[1:] <= 0.0))
    if margin[0] <= 0.0:
        return -np.inf, int(falls.size), float(z[1] - z[0])
    return (float(z[falls[0]]) if falls.size else np.inf), int(falls.size), float(z[1] - z[0])


def agrees(state: Any, first: float, width: float, lowest: float) -> bool:
    solved = int(state["outcome"]) == SOLVED
    if first == np.inf:
        return not solved
    if not solved:
        return False
    z = float(np.log(state["shaft_speed"]))
    return z < lowest + width if first == -np.inf else abs(z - first) < 1.5 * width


def main(count: int) -> None:
    maps, highest, flow, diameter = compressor_tables()
    turbines = turbine_tables()
    rows = []
    for mode in (GATE_SHUT, SPRING, GATE_OPEN):
        points = random_points(count, SEED, maps, highest, flow, diameter)
        points["mode"] = mode
        points["gate_count"] = np.maximum(points["gate_count"], 1)
        states = np.zeros(count, STATE)
        solve_points(points, maps, turbines, states)
        missed, several, ratios = 0, 0, []
        for point, state in zip(points, states, strict=True):
            first, falls, width = scanned(point, maps, turbines, mode)
            several += falls > 1
            if not agrees(state, first, width, float(np.log(LOWEST * point["shaft_speed_ceiling"]))):
                missed += 1
                ratios.append(float(state["pressure_em"] / state["pressure_4"]))
        row = {
            "mode": MODES[mode],
            "points": count,
            "solved": int((states["outcome"] == SOLVED).sum()),
            "more_than_one_stable_balance": several,
            "differing": missed,
            "highest_expansion_ratio_of_those": f"{max(ratios):.4f}" if ratios else "",
        }
        print(row)
        rows.append(row)
    with (HERE / "result.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5000)
