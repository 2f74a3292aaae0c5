"""Curves that many cases share: the boost with the gate fully open, and with it shut.

A gate that is shut passes nothing, whatever its size and spring, and one that is fully open asks no spring. So cases
that differ only in what such a state does not read have one curve, which is solved once for all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from boostwright.components.compressor import CompressorSurface
from boostwright.solve.case_block import Block, Patch
from boostwright.solve.kernel.layout import SOLVED
from boostwright.solve.native import line_flows

__all__ = ["FloorCurves", "Floors", "ShutCurves"]

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
States = NDArray[np.void]
Solve = Callable[[NDArray[np.void]], States]

_STRIDE = 6
"""Of the fine speeds: every sixth first, then those between the two that the threshold lies between."""
_FIRST = 6
"""Of those, looked at before the rest: beyond the threshold the shut gate runs away, which takes long."""
_MOST_CURVES = 4000


@dataclass
class _Held:
    """Places of the curves by what they hang on."""

    place: dict[Hashable, int] = field(default_factory=dict)

    def of(self, keys: Sequence[Hashable]) -> tuple[NDArray[np.intp], list[int]]:
        """Places (k,) of the curves, and which of the cases are the first with a new one."""
        known, new, found = self.place, [], []
        for case, key in enumerate(keys):
            place = known.get(key)
            if place is None:
                place = known[key] = len(known)
                new.append(case)
            found.append(place)
        return np.array(found, dtype=np.intp), new


def _grown(values: NDArray[np.generic], rows: int) -> NDArray[np.generic]:
    """The same rows with room for more, empty ones behind them."""
    if len(values) >= rows:
        return values
    grown = np.zeros((max(rows, 2 * len(values)), *values.shape[1:]), values.dtype)
    grown[: len(values)] = values
    return grown


@dataclass(frozen=True)
class Floors:
    """Of k cases with the gate fully open.

    pressure  (k,) [Pa] highest over the speeds; nan without a gate, or where even the open gate does not hold the wheel
    lost      (k, n) True where it does not
    """

    pressure: Array
    lost: Mask


class FloorCurves:
    """Creep floors at the engine speeds of the cases."""

    def __init__(self, size: int, speeds: int) -> None:
        """For batches of up to ``size`` cases at a number of speeds."""
        self._block = Block(size, "gate-open", np.arange(speeds))
        self._begin(speeds)

    def _begin(self, speeds: int) -> None:
        self._held = _Held()
        self._pressure: Array = np.zeros(0)
        self._lost: Mask = np.zeros((0, speeds), dtype=bool)

    def of(
        self,
        keys: Sequence[Hashable],
        patches: Sequence[tuple[Patch, ...]],
        surfaces: Sequence[CompressorSurface],
        solve: Solve,
    ) -> Floors:
        """Floors of k cases.

        keys      alike where the curve is the same; patches, surfaces of each case
        solve     states of records
        """
        if len(self._held.place) > _MOST_CURVES:
            self._begin(self._lost.shape[1])
        places, new = self._held.of(keys)
        if new:
            self._block.put([patches[case] for case in new])
            points = self._block.written(len(new))
            states = solve(np.ascontiguousarray(points).reshape(-1)).reshape(points.shape)
            found = _floors(points, states, [surfaces[case] for case in new])
            held = len(self._held.place)
            self._pressure, self._lost = _grown(self._pressure, held), _grown(self._lost, held)  # type: ignore[assignment]
            self._pressure[places[new]], self._lost[places[new]] = found.pressure, found.lost
        return Floors(self._pressure[places], self._lost[places])


def _floors(points: NDArray[np.void], states: States, surfaces: Sequence[CompressorSurface]) -> Floors:
    """From solved records (k, n); the surge line is that of each case's compressor."""
    solved = np.asarray(states["outcome"] == SOLVED)
    surging = np.zeros(solved.shape, dtype=bool)
    for surface in {id(one): one for one in surfaces}.values():
        own = np.array([one is surface for one in surfaces])
        speed, flow = (states[name][own] for name in ("corrected_speed", "corrected_flow"))
        line = line_flows(surface.table, speed.ravel())[0].reshape(speed.shape)
        surging[own] = (speed >= surface.speed_lowest_measured) & (flow < line) & (flow > 0.0)
    pressure = np.where(solved & ~surging, states["pressure_im"], -np.inf).max(axis=1)
    gate = np.asarray(points["gate_count"] > 0.0)
    usable = solved.all(axis=1) & gate.all(axis=1) & np.isfinite(pressure)
    return Floors(np.where(usable, pressure, np.nan), ~solved & gate)


