"""Run the compiled solver on a batch, on one core or several."""

from __future__ import annotations

import itertools
import os
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.kernel.layout import STATE
from boostwright.solve.native import solve_points

if TYPE_CHECKING:
    from concurrent.futures import Executor

__all__ = ["Batch", "cores", "solve"]

Array = NDArray[np.float64]

_WORTH_A_THREAD = 200  # points
_LEAST_PART = 50  # points; handing a part over costs about as much as solving one or two


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
    pool     whose threads are used, ``workers`` of them; None makes threads for this batch
    Returns (n,) of dtype STATE. Every point starts cold: the order and the number of threads change nothing.
    """
    points = problem.points
    states = np.zeros(points.shape, STATE)
    count = min(cores(workers), max(1, points.size // _WORTH_A_THREAD))
    if count == 1:
        solve_points(points, problem.maps, problem.turbines, states)
        return states
    # many parts, since some points take a hundred times as long as others
    edges = np.linspace(0, points.size, min(16 * count, points.size // _LEAST_PART) + 1).astype(int)
    parts = [slice(a, b) for a, b in itertools.pairwise(edges)]

    def all_in(threads: Executor) -> None:
        jobs = [
            threads.submit(solve_points, points[part], problem.maps, problem.turbines, states[part])
            for part in parts
        ]
        for job in jobs:
            job.result()

    if pool is not None:
        all_in(pool)
        return states
    # slow to import, and an everyday sweep stays on one core
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(count) as own:
        all_in(own)
    return states
