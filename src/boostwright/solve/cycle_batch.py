"""Closed cycles as Python calls them: model and states in, one record a cycle out."""

from __future__ import annotations

import itertools
import os
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from boostwright.components.closed_cycle import CycleModel, cycle_fields, piston_way
from boostwright.numerics.precedence import is_first, let_pass
from boostwright.solve.kernel.cycle_layout import CYCLE, CYCLE_STATE
from boostwright.solve.native import closed_cycle_states

__all__ = ["closed_cycles", "cycle_records", "run_records"]

Array = NDArray[np.float64]
_HALF_DEGREE = float(np.pi / 360.0)
_LONGEST_PIECE = 128  # cycles: some 5 ms
_PIECE = 64  # cycles: below it a second thread costs more than it brings


def cycle_records(
    model: CycleModel,
    *,
    engine_speed: ArrayLike,
    mass: ArrayLike,
    temperature: ArrayLike,
    lambda_value: ArrayLike,
    residual_fraction: ArrayLike,
    angle_half_burned: ArrayLike,
    step: float = _HALF_DEGREE,
) -> tuple[NDArray[Any], Array]:
    """Records (n,) of CYCLE and the piston's way that they run along; arguments as ``cycle_fields`` has them."""
    way, angle_step = piston_way(model, step)
    fields = cycle_fields(
        model,
        engine_speed=engine_speed,
        mass=mass,
        temperature=temperature,
        lambda_value=lambda_value,
        residual_fraction=residual_fraction,
        angle_half_burned=angle_half_burned,
        angle_step=angle_step,
    )
    records = np.zeros(np.shape(fields["mass"]), CYCLE)
    for name, value in fields.items():
        records[name] = value
    return records, way


def run_records(records: NDArray[Any], way: Array, *, threads: int | None = None) -> NDArray[Any]:
    """Run records (n,) of CYCLE along the piston's way; returns (n,) of CYCLE_STATE.

    threads  at most as many as there are cores, which is also the default
    """
    states = np.zeros(records.shape, CYCLE_STATE)
    count = min(threads or os.cpu_count() or 1, max(records.size // _PIECE, 1))
    if count == 1:
        closed_cycle_states(records, way, states)
        return states
    # slow to import, and a lone cycle needs none of it
    from concurrent.futures import ThreadPoolExecutor

    waits = not is_first()

    def piece(a: int, b: int) -> None:
        if waits:
            let_pass()
        closed_cycle_states(records[a:b], way, states[a:b])

    # Pieces smaller than a share each, so that a core that is busy elsewhere does not hold up the rest, nor a piece
    # what goes first.
    pieces = max(4 * count, records.size // _LONGEST_PIECE)
    edges = np.linspace(0, records.size, pieces + 1).astype(int)
    with ThreadPoolExecutor(count) as pool:
        runs = [pool.submit(piece, a, b) for a, b in itertools.pairwise(edges)]
        for run in runs:
            run.result()
    return states


def closed_cycles(
    model: CycleModel,
    *,
    engine_speed: ArrayLike,
    mass: ArrayLike,
    temperature: ArrayLike,
    lambda_value: ArrayLike,
    residual_fraction: ArrayLike,
    angle_half_burned: ArrayLike,
    step: float = _HALF_DEGREE,
) -> NDArray[Any]:
    """Closed cycles of a model: (n,) records of CYCLE_STATE; arguments as ``cycle_fields`` has them."""
    records, way = cycle_records(
        model,
        engine_speed=engine_speed,
        mass=mass,
        temperature=temperature,
        lambda_value=lambda_value,
        residual_fraction=residual_fraction,
        angle_half_burned=angle_half_burned,
        step=step,
    )
    return run_records(records, way)
