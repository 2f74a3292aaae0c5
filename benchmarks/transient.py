"""A tip-in followed by our own integrator and by SciPy's, side by side on the same compiled rates, as a ratio.

    python benchmarks/transient.py

The engine is held at a speed with the gate stuck shut and the throttle thrown open, so that both follow the same
ordinary differential equations. SciPy's Radau and LSODA stop at a tolerance of 1e-4 (ours lies within 0.1 % of a tight
Radau's swing, see tests/unit/solve/test_transient_parts.py). Where nothing interrupts them they take long steps, which
a controller and a gate that moves by itself do not allow; so LSODA is also begun anew every millisecond. Then a whole
pull in third gear, with control, clutch and gate, by our own alone: processor time.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from scipy.integrate import solve_ivp

from boostwright.build import read_build
from boostwright.solve.kernel.transient_layout import DYNAMIC_COUNT
from boostwright.solve.transient import phase_rows, run_plant, settled_start
from boostwright.solve.transient_native import rates_of
from boostwright.tasks.transient import Phase, TransientRequest, plant_of_build, run_transient

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"
RPM = np.pi / 30.0
SECONDS, PLACE, REPEATS = 0.5, 25, 5
STUCK = ("wastegate.friction_force=450 N", "transient.relief_valve=none", "transient.controller=none")


def least_time(run: Callable[[], object]) -> float:
    """Least processor time [s] of a few runs."""
    taken = []
    for _ in range(REPEATS):
        begun = time.process_time()
        run()
        taken.append(time.process_time() - begun)
    return min(taken)


def stop_each_step(
    rates: Callable[[float, np.ndarray], np.ndarray], first: np.ndarray, small: np.ndarray
) -> None:
    """SciPy begun anew every millisecond, as a controller and a valve that moves by itself ask for."""
    y = first.copy()
    for _ in range(round(SECONDS * 1000)):
        y = solve_ivp(rates, (0.0, 1e-3), y, "LSODA", rtol=1e-4, atol=small).y[:, -1]


def main() -> None:
    """Print times and ratios."""
    build = read_build(EXAMPLES / "transverse_three", STUCK)
    plant, _cards, _build = plant_of_build(build, TransientRequest((Phase("idle", 1.0, 0.0),)))
    start = settled_start(plant, "hold", float(plant.speeds[PLACE]), 0.15, 0)
    start.slow[2] = 1.0
    phases = phase_rows([("hold", SECONDS, 1.0, 1.0, 0, 0.0, 0.0, 0.0, 1.0)])
    point = plant.grid[PLACE : PLACE + 1].copy()
    inputs = np.array([[1.0, 0.0, 0.0, 1.0]])
    whole = start.states.copy()[None, :]
    first = start.states[:DYNAMIC_COUNT].copy()

    def rates(_t: float, y: np.ndarray) -> np.ndarray:
        whole[0, :DYNAMIC_COUNT] = y
        return rates_of(plant.record, point, plant.maps, plant.turbines, whole, inputs)[0][0, :DYNAMIC_COUNT]

    at = np.linspace(1e-3, SECONDS, round(SECONDS * 1000))
    small = 1e-4 * np.maximum(np.abs(first), 1e-4)
    ours = least_time(lambda: run_plant(plant, phases, start.copy()))
    print(f"tip-in of {SECONDS:.1f} s, rows every ms")
    print(f"  boostwright          {1e3 * ours:8.1f} ms")
    for method in ("Radau", "LSODA"):
        peer = least_time(
            lambda m=method: solve_ivp(rates, (0.0, SECONDS), first, m, at, rtol=1e-4, atol=small)
        )
        print(f"  SciPy {method:<14} {1e3 * peer:8.1f} ms, {peer / ours:.1f} times as long")
    stopped = least_time(lambda: stop_each_step(rates, first, small))
    print(
        f"  SciPy LSODA, begun anew every ms for control and gate: {1e3 * stopped:.0f} ms, "
        f"{stopped / ours:.0f} times as long"
    )
    pull = (Phase("road", 12.0, 1.0, 3, end_speed=6000.0 * RPM, speed=1500.0 * RPM),)
    run = run_transient(read_build(EXAMPLES / "transverse_three"), TransientRequest(pull))
    print(
        f"pull in third gear, {run.time[-1]:.1f} s at 1 ms, settled start of 8 s put in: "
        f"{run.processor_time:.2f} s of processor time"
    )


if __name__ == "__main__":
    sys.exit(main())