class ShutCurves:
    """Boost with the gate shut along the speeds of the threshold, solved where somebody asks for it."""

    def __init__(self, size: int, fine: int) -> None:
        """For batches of up to ``size`` cases, with ``fine`` speeds between which a threshold is sought."""
        self._fine, self._coarse = fine, np.arange(0, fine, _STRIDE)
        self._block = Block(size, "gate-shut", self._coarse[:1])
        self._begin()

    def _begin(self) -> None:
        self._held = _Held()
        self._known: Mask = np.zeros((0, self._fine), dtype=bool)
        self._steady = self._known.copy()
        self._pressure: Array = np.zeros((0, self._fine))

    def thresholds(
        self,
        keys: Sequence[Hashable],
        patches: Sequence[tuple[Patch, ...]],
        speeds: Array,
        wanted: Array,
        solve: Solve,
    ) -> Array:
        """Where each shut-gate balance first reaches its boost, on the fine speeds and straight between two: (k,)
        [rad/s]; nan where it does not, minus infinity where the lowest speed already does.

        keys    alike where the curve is the same; patches of each case
        speeds  (k, fine) [rad/s]; wanted (k,) [Pa]
        solve   states of records
        """
        if len(self._held.place) > _MOST_CURVES:
            self._begin()
        places, _ = self._held.of(keys)
        held = len(self._held.place)
        self._known, self._steady = _grown(self._known, held), _grown(self._steady, held)  # type: ignore[assignment]
        self._pressure = _grown(self._pressure, held)  # type: ignore[assignment]
        met, first_case, member = np.unique(places, return_index=True, return_inverse=True)
        self._block.put([patches[case] for case in first_case.tolist()])
        search = _Search(places, wanted, self._fine)

        def look(cases: NDArray[np.intp], rows: NDArray[np.intp]) -> None:
            """Rows (k, r) of cases (k,)."""
            todo = np.unique(
                (member[cases][:, None] * self._fine + rows)[~self._known[places[cases][:, None], rows]]
            )
            if todo.size:
                at, row = np.divmod(todo, self._fine)
                states = solve(self._block.records(at, row))
                here = met[at], row
                self._known[here] = True
                self._steady[here] = states["outcome"] == SOLVED
                self._pressure[here] = states["pressure_im"]
            search.saw(cases, rows, self._steady, self._pressure)

        everyone = np.arange(len(keys))
        look(everyone, np.tile(self._coarse[:_FIRST], (everyone.size, 1)))
        if (rest := everyone[~search.reached.any(axis=1)]).size:
            look(rest, np.tile(self._coarse[_FIRST:], (rest.size, 1)))
        first = np.where(search.reached.any(axis=1), search.reached.argmax(axis=1), self._fine)
        if (inner := everyone[(first > 0) & (first < self._fine)]).size:
            look(inner, first[inner][:, None] + np.arange(1 - _STRIDE, 0))
        first = search.reached.argmax(axis=1)
        # where it runs away, the two steady speeds before that tell where the boost is reached
        if (away := everyone[(first > 1) & ~search.steady[everyone, first]]).size:
            look(away, first[away][:, None] - 2)
        return search.crossings(speeds)


class _Search:
    """What k cases have seen of their curves: only what each of them asked for, so that company changes nothing."""

    def __init__(self, places: NDArray[np.intp], wanted: Array, fine: int) -> None:
        self._places, self._wanted = places, wanted
        self.pressure = np.full((places.size, fine), np.nan)
        self.steady = np.zeros((places.size, fine), dtype=bool)
        self.reached = np.zeros((places.size, fine), dtype=bool)

    def saw(self, cases: NDArray[np.intp], rows: NDArray[np.intp], steady: Mask, pressure: Array) -> None:
        """Rows (k, r) of cases (k,), taken from all curves."""
        here, there = (cases[:, None], rows), (self._places[cases][:, None], rows)
        self.steady[here], self.pressure[here] = steady[there], pressure[there]
        self.reached[here] = ~steady[there] | (pressure[there] >= self._wanted[cases][:, None])

    def crossings(self, speeds: Array) -> Array:
        """Thresholds (k,) [rad/s] on speeds (k, fine); see ``ShutCurves.thresholds``."""
        case, i = np.arange(len(speeds)), self.reached.argmax(axis=1)
        low, high = speeds[case, i - 1], speeds[case, i]
        j = np.where(self.steady[case, i], i, i - 1)
        a, b = self.pressure[case, j - 1], self.pressure[case, j]
        start, step = speeds[case, j - 1], speeds[case, j] - speeds[case, j - 1]
        with np.errstate(divide="ignore", invalid="ignore"):
            found = np.where(b > a, start + (self._wanted - a) / (b - a) * step, high)
        found = np.where(j <= 0, high, np.minimum(np.maximum(found, low), high))
        found = np.where(i == 0, -np.inf, found)
        return np.where(self.reached.any(axis=1), found, np.nan)
