"""What a doubt about a model does to the points of a problem.

The knock multiplier is a number of the build, so ``shifted`` lays that doubt on.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from boostwright.components.cycle_table import COLUMNS, HEADER, TERMS_OF_FOUR
from boostwright.solve.uncertainty.doubts import Doubt

__all__ = ["ModelActs"]

Array = NDArray[np.float64]
_COMPRESSOR = {
    "model.compressor_flow": "flow",
    "model.compressor_pressure": "pressure",
    "model.compressor_efficiency": "efficiency",
}
_PULSE_CEILING = 3.0


class ModelActs:
    """Shifts of the model doubts, laid on rows of the closed cycle and on points."""

    def __init__(self, doubts: Sequence[Doubt]) -> None:
        """Remember which column is which."""
        self._columns = {doubt.name: column for column, doubt in enumerate(doubts) if doubt.key is None}
        self._widths = {doubt.name: doubt.widths for doubt in doubts if doubt.key is None}

    def compressor(self) -> Iterator[tuple[str, float, int]]:
        """Argument of ``compressor_at_edge``, width and column of the doubts about the compressor's map."""
        for name, key in _COMPRESSOR.items():
            if name in self._columns:
                yield key, self._widths[name][0], self._columns[name]

    def pulses(self, shifts: Array) -> Array:
        """Factor (k,) on the pulse amplitude."""
        return np.clip(1.0 + self._by("model.pulses", shifts), 0.0, _PULSE_CEILING)

    def on_rows(self, rows: Array, shifts: Array) -> None:
        """Work and temperature at exhaust opening, in place on rows (k, n, m) of the closed cycle."""
        terms = len(TERMS_OF_FOUR)
        work = self._by("model.cycle_work", shifts)
        first = HEADER + COLUMNS.index("work_share") * terms
        rows[:, :, first : first + terms] *= 1.0 + work[:, None, None]
        # the first of a row's terms is the constant
        constant = HEADER + COLUMNS.index("temperature_opening") * terms
        rows[:, :, constant] += self._by("model.cycle_temperature", shifts)[:, None]

    def on_points(self, points: NDArray[np.void], shifts: Array) -> None:
        """Turbine, takeoff and end gas, in place on points (k, n)."""
        for name, field in (
            ("model.turbine_flow", "turbine_flow_scale"),
            ("model.turbine_efficiency", "turbine_efficiency_scale"),
        ):
            points[field] *= 1.0 + self._by(name, shifts)[:, None]
        points["takeoff_loss"] += self._by("model.takeoff", shifts)[:, None]
        points["trapped_temperature_shift"] += self._by("model.knock_temperature", shifts)[:, None]

    def _by(self, name: str, shifts: Array) -> Array:
        """Shift of a doubt (k,) in its own unit; 0 where it is none."""
        if name not in self._columns:
            return np.zeros(len(shifts))
        return np.asarray(shifts[:, self._columns[name]] * self._widths[name][0])
