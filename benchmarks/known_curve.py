"""What turning a known curve back costs: all speeds at once beside ``scipy.optimize.brentq``, speed by speed.

Run from the top folder: ``python -m benchmarks.known_curve``. Both ask the same compiled solver, to the same tolerance
of torque; the peer is given one point at a time, since it knows no batches.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
from scipy.optimize import brentq

from boostwright.build import read_build
from boostwright.cards.look_up import find_card
from boostwright.components.known_curve import HIGHEST, LOWEST, invert_known_curve
from boostwright.solve.problem import assemble
from boostwright.solve.quantities import quantities_of
from boostwright.solve.run import solve

BUILD = Path(__file__).resolve().parent.parent / "examples" / "hill_climb_estate"
SPEEDS = np.linspace(1500.0, 6750.0, 40) * np.pi / 30.0


def seconds(run: Callable[[], object], repeats: int = 7) -> float:
    """Shortest of several runs: the one least disturbed by whatever else the machine does."""
    best = np.inf
    for _ in range(repeats):
        start = time.perf_counter()
        run()
        best = min(best, time.perf_counter() - start)
    return best


def torque_of(speeds: np.ndarray) -> Callable[[np.ndarray], np.ndarray]:
    """Torque by volumetric efficiency of the engine without turbo at those speeds."""
    build = read_build(BUILD, ["charge_cooler.kind=none", "prediction.mode=no-turbo"])
    cards = {kind: find_card(kind, build[kind].text("card"), build.folder) for kind in ("fuel", "compressor")}
    problem = assemble(build, cards, speeds, "no-turbo")

    def torque(efficiency: np.ndarray) -> np.ndarray:
        points = problem.points.copy()
        points["volumetric_efficiency"] = efficiency
        these = replace(problem, points=points)
        return quantities_of(build, these, solve(these), 1.0)["torque"]

    return torque


def main() -> None:
    """Both ways, their ratio, and how far apart their answers are."""
    together = torque_of(SPEEDS)
    wanted = together(np.linspace(0.80, 0.95, SPEEDS.size))
    single = [torque_of(SPEEDS[i : i + 1]) for i in range(SPEEDS.size)]

    def peer() -> np.ndarray:
        return np.array(
            [
                brentq(
                    lambda v, i=i: float(single[i](np.array([v]))[0] - wanted[i]), LOWEST, HIGHEST, xtol=1e-10
                )
                for i in range(SPEEDS.size)
            ]
        )

    ours = seconds(lambda: invert_known_curve(together, wanted))
    theirs = seconds(peer, repeats=2)
    apart = np.abs(invert_known_curve(together, wanted) - peer()).max()
    print(f"{SPEEDS.size} speeds at once {1e3 * ours:.1f} ms, speed by speed {1e3 * theirs:.0f} ms")
    print(f"ratio {theirs / ours:.1f}; largest difference of volumetric efficiency {apart:.1e}")


if __name__ == "__main__":
    main()
