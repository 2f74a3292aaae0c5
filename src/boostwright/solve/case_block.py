"""Records of many cases in one block that is written once and then only where a case differs from the last one there.

A record holds some 500 numbers, and most of them are the same in every case of a what-if; so each place in the block
remembers which parts stand in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.components.compressor import CompressorSurface
from boostwright.solve.case_parts import Fields, Parts, PulseTables
from boostwright.solve.kernel.layout import MODES, POINT
from boostwright.solve.problem import shaft_speed_ceiling

__all__ = ["Batch", "Block", "Patch", "Patches", "SharedPatches", "Tables"]

Array = NDArray[np.float64]
_WORD = 8
_SCALE = "turbine_flow_scale"  # stands with the turbine's tables, which housings of one family share
_MOST_TEMPLATES = 16
_MOST_PATCHES = 2000
_MOST_TABLES = 4000  # rows of turbine tables, some 200 kB each when they are large


@dataclass(frozen=True)
class Batch:
    """Records and the tables they name, as the solver takes them."""

    points: NDArray[np.void]
    maps: Array
    turbines: Array


@dataclass(frozen=True, eq=False)
class Patch:
    """What a part puts into the records: words of the record by place, one value for all speeds or one a speed.

    fields  names of the point fields, in their order
    everywhere (k,) at places (k,); by_speed (n, j) at places (j,)
    """

    fields: tuple[str, ...]
    places: NDArray[np.intp]
    everywhere: Array
    speed_places: NDArray[np.intp]
    by_speed: Array


def _patch(fields: Fields, speeds: int) -> Patch:
    """The patch of point fields for a number of speeds."""
    places: list[int] = []
    values: list[float] = []
    by_speed: list[Array] = []
    speed_places: list[int] = []
    for name, value in fields.items():
        kind, offset = POINT.fields[name][:2]  # type: ignore[index]
        start = offset // _WORD
        width = kind.itemsize // _WORD
        array = np.asarray(value)
        words = np.asarray(array, dtype=np.int64 if kind == np.dtype("i8") else float)
        words = words.view(np.float64) if words.dtype == np.int64 else words
        if words.ndim == 0 or (width > 1 and words.ndim == 1):
            places += range(start, start + width)
            values += np.broadcast_to(words, (width,)).tolist()
        else:
            speed_places += range(start, start + width)
            by_speed.append(words.reshape(speeds, width))
    columns = np.concatenate(by_speed, axis=1) if by_speed else np.empty((speeds, 0))
    return Patch(
        tuple(fields),
        np.array(places, dtype=np.intp),
        np.array(values),
        np.array(speed_places, dtype=np.intp),
        columns,
    )


class Tables:
    """Compressor surfaces and turbine tables of the cases at hand, each once."""

    def __init__(self) -> None:
        """Empty."""
        self._maps: list[Array] = []
        self._turbines: list[Array] = []
        self._place: dict[int, tuple[int, object]] = {}
        self._rows = 0
        self._made: tuple[Array, Array] | None = None

    def of_compressor(self, surface: CompressorSurface) -> int:
        """Place of a surface among the maps."""
        if id(surface) not in self._place:
            self._place[id(surface)] = len(self._maps), surface
            self._maps.append(surface.table[None, :])
            self._made = None
        return self._place[id(surface)][0]

    def of_turbine(self, pulses: PulseTables) -> int:
        """Place of the first of a turbine's tables."""
        tables = pulses.turbines
        if id(tables) not in self._place:
            self._place[id(tables)] = self._rows, tables
            self._turbines.append(tables)
            self._rows += len(tables)
            self._made = None
        return self._place[id(tables)][0]

    @property
    def full(self) -> bool:
        """True when it is time to begin again."""
        return self._rows > _MOST_TABLES

    def arrays(self) -> tuple[Array, Array]:
        """Maps (k, m) and turbines (j, l), the short ones filled up."""
        if self._made is None:
            self._made = _stacked(self._maps), _stacked(self._turbines)
        return self._made


def _stacked(tables: Sequence[Array]) -> Array:
    width = max(table.shape[1] for table in tables)
    out = np.zeros((sum(len(table) for table in tables), width))
    row = 0
    for table in tables:
        out[row : row + len(table), : table.shape[1]] = table
        row += len(table)
    return out


SharedPatches = dict[int, tuple[Patch, object]]
"""Patches that go by no speed, by the identity of their fields; the fields are kept with them."""


