"""What a what-if costs beside the bare solving of its problems.

Run from the top folder: ``python -m benchmarks.whatif``. The what-if of 1 000 combinations (housings x gates x springs,
and turbos x housings x gates) is run from nothing: cases read from their words, checked, put together, solved, judged,
ranked. The peer is handed the problems of 1 000 single solves ready made: the points of each case in its own mode, with
the gate fully open and on the way to its threshold, all in one batch, and the quantities of each case's own mode worked
out. Ratios of wall time and of processor time, medians of alternating runs.

Cases share curves (a shut gate does not ask its spring), and single solves do not; so the peer solves more points than
the what-if does. The last sweep has nothing to share: it says what reading, putting together, judging and keeping cost.
"""

from __future__ import annotations

import gc
import itertools
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from shutil import copytree
from statistics import median
from typing import Any

import numpy as np

from boostwright.build import Build, read_build
from boostwright.solve import cases as cases_module
from boostwright.solve.case_block import Batch
from boostwright.solve.quantities import quantities_of
from boostwright.solve.run import solve
from boostwright.tasks import whatif_figures
from boostwright.tasks.whatif import Asked, whatif_build

EXAMPLE = Path(__file__).resolve().parent.parent / "examples" / "hill_climb_estate"
REPEATS = 5
_SPEED_LIMIT = 15000.0  # rad/s, a number like another
SWEEPS = {
    "10 housings x 10 gates x 10 springs": (
        ("turbine.choked_flow=0.020:0.031:10 kg/s*sqrt(K)/kPa",),
        (
            "wastegate.valve_diameter & wastegate.branch_bore=36:54:10 mm",
            "wastegate.spring_rating=0.36:0.63:10 bar gauge",
        ),
        "",
    ),
    "10 gates x 10 springs x 10 exhausts": (
        ("exhaust.pressure_drop=6:24:10 kPa",),
        (
            "wastegate.valve_diameter & wastegate.branch_bore=36:54:10 mm",
            "wastegate.spring_rating=0.36:0.63:10 bar gauge",
        ),
        "",
    ),
    "10 housings x 10 exhausts x 10 intakes, nothing shared": (
        ("turbine.choked_flow=0.020:0.031:10 kg/s*sqrt(K)/kPa",),
        ("exhaust.pressure_drop=6:24:10 kPa", "intake.pressure_drop=0.5:5:10 kPa"),
        "",
    ),
}


def recorded(build: Build, asked: Asked, alone: bool = True) -> tuple[Batch, list[tuple[Any, ...]]]:
    """Every point of its cases, each solved by itself, as one batch; and what quantities are worked out from.

    alone  False takes the points that the what-if itself solves, where cases share curves
    """
    batches: list[Any] = []
    calls: list[tuple[Any, ...]] = []
    own = cases_module.solve, cases_module.floor_curve, cases_module.shut_curve
    own_judged = whatif_figures.judged_quantities
    apart = itertools.count()

    def spied_solve(batch: Any, *how: Any) -> Any:
        batches.append(Batch(batch.points.copy(), batch.maps, batch.turbines))
        return own[0](batch, *how)

    def spied_judged(build: Any, problem: Any, states: Any) -> Any:
        held = type(problem)(**{**vars(problem), "points": problem.points.copy()})
        calls.append((build, held, states.copy(), _SPEED_LIMIT))
        return own_judged(build, problem, states)

    cases_module.solve, whatif_figures.judged_quantities = spied_solve, spied_judged  # type: ignore[assignment]
    if alone:
        cases_module.floor_curve = cases_module.shut_curve = lambda _made: next(apart)
    try:
        whatif_build(build, asked)
    finally:
        cases_module.solve, cases_module.floor_curve, cases_module.shut_curve = own
        whatif_figures.judged_quantities = own_judged
    last = max(batches, key=lambda batch: len(batch.turbines))
    points = np.concatenate([batch.points for batch in batches])
    return Batch(points, last.maps, last.turbines), calls


def timed(run: Callable[[], object]) -> tuple[float, float]:
    """Wall and processor seconds."""
    gc.collect()
    gc.disable()
    wall, used = time.perf_counter(), time.process_time()
    run()
    found = time.perf_counter() - wall, time.process_time() - used
    gc.enable()
    return found


def measure(folder: Path, name: str, vary: tuple[str, ...], card: str) -> None:
    """One sweep, printed."""
    build = read_build(folder)
    asked = Asked(vary=vary, cards=(card,) if card else (), anew=True)
    batch, calls = recorded(build, asked)
    shared, _ = recorded(build, asked, alone=False)

    def bare(points: Batch) -> None:
        solve(points)
        for call in calls:
            quantities_of(*call)

    runs: dict[str, Callable[[], object]] = {
        "bare": lambda: bare(batch),
        "whole": lambda: whatif_build(build, asked),
        "bare, shared points once": lambda: bare(shared),
    }
    times: dict[str, list[tuple[float, float]]] = {what: [] for what in runs}
    for _ in range(REPEATS):
        for what, run in runs.items():
            times[what].append(timed(run))
    print(f"{name}: {batch.points.size} points in single solves, {shared.points.size} solved by the what-if")
    for what, found in times.items():
        wall, used = (median(column) for column in zip(*found, strict=True))
        print(f"  {what:24s} {1e3 * wall:7.0f} ms wall {1e3 * used:7.0f} ms processor")
    for what, bound in (("bare", " (bound 1.10)"), ("bare, shared points once", "")):
        both = list(zip(times["whole"], times[what], strict=True))
        wall, used = (median(a[index] / b[index] for a, b in both) for index in range(2))
        print(f"  whole over {what}: {wall:.2f} wall, {used:.2f} processor{bound}")


def main() -> None:
    """Every sweep."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "build"
        copytree(EXAMPLE, folder)
        (folder / "whatif.toml").unlink(missing_ok=True)
        for name, (first, rest, card) in SWEEPS.items():
            measure(folder, name, (*first, *rest), card)


if __name__ == "__main__":
    main()
