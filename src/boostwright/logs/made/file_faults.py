"""Faults of a text file: a header again, a row cut off, a clock that begins anew, two logs glued together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.made.faults import AskedFault, SimulationError
from boostwright.logs.made.recorded import Recorded, RecordedFault

if TYPE_CHECKING:
    from boostwright.logs.made.write_text import Habit

__all__ = ["Broken", "Plan", "break_lines", "plan_of"]

Array = NDArray[np.float64]

_COUNTER = 65.536  # s, a counter of milliseconds with 16 bits
_START_OF_DAY = 47_100.0  # s, five past one


@dataclass(frozen=True, eq=False)
class Plan:
    """What of the file is to be wrong, and the stamps (r,) [s] as they are to be written.

    glued_at  row with which a second log begins; 0 for none
    faults    by code, as they were asked for
    told      what the stamps carry of them
    """

    shifted: Array
    glued_at: int
    faults: dict[str, AskedFault]
    told: tuple[RecordedFault, ...]


@dataclass(frozen=True)
class Broken:
    """The lines of the file; cut: True where the last has no end; faults: those that are in it."""

    lines: list[str]
    cut: bool
    faults: tuple[RecordedFault, ...]


def plan_of(habit: Habit, log: Recorded) -> tuple[Habit, Plan]:
    """The habit as the faults change it, and what is to become of the stamps."""
    faults = {fault.code: fault for fault in log.file_faults}
    if habit.long and (bad := [code for code in faults if code in ("glued", "clock-rolls-over")]):
        message = f"{', '.join(bad)}: not made in a file of one value a row."
        raise SimulationError.of("--fault", message, "choose another way of writing")
    stamps = log.stamps
    told = []
    if "decimal-comma" in faults:
        habit = replace(habit, separator=";", decimal=",")
        told.append(_told(faults["decimal-comma"]))
    if habit.time == "clock":
        stamps = stamps + _START_OF_DAY
    glued_at = 0
    if "glued" in faults:
        glued_at = _row(faults["glued"], stamps)
        stamps = stamps.copy()
        stamps[glued_at:] -= stamps[glued_at]
        moment = float(log.samples.rows[glued_at])
        told.append(_told(faults["glued"], at=moment, row=float(glued_at)))
    if "clock-rolls-over" in faults:
        habit, stamps, rolled = _rolling(habit, stamps, faults["clock-rolls-over"], log)
        told.append(rolled)
    return habit, Plan(stamps, glued_at, faults, tuple(told))


def _told(fault: AskedFault, **numbers: float) -> RecordedFault:
    return RecordedFault(fault.code, fault.kind.words, "", "", numbers, dict(fault.words))


def _row(fault: AskedFault, stamps: Array) -> int:
    """The row at which it happens: as long after the first as is said, else half way."""
    after = fault.numbers.get("after", 0.5 * float(stamps[-1] - stamps[0]))
    return int(np.clip(np.searchsorted(stamps, stamps[0] + after), 1, stamps.size - 1))


def _rolling(
    habit: Habit, stamps: Array, fault: AskedFault, log: Recorded
) -> tuple[Habit, Array, RecordedFault]:
    """Stamps that reach midnight, or the end of a counter of milliseconds, at the row that is wanted."""
    row = _row(fault, stamps)
    if habit.time == "clock":
        period = 86_400.0
    else:
        habit, period = replace(habit, time="counter"), _COUNTER
    shifted = stamps + (period - float(stamps[row])) % period
    moment = float(log.samples.rows[row])
    return habit, shifted, _told(fault, at=moment, row=float(row), period=period)


def break_lines(
    comments: Sequence[str], head: Sequence[str], rows: list[str], habit: Habit, plan: Plan
) -> Broken:
    """The lines of the file, with what is wrong between and in them."""
    body = list(rows)
    told = list(plan.told)
    inserts: list[tuple[int, list[str]]] = []
    if plan.glued_at and not habit.long:
        inserts.append((plan.glued_at, [*comments, *head]))
    if "repeated-header" in plan.faults:
        fault = plan.faults["repeated-header"]
        times = max(1, int(fault.numbers["times"]))
        places = [len(body) * (k + 1) // (times + 1) for k in range(times)]
        inserts += [(place, list(head)) for place in places if place != plan.glued_at]
        told.append(_told(fault, times=float(times)))
    for place, lines in sorted(inserts, reverse=True):
        body[place:place] = lines
    cut = "truncated-row" in plan.faults
    if cut:
        body[-1] = body[-1][: max(1, len(body[-1]) // 2)]
        told.append(_told(plan.faults["truncated-row"], line=float(len(comments) + len(head) + len(body))))
    return Broken([*comments, *head, *body], cut, tuple(told))
