"""What pulses at the turbine cost: one averaged table beside adaptive quadrature, and the solver with a table a point.

Run from the top folder: ``python -m benchmarks.pulses``. The peer is ``scipy.integrate.quad`` on the closed formulas of
the one-number turbine, at the tolerance of our own error, node by node; it is timed on some of the nodes.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from scipy.integrate import quad

from boostwright.build import read_build
from boostwright.cards.look_up import find_card
from boostwright.components.turbine import turbine_from_one_number, turbine_grid
from boostwright.components.turbine_pulses import PulsingTurbine, pulse_averaged
from boostwright.solve.problem import assemble
from boostwright.solve.run import solve

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
K = 0.30 / 1.30
AMPLITUDE = 0.25
TOLERANCE = 1e-4


def seconds(run: Callable[[], object], repeats: int = 15) -> float:
    """Shortest of several runs: the one least disturbed by whatever else the machine does."""
    best = np.inf
    for _ in range(repeats):
        start = time.perf_counter()
        run()
        best = min(best, time.perf_counter() - start)
    return best


def node(ratio: float, blade: float) -> tuple[float, float]:
    """Mean flow and mean power of one node by adaptive quadrature of the formulas."""
    amplitude = min(AMPLITUDE, 1.0 - 1.0 / ratio)
    mean_drop = 1.0 - ratio**-K

    def gas(angle: float) -> float:
        p = 1.0 + amplitude * np.sin(angle)
        return float(np.sqrt(max(1.0 - (ratio * p) ** -2.3633, 0.0)) * p / p ** (0.5 * K))

    def power(angle: float) -> float:
        p = 1.0 + amplitude * np.sin(angle)
        drop = max(1.0 - (ratio * p) ** -K, 1e-9)
        here = blade * np.sqrt(mean_drop / (drop * p**K))
        return float(gas(angle) * 0.7 * (1.0 - ((here - 0.65) / 0.65) ** 2) * drop * p**K)

    ends = -0.5 * np.pi, 0.5 * np.pi
    return quad(gas, *ends, epsrel=TOLERANCE)[0], quad(power, *ends, epsrel=TOLERANCE)[0]


def averaging() -> None:
    """One table of every node."""
    turbine = turbine_from_one_number(2.2e-5, 0.06, 0.70, 0.65)
    log_ratio, blade = (values.ravel() for values in turbine_grid())
    some = np.arange(300, log_ratio.size, 53)
    ours = seconds(lambda: pulse_averaged(turbine.table, AMPLITUDE))
    theirs = seconds(lambda: [node(float(np.exp(log_ratio[i])), float(blade[i])) for i in some], 5)
    theirs *= log_ratio.size / some.size
    pulsing = PulsingTurbine(turbine)
    pulsing.table(0.26)
    blend = seconds(lambda: pulsing.table(0.26))
    print(
        f"{'one averaged table, ms':42}{1e3 * ours:10.1f}{'quadrature':>14}{1e3 * theirs:10.0f}{theirs / ours:8.0f}"
    )
    print(f"{'one blended between two, ms':42}{1e3 * blend:10.2f}")


def solving() -> None:
    """A sweep with one steady table, and with a table of its own for every point."""
    build = read_build(EXAMPLES / "hill_climb_estate")
    cards = {kind: find_card(kind, build[kind].text("card"), build.folder) for kind in ("fuel", "compressor")}
    speeds = np.linspace(150.0, 700.0, 200)
    for mode in ("gate-shut", "spring", "target", "gate-open"):
        pulsing = assemble(build, cards, speeds, mode)
        steady = pulsing.with_pulses(np.zeros(speeds.size))
        copies = pulsing.with_pulses(np.full(speeds.size, 0.2))
        one, many, same = (
            seconds(lambda p=p: solve(p, 1), 30) / speeds.size for p in (steady, pulsing, copies)
        )
        text = f"{mode + ', us a point':42}{1e6 * one:10.2f}{'a table each':>14}{1e6 * many:10.2f}{many / one:8.2f}"
        print(f"{text}{'one at 0.2':>14}{1e6 * same:10.2f}{same / one:8.2f}")


if __name__ == "__main__":
    averaging()
    solving()
