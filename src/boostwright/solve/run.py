"""Run the compiled solver on a batch, on one core or several."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.kernel.layout import STATE
from boostwright.solve.native import solve_points, solve_shared

if TYPE_CHECKING:
    from concurrent.futures import Executor

__all__ = ["Batch", "cores", "solve"]

Array = NDArray[np.float64]

_WORTH_A_THREAD = 200  # points


class Batch(Protocol):
    """What the solver needs of a problem: records (n,) of POINT, and the tables (k, m) and (j, l) that they name."""

    @property
    def points(self) -> NDArray[np.void]:
        """(n,) records of POINT."""

    @property
    def maps(self) -> Array:
        """(k, m) packed compressor surfaces."""

    @property
    def turbines(self) -> Array:
        """(j, l) packed turbine tables."""


def cores(workers: int | None = None) -> int:
    """Threads to solve with where many are worth it: what is asked for, else the cores there are."""
    return workers or os.cpu_count() or 1


def solve(problem: Batch, workers: int | None = None, pool: Executor | None = None) -> NDArray[np.void]:
    """Solve every point of a problem.

    workers  threads to use; None takes the cores there are, a small batch stays on one
    pool     whose threads help the one that calls; None makes threads for this batch
    Returns (n,) of dtype STATE. Every point starts cold: the order and the number of threads change nothing.
    """
    points = problem.points
    states = np.zeros(points.shape, STATE)
    count = min(cores(workers), max(1, points.size // _WORTH_A_THREAD))
    if count == 1:
        solve_points(points, problem.maps, problem.turbines, states)
        return states
    counter = np.zeros(1, dtype=np.int64)

    def work() -> None:
        solve_shared(points, problem.maps, problem.turbines, states, counter)

    def all_at_it(threads: Executor) -> None:
        others = [threads.submit(work) for _ in range(count - 1)]
        work()
        for other in others:
            other.result()

    if pool is not None:
        all_at_it(pool)
        return states
    # slow to import, and an everyday sweep stays on one core
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(count - 1) as own:
        all_at_it(own)
    return states
