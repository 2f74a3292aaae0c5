"""Which row asks which channel: the cycle of a logger that asks one channel at a time and repeats the others."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Polled", "changed_rows", "cycle_of_changes", "polled_rows"]

Rows = NDArray[np.intp]

LONGEST_CYCLE = 96
"""Longest cycle looked for, in rows."""
_ENOUGH = 12  # changes from which a channel's own cycle is believed
_SHARE = 0.85  # of its steps between changes that are whole cycles
_PHASE = 0.75  # of a channel's changes that stand in one place of the cycle


@dataclass(frozen=True, eq=False)
class Polled:
    """A channel in a cycle.

    cycle  rows from one question to the next
    fresh  (n,) bool, the rows in which it was asked; between stretches whose place in the cycle is not known, only
           those in which it changed
    slips  how often the cycle lost its place
    members channels that share the cycle; one alone may be a quantity that moves in even steps
    known  False where it changes too rarely for its place in the cycle; then any row of the cycle stands for it
    """

    cycle: int
    fresh: NDArray[np.bool_]
    slips: int
    members: int
    known: bool


def changed_rows(value: NDArray[np.float64]) -> Rows:
    """Rows (m,) whose value is not that of the row before; the first one with a value counts, NaN never does."""
    there = np.isfinite(value)
    changed = np.zeros(value.size, dtype=bool)
    changed[1:] = there[1:] & ~(value[1:] == value[:-1])
    if value.size:
        changed[0] = there[0]
    return np.flatnonzero(changed)


def cycle_of_changes(rows: Rows) -> int:
    """Longest cycle of which nearly all steps between changes are multiples; 1 where there is none.

    rows  (m,) rows in which a channel changed
    A value asked every N rows can change only every N rows. Of random steps a share 1/N would fit: twelve steps with
    85 % of them whole are no chance.
    """
    steps = np.diff(rows)
    if steps.size < _ENOUGH:
        return 1
    longest = min(LONGEST_CYCLE, int(np.quantile(steps, 0.5)))
    for cycle in range(longest, 1, -1):
        if np.mean(steps % cycle == 0) >= _SHARE:
            return cycle
    return 1


def polled_rows(changes: Mapping[str, Rows], count: int) -> dict[str, Polled]:
    """The channels of one table that are asked in a cycle.

    changes  name -> rows in which it changed
    count    rows of the table
    Channels with the same cycle are looked at together: each has its place in it, and where two changes that follow
    each other in the table agree on where the cycle stands, every question between them is known.
    """
    own = {name: cycle_of_changes(rows) for name, rows in changes.items()}
    weight = {c: sum(changes[n].size for n, k in own.items() if k == c) for c in set(own.values()) - {1}}
    for name, cycle in own.items():  # one that changes rarely may seem to be asked at a multiple of its cycle
        shorter = [c for c in weight if cycle % c == 0 and weight[c] > 4 * changes[name].size]
        own[name] = min(shorter, default=cycle)
    found: dict[str, Polled] = {}
    for cycle in sorted(weight, key=lambda c: -weight[c]):
        members = [name for name, k in own.items() if k == cycle and name not in found]
        if members:
            found.update(_one_cycle(changes, members, cycle, count, found, one_at_a_time=len(members) > 2))
    return found


def _one_cycle(
    changes: Mapping[str, Rows],
    members: list[str],
    cycle: int,
    count: int,
    done: Mapping[str, Polled],
    *,
    one_at_a_time: bool,
) -> dict[str, Polled]:
    """Channels of one cycle; the rarely changing ones join where their changes stand in one place of it."""
    lead = max(members, key=lambda name: changes[name].size)
    places = {name: _place(changes[lead], changes[name], cycle) for name in members}
    where, slips = _where_the_cycle_stands(changes, places, cycle, count)
    rest = [n for n in changes if n not in places and n not in done] if one_at_a_time else []
    taken = {place % cycle for place in places.values()}
    for name in rest:
        rows = _seen(changes[name])
        rows = rows[where[rows] >= 0]
        if rows.size:
            hits = np.bincount((rows - where[rows]) % cycle, minlength=cycle)
            place = int(np.argmax(hits))
            if hits.max() >= _PHASE * rows.size and (rows.size > 1 or place not in taken):
                places[name] = place
                taken.add(place)
    if len(places) > len(members):
        where, slips = _where_the_cycle_stands(changes, places, cycle, count)
    out = {}
    row = np.arange(count)
    for name, place in places.items():
        fresh = (where >= 0) & ((row - where - place) % cycle == 0)
        fresh[_seen(changes[name])] = True
        out[name] = Polled(cycle, fresh, slips, len(places), True)
    free = [k for k in range(cycle) if k not in taken] or [0]
    for name in rest:
        if name not in places and changes[name].size <= 3 and not _breaks(changes[name], where, cycle):
            fresh = (where >= 0) & ((row - where - free[0]) % cycle == 0)
            free = free[1:] or free
            fresh[_seen(changes[name])] = True
            out[name] = Polled(cycle, fresh, slips, len(places), False)
    return out


def _seen(changes: Rows) -> Rows:
    """Changes without the table's first row, which may repeat a value from before the table."""
    return changes[1:] if changes.size and changes[0] == 0 else changes


def _breaks(rows: Rows, where: NDArray[np.intp], cycle: int) -> bool:
    """True where changes known in their place stand in several places of the cycle."""
    rows = rows[1:]
    rows = rows[where[rows] >= 0]
    return bool(np.unique((rows - where[rows]) % cycle).size > 1)


def _place(lead: Rows, rows: Rows, cycle: int) -> int:
    """Place in the cycle after the leading channel: the commonest one over neighbouring changes."""
    at = np.clip(np.searchsorted(lead, rows, side="right") - 1, 0, lead.size - 1)
    near = rows - lead[at]
    near = near[np.abs(near) <= 3 * cycle] if (np.abs(near) <= 3 * cycle).sum() >= 3 else near
    return int(np.argmax(np.bincount(near % cycle, minlength=cycle)))


def _where_the_cycle_stands(
    changes: Mapping[str, Rows], places: Mapping[str, int], cycle: int, count: int
) -> tuple[NDArray[np.intp], int]:
    """Row of the cycle's start modulo the cycle (n,), -1 where it is not known; and how often it slipped."""
    events = np.concatenate([changes[name][1:] for name in places])
    start = np.concatenate([(changes[name][1:] - place) % cycle for name, place in places.items()])
    order = np.argsort(events, kind="stable")
    events, start = events[order], start[order]
    where = np.full(count, -1, dtype=np.intp)
    if not events.size:
        return where, 0
    agree = start[1:] == start[:-1]
    which = np.clip(np.searchsorted(events, np.arange(count), side="right") - 1, 0, events.size - 1)
    follows = np.append(agree, True)[which]
    where = np.where(follows | (events[which] == np.arange(count)), start[which], -1)
    where[: events[0]] = start[0]
    return where, _slips(start)


def _slips(start: NDArray[np.intp]) -> int:
    """Changes of place that hold for more than one event."""
    if start.size < 2:
        return 0
    holds = np.append(start[1:] == start[:-1], True)
    kept = start[holds]
    return int(np.count_nonzero(kept[1:] != kept[:-1]))
