"""Records of many cases in one block that is written once and then only where a case differs from the last one there.

A record holds some 500 numbers, and most of them are the same in every case of a what-if; so each place in the block
remembers which parts stand in it.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from itertools import count as counted

import numpy as np
from numpy.typing import NDArray

from boostwright.components.compressor import CompressorSurface
from boostwright.solve.case_parts import Fields, Parts, PulseTables
from boostwright.solve.kernel.layout import MODES, POINT
from boostwright.solve.problem import shaft_speed_ceiling

__all__ = ["UNREAD", "Batch", "Block", "Patch", "Patches", "SharedPatches", "Tables"]

Array = NDArray[np.float64]
_WORD = 8
_MODE = POINT.fields["mode"][1] // _WORD  # type: ignore[index]
_SCALE = "turbine_flow_scale"  # stands with the turbine's tables, which housings of one family share
_MOST_TEMPLATES = 16
_MOST_PATCHES = 2000
_LEAST_ROOM = 128  # rows of tables
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
    kind    the same number for patches that write to the same places
    everywhere (k,) at places (k,); by_speed (n, j) at places (j,)
    shut, floor  alike for patches that differ in nothing that a state with the gate shut, or fully open, reads
    """

    fields: tuple[str, ...]
    kind: int
    places: NDArray[np.intp]
    everywhere: Array
    speed_places: NDArray[np.intp]
    by_speed: Array
    shut: Hashable
    floor: Hashable


_ACTUATOR = frozenset(
    {
        "diaphragm_area",
        "spring_force",
        "spring_rate",
        "friction_force",
        "head_area",
        "back_area",
        "head_force_fall",
        "signal_from_plenum",
        "signal_share",
        "signal_share_low",
        "target_pressure",
    }
)
_VALVE = frozenset(
    {
        "gate_diameter",
        "gate_stem_diameter",
        "gate_full_lift",
        "gate_discharge_curtain",
        "gate_discharge_seat",
        "gate_lever",
        "takeoff_form",
        "takeoff_angle",
        "takeoff_area_ratio",
        "takeoff_loss",
        "branch_loss",
    }
)
UNREAD = {"gate-shut": _ACTUATOR | _VALVE, "gate-open": _ACTUATOR}
"""Point fields on which outcome, pressures, flows and speeds of a state do not hang, by mode: a valve that is shut
passes nothing, and one that is fully open asks no actuator. Held by a test that solves with other values in them."""

_KINDS: dict[tuple[tuple[int, ...], tuple[int, ...]], int] = {}
_NUMBERS = counted()


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
    kind = _KINDS.setdefault((tuple(places), tuple(speed_places)), len(_KINDS))
    number = next(_NUMBERS)
    return Patch(
        tuple(fields),
        kind,
        np.array(places, dtype=np.intp),
        np.array(values),
        np.array(speed_places, dtype=np.intp),
        columns,
        *(_alike(fields, UNREAD[mode], number) for mode in ("gate-shut", "gate-open")),
    )


def _alike(fields: Fields, unread: frozenset[str], number: int) -> Hashable:
    """What tells a patch from others where some fields are not read; its own number where it has none of those."""
    if unread.isdisjoint(fields):
        return number
    return tuple((name, np.asarray(value).tobytes()) for name, value in fields.items() if name not in unread)


class Tables:
    """Compressor surfaces and turbine tables of the cases at hand, each once."""

    def __init__(self) -> None:
        """Empty."""
        self._maps, self._turbines = _Stack(), _Stack()
        self._place: dict[int, tuple[int, object]] = {}

    def of_compressor(self, surface: CompressorSurface) -> int:
        """Place of a surface among the maps."""
        if id(surface) not in self._place:
            self._place[id(surface)] = self._maps.put(surface.table[None, :]), surface
        return self._place[id(surface)][0]

    def of_turbine(self, pulses: PulseTables) -> int:
        """Place of the first of a turbine's tables."""
        tables = pulses.turbines
        if id(tables) not in self._place:
            self._place[id(tables)] = self._turbines.put(tables), tables
        return self._place[id(tables)][0]

    @property
    def full(self) -> bool:
        """True when it is time to begin again."""
        return self._turbines.count > _MOST_TABLES

    def arrays(self) -> tuple[Array, Array]:
        """Maps (k, m) and turbines (j, l), the short ones filled up; they stay as they are when more are put in."""
        return self._maps.array(), self._turbines.array()


