"""Many problems as one batch: each with its own compressor, turbine, gas and gate, solved in one call.

The packed tables say their own size, so tables of different length stand in one array, the short ones filled up with
zeros that nobody reads.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.run import Batch, solve

__all__ = ["Joined", "joined", "solve_joined"]

Array = NDArray[np.float64]
_Row = TypeVar("_Row", bound=np.generic)


@dataclass(frozen=True)
class Joined:
    """Problems end to end.

    points  (n,) of dtype POINT, problem by problem; maps (k, m), turbines (j, l) packed tables, each once
    edges   (p + 1,) where each problem begins, and where the last one ends
    """

    points: NDArray[np.void]
    maps: Array
    turbines: Array
    edges: NDArray[np.int64]

    def parts(self, values: NDArray[_Row]) -> tuple[NDArray[_Row], ...]:
        """Answers (n, ...) cut back into one piece a problem: views, not copies."""
        return tuple(np.split(values, self.edges[1:-1]))


def joined(problems: Sequence[Batch]) -> Joined:
    """Problems (p) joined into one batch; they may differ in everything, number of points too.

    Raises ValueError where there is none.
    """
    if not problems:
        raise ValueError("no problem to join")
    edges = np.cumsum([0, *(problem.points.size for problem in problems)])
    points = np.concatenate([problem.points for problem in problems])
    maps, map_rows = _gathered([problem.maps for problem in problems])
    turbines, turbine_rows = _gathered([problem.turbines for problem in problems])
    for a, b, of_map, of_turbine in zip(edges[:-1], edges[1:], map_rows, turbine_rows, strict=True):
        own = points[a:b]
        own["compressor_index"] = of_map[own["compressor_index"]]
        own["turbine_index"] = of_turbine[own["turbine_index"]]
    return Joined(points=points, maps=maps, turbines=turbines, edges=edges.astype(np.int64))


def solve_joined(problems: Sequence[Batch], workers: int | None = None) -> tuple[NDArray[np.void], ...]:
    """Solve problems in one batch; the states (n,) of each, as ``solve`` would give them one by one.

    workers  threads to use, as ``solve`` has it
    """
    batch = joined(problems)
    return batch.parts(solve(batch, workers))


def _gathered(tables: Sequence[Array]) -> tuple[Array, list[NDArray[np.int64]]]:
    """Rows of all tables in one array, equal ones once; and per table the place of each of its rows."""
    places: dict[bytes, int] = {}
    met: list[Array] = []
    of_table: dict[int, NDArray[np.int64]] = {}
    found = []
    for table in tables:
        if id(table) not in of_table:
            rows = []
            for row in table:
                key = row.tobytes()
                if key not in places:
                    places[key] = len(met)
                    met.append(row)
                rows.append(places[key])
            of_table[id(table)] = np.array(rows, dtype=np.int64)
        found.append(of_table[id(table)])
    out = np.zeros((len(met), max(row.size for row in met)))
    for place, row in enumerate(met):
        out[place, : row.size] = row
    return out, found