class Patches:
    """Patches of parts, each made once."""

    def __init__(self, speeds: int, tables: Tables, shared: SharedPatches) -> None:
        """For a number of speeds, with the places of ``tables``; ``shared`` are patches that go by no speed."""
        self._speeds, self._tables, self._shared = speeds, tables, shared
        self._known: dict[tuple[int, ...], tuple[Patch, object]] = {}

    def of(self, parts: Parts) -> tuple[Patch, ...]:
        """Patches that make a record of the parts."""
        known = self._known
        found = [known.get((id(fields),)) or self._make(fields) for fields in parts.fields]
        for pair in ((parts.compressor, parts.ambient), (parts.turbine, parts.pulses)):
            found.append(known.get((id(pair[0]), id(pair[1]))) or self._make(*pair))
        return tuple([patch for patch, _ in found])

    def _make(self, *source: object) -> tuple[Patch, object]:
        if len(self._known) > _MOST_PATCHES:
            self._known.clear()
        key = tuple(map(id, source))
        shared = self._shared.get(id(source[0])) if len(source) == 1 else None
        self._known[key] = shared or (_patch(self._fields(source), self._speeds), source)
        if len(source) == 1 and not self._known[key][0].speed_places.size:
            if len(self._shared) > _MOST_PATCHES:
                self._shared.clear()
            self._shared[id(source[0])] = self._known[key]
        return self._known[key]

    def _fields(self, source: tuple[object, ...]) -> Fields:
        first = source[0]
        if isinstance(first, CompressorSurface):
            return {
                "compressor_index": self._tables.of_compressor(first),
                "shaft_speed_ceiling": shaft_speed_ceiling(first, source[1]),  # type: ignore[arg-type]
            }
        if len(source) == 2:
            wheel, pulses = source
            index = self._tables.of_turbine(pulses) + pulses.index  # type: ignore[arg-type, attr-defined]
            return {
                "turbine_index": index,
                "turbine_radius": wheel.wheel_diameter / 2.0,  # type: ignore[attr-defined]
                _SCALE: pulses.flow_scale,  # type: ignore[attr-defined]
            }
        return {name: value for name, value in first.items() if name != _SCALE}  # type: ignore[attr-defined]


class Block:
    """Records of ``count`` cases at n speeds in some modes: points (modes, count, n) of POINT.

    What is the same at all speeds of a case is gathered first and written word by word for all cases together, and
    only where it differs from what stands there: a record is long, and to touch it costs more than to compare.
    """

    def __init__(self, count: int, modes: Sequence[str], rows: NDArray[np.intp]) -> None:
        """Empty records at some ``rows`` (n,) of the speeds that the patches are made for."""
        self._rows, self._modes = rows, modes
        self.points = np.zeros((len(modes), count, rows.size), POINT)
        self._words = self.points.view(np.float64).reshape(len(modes), count, rows.size, -1)
        words = self._words.shape[-1]
        self._now, self._there = np.zeros((count, words)), np.zeros((count, words))
        self._by_speed = np.zeros((count, words), dtype=bool)
        self._held: list[tuple[Patch | None, ...]] = [()] * count
        self._templates: dict[tuple[int, ...], tuple[Array, object]] = {}
        for layer, mode in enumerate(modes):
            self.points["mode"][layer] = MODES.index(mode)

    def put(self, place: int, patches: tuple[Patch, ...]) -> None:
        """A case into its place; ``patches`` come in the same order for every case."""
        held = self._held[place] or (None,) * len(patches)
        now, by_speed = self._now[place], self._by_speed[place]
        for patch, old in zip(patches, held, strict=True):
            if patch is old:
                continue
            if old is not None and old.fields != patch.fields:
                # what the new part says nothing of is zero, as in a record made anew
                now[old.places] = now[old.speed_places] = 0.0
                by_speed[old.speed_places] = False
            now[patch.places] = patch.everywhere
            by_speed[patch.places] = False
            if patch.speed_places.size:
                self._words[:, place][:, :, patch.speed_places] = patch.by_speed[self._rows]
                by_speed[patch.speed_places] = True
                self._there[place, patch.speed_places] = np.nan
        self._held[place] = patches

    def written(self, count: int) -> NDArray[np.void]:
        """Points (modes, count, n) of the first cases, with all that was put in."""
        now, there, words = self._now[:count], self._there[:count], self._words[:, :count]
        by_speed = self._by_speed[:count]
        changed = (now != there) & ~by_speed
        for place in np.flatnonzero(changed.any(axis=0)).tolist():
            cases = np.flatnonzero(changed[:, place])
            if cases.size == count:
                words[:, :, :, place] = now[:, None, place]
            else:
                words[:, cases, :, place] = now[cases, None, None, place]
        np.copyto(there, now, where=~by_speed)
        return self.points[:, :count]

    def records(self, cases: NDArray[np.intp], rows: NDArray[np.intp]) -> NDArray[np.void]:
        """Points (k r,) of cases (k,) at other rows (k, r) of the speeds, in the first mode."""
        groups: dict[tuple[int, ...], list[int]] = {}
        for index, case in enumerate(cases.tolist()):
            key = tuple(
                id(patch) for patch in self._held[case] if patch is not None and patch.speed_places.size
            )
            groups.setdefault(key, []).append(index)
        out = np.empty((*rows.shape, self._words.shape[-1]))
        for key, members in groups.items():
            template = self._template(key, self._held[int(cases[members[0]])])
            everywhere = ~self._by_speed[cases[members[0]]]
            part = template[rows[members]]
            part[:, :, everywhere] = self._now[cases[members]][:, None, everywhere]
            out[members] = part
        points = out.reshape(-1).view(POINT)
        points["mode"] = MODES.index(self._modes[0])
        return points

    def _template(self, key: tuple[int, ...], patches: Sequence[Patch | None]) -> Array:
        """Words (speeds, words) of what goes by speed."""
        if key not in self._templates:
            if len(self._templates) >= _MOST_TEMPLATES:
                self._templates.clear()
            by_speed = [patch for patch in patches if patch is not None and patch.speed_places.size]
            made = np.zeros((len(by_speed[0].by_speed), self._words.shape[-1]))
            for patch in by_speed:
                made[:, patch.speed_places] = patch.by_speed
            self._templates[key] = made, by_speed
        return self._templates[key][0]