class _Stack:
    """Rows of different length in one array that grows; rows that are there are never written again."""

    def __init__(self) -> None:
        self._array: Array = np.zeros((0, 0))
        self.count = 0

    def put(self, rows: Array) -> int:
        """Put rows behind the others; returns the place of the first."""
        first, last = self.count, self.count + len(rows)
        held, width = self._array.shape
        if last > held or rows.shape[1] > width:
            # memory that nobody has written to costs nothing, and to move what is there does
            room = last if last <= held else max(last, 2 * held, _LEAST_ROOM)
            grown = np.empty((room, max(width, rows.shape[1])))
            grown[:first, :width], grown[:first, width:] = self._array[:first], 0.0
            self._array = grown
        self._array[first:last, : rows.shape[1]], self._array[first:last, rows.shape[1] :] = rows, 0.0
        self.count = last
        return first

    def array(self) -> Array:
        """The rows put in so far."""
        return self._array[: self.count]


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
    """Records of ``count`` cases at n speeds: points (count, n) of POINT.

    What is the same at all speeds of a case is gathered first and written word by word for all cases together, and
    only where it differs from what stands there: a record is long, and to touch it costs more than to compare.
    """

    def __init__(self, count: int, mode: str, rows: NDArray[np.intp]) -> None:
        """Empty records in a mode, at some ``rows`` (n,) of the speeds that the patches are made for."""
        self._rows = rows
        self._points = np.zeros((count, rows.size), POINT)
        self._words = self._points.view(np.float64).reshape(count, rows.size, -1)
        words = self._words.shape[-1]
        self._now, self._there = np.zeros((count, words)), np.zeros((count, words))
        self._by_speed = np.zeros((count, words), dtype=bool)
        self._held: list[list[Patch | None]] = []  # slot by slot, a patch a case
        self._templates: dict[tuple[Patch | None, ...], Array] = {}
        self.in_modes(np.full(count, MODES.index(mode)))

    def in_modes(self, modes: NDArray[np.int64]) -> None:
        """The first cases in modes (k,) of their own."""
        self._now[: modes.size, _MODE] = modes.astype(np.int64).view(np.float64)

    def put(self, cases: Sequence[tuple[Patch, ...]]) -> None:
        """Cases into the first places; their patches come in the same order for every case."""
        if not self._held:
            self._held = [[None] * len(self._now) for _ in cases[0]]
        for slot, patches in enumerate(zip(*cases, strict=True)):
            held = self._held[slot]
            if held[: len(patches)] == list(patches):  # the very same objects: patches know no other equality
                continue
            kinds: dict[int, list[int]] = {}
            for case, (patch, old) in enumerate(zip(patches, held, strict=False)):
                if patch is not old:
                    kinds.setdefault(patch.kind, []).append(case)
                    if old is not None and old.kind != patch.kind:
                        self._take_out(case, old)
            for members in kinds.values():
                self._write(members, [patches[case] for case in members])
            held[: len(patches)] = patches

    def _take_out(self, case: int, patch: Patch) -> None:
        """What the new part says nothing of is zero, as in a record made anew."""
        self._now[case, patch.places] = self._now[case, patch.speed_places] = 0.0
        self._by_speed[case, patch.speed_places] = False

    def _write(self, cases: list[int], patches: list[Patch]) -> None:
        """Patches of one kind, one a case."""
        first = patches[0]
        places, rows = first.places, np.array(cases)[:, None]
        self._now[rows, places] = [patch.everywhere for patch in patches]
        self._by_speed[rows, places] = False
        if not first.speed_places.size:
            return
        self._by_speed[rows, first.speed_places] = True
        self._there[rows, first.speed_places] = np.nan
        for patch in dict.fromkeys(patches):
            own = [case for case, its in zip(cases, patches, strict=True) if its is patch]
            at = np.ix_(np.array(own), np.arange(self._rows.size), patch.speed_places)
            self._words[at] = patch.by_speed[self._rows]

    def written(self, count: int) -> NDArray[np.void]:
        """Points (count, n) of the first cases, with all that was put in."""
        now, there, words = self._now[:count], self._there[:count], self._words[:count]
        by_speed = self._by_speed[:count]
        changed = (now != there) & ~by_speed
        for place in np.flatnonzero(changed.any(axis=0)).tolist():
            cases = np.flatnonzero(changed[:, place])
            if cases.size == count:
                words[:, :, place] = now[:, None, place]
            else:
                words[cases, :, place] = now[cases, None, place]
        np.copyto(there, now, where=~by_speed)
        return self._points[:count]

    def records(self, cases: NDArray[np.intp], rows: NDArray[np.intp]) -> NDArray[np.void]:
        """Points (m,) of cases (m,) at other rows (m,) of the speeds."""
        by_speed = [held for held in self._held if any(p is not None and p.speed_places.size for p in held)]
        met, member = np.unique(cases, return_inverse=True)
        groups: dict[tuple[Patch | None, ...], list[int]] = {}
        for index, case in enumerate(met.tolist()):
            groups.setdefault(tuple([held[case] for held in by_speed]), []).append(index)
        out = np.empty((rows.size, self._words.shape[-1]))
        for key, members in groups.items():
            here = np.flatnonzero(np.isin(member, members)) if len(groups) > 1 else np.arange(rows.size)
            everywhere = np.flatnonzero(~self._by_speed[met[members[0]]])
            part = self._template(key)[rows[here]]
            part[:, everywhere] = self._now[np.ix_(cases[here], everywhere)]
            out[here] = part
        return out.reshape(-1).view(POINT)

    def _template(self, key: tuple[Patch | None, ...]) -> Array:
        """Words (speeds, words) of what goes by speed."""
        if key not in self._templates:
            if len(self._templates) >= _MOST_TEMPLATES:
                self._templates.clear()
            by_speed = [patch for patch in key if patch is not None and patch.speed_places.size]
            made = np.zeros((len(by_speed[0].by_speed), self._words.shape[-1]))
            for patch in by_speed:
                made[:, patch.speed_places] = patch.by_speed
            self._templates[key] = made
        return self._templates[key]
