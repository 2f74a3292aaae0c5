"""The time column: which it is, what it counts, and its way to seconds from the first row.

A clock that rolls over at midnight or at the end of its counter is unrolled; one that starts anew begins a new part;
rows a little out of order are put in order. Nothing is spread or invented: rows that share a stamp keep it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.importers.cells import cell_kind, read_number
from boostwright.logs.importers.layout import Layout
from boostwright.logs.mapping.unit_words import find_unit, folded
from boostwright.logs.records import Notes

__all__ = ["Clock", "TimeColumn", "find_time"]

Array = NDArray[np.float64]

_NAMES = re.compile(
    r"^(?:(?:log|sample|rel(?:ative)?|elapsed|total|recording|mess|record|run|device|system)?[\s_.]*"
    r"(?:time|zeit|temps|tiempo|tempo|czas|tid|cas|tijd|timestamp|time stamp|zeitstempel|uhrzeit|heure|hora|ora|clock|"
    r"t|horodatage|elapsed|seconds|secs|sec|millis|milliseconds|offset)"
    r"(?:[\s_.]*(?:stamp|s|sec|seconds|ms|us|elapsed|abs|rel|of day))?)$"
)
_DATES = re.compile(r"^(?:date|datum|fecha|data|dato|dag)$")
_STEPS = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "min": 60.0, "h": 3600.0}
_FINE, _COARSE = 5e-6, 15.0  # steps between rows that a log may have [s]
_CURVE_ROWS = 8  # even steps from which on a file without a time looks like a curve
_COUNTERS = (65536.0, 32768.0, 4294967296.0, 2147483648.0, 16777216.0, 1e5, 1e6, 1e7)
"""Where counters of a column's own unit end."""
_SECONDS = (65.536, 4294.967296, 4294967.296, 86400.0, 604800.0)
"""[s] Where counters of another unit end, written as seconds: 16 and 32 bits of ms, 32 of us; a day, and the week that
position receivers count by."""


@dataclass(frozen=True)
class TimeColumn:
    """Where the time stands.

    column    index of the field; -1 where the file has none and rows are counted
    date      index of a date beside it; -1 for none
    scale     seconds in one of its units
    of_day    True for a clock that begins anew at midnight
    reason    why it was taken
    question  what could not be settled, '' where nothing
    unit      what it counts in
    """

    column: int
    date: int
    scale: float
    of_day: bool
    reason: str
    question: str
    unit: str


def find_time(layout: Layout, unit: str = "", rate: float | None = None) -> TimeColumn:
    """The time column of a table; ``unit`` is the user's word, ``rate`` [Hz] what rows are counted by without one."""
    columns = [[row[k] if k < len(row) else "" for row in layout.sample] for k in range(layout.columns)]
    kinds = [[cell_kind(cell, layout.decimal) for cell in cells] for cells in columns]
    named = [k for k, name in enumerate(layout.header.names) if _NAMES.match(_plain(name))]
    stamps = [k for k in range(layout.columns) if _mostly(kinds[k], ("clock", "date"))]
    dates = [k for k, name in enumerate(layout.header.names) if _DATES.match(_plain(name)) and k in stamps]
    clocks = [k for k in stamps if k not in dates or _mostly_with_time(columns[k])]
    numbers = [
        k
        for k in named
        if _mostly(kinds[k], ("number", "grouped")) and _rises(_numbers(columns[k], layout), 0.6)
    ]
    if numbers:
        return _number_time(layout, numbers[0], columns[numbers[0]], unit)
    if clocks:
        column = next((k for k in clocks if k in named), clocks[0])
        date = next((k for k in dates if k != column and abs(k - column) <= 2), -1)
        whole = any(kind == "date" for kind in kinds[column])
        return TimeColumn(
            column, date, 1.0, not whole and date < 0, "a clock or date in its cells", "", "clock"
        )
    others = [k for k in range(min(2, layout.columns)) if _mostly(kinds[k], ("number",))]
    for k in others:
        header_unit = find_unit(layout.header.units[k]) if layout.header.units[k] else None
        is_time = header_unit is not None and header_unit.kind == "time"
        bare = layout.header.names[k].startswith("column ")
        values = _numbers(columns[k], layout)
        if (is_time or (bare and k == 0 and _even(values))) and _rises(values):
            return _number_time(layout, k, columns[k], unit)
    text = "no column is a time: rows are counted."
    question = "" if rate else _unfit(layout, named, columns) + _ask_rate(layout, columns, kinds)
    return TimeColumn(-1, -1, 1.0 / rate if rate else 1.0, False, text, question, "rows")


def _unfit(layout: Layout, named: list[int], columns: list[list[str]]) -> str:
    """Why a column with the name of a time is none, a sentence and a blank; '' where there is no such column."""
    if not named:
        return ""
    steps = np.diff(_numbers(columns[named[0]], layout))
    if not steps.size:
        what = "holds no number"
    elif not steps.any():
        what = "stays the same from row to row"
    elif (steps <= 0).mean() >= 0.9:
        what = "falls from row to row: the rows stand in reverse order (sort them and import the file again)"
    else:
        what = "jumps to and fro: the rows stand in no order (sort them by it and import the file again)"
    return f"{layout.header.names[named[0]]} is not taken for the time, since it {what}. "


def _ask_rate(layout: Layout, columns: list[list[str]], kinds: list[list[str]]) -> str:
    """The question for a file without a time; a column in even steps shows a curve over it, as a dyno prints one."""
    for k, cells in enumerate(columns):
        steps = np.diff(_numbers(cells, layout)) if _mostly(kinds[k], ("number", "grouped")) else np.empty(0)
        if steps.size >= _CURVE_ROWS and layout.header.found and 0 < steps.min() > 0.99 * steps.max():
            return (
                f"The file has no time, and {layout.header.names[k]} rises by {steps[0]:g} from row to row: a curve "
                "over it, as a dyno prints, says nothing of ramps or lags. If it is a log, at what rate were the rows "
                "written? --rate 20 says 20 rows a second."
            )
    return "At what rate were the rows written? --rate 20 says 20 rows a second."


def _plain(name: str) -> str:
    return re.sub(r"\s*\(\d+\)$", "", folded(name)).strip(" _.[]():")


def _mostly(kinds: list[str], wanted: tuple[str, ...]) -> bool:
    filled = [kind for kind in kinds if kind not in ("empty", "missing")]
    return bool(filled) and sum(kind in wanted for kind in filled) > 0.8 * len(filled)


def _mostly_with_time(cells: list[str]) -> bool:
    return sum(":" in cell for cell in cells) > 0.8 * sum(bool(cell) for cell in cells)


def _numbers(cells: list[str], layout: Layout) -> Array:
    values = [read_number(cell, layout.decimal, layout.thousands) for cell in cells]
    return np.array([value for value in values if value is not None])


def _rises(values: Array, share: float = 0.9) -> bool:
    """True for values that rise or stand, but for a step or two back."""
    if values.size < 2:
        return values.size == 1
    steps = np.diff(values)
    return bool((steps >= 0).mean() >= share and values.max() > values.min())


def _even(values: Array) -> bool:
    """True for values that rise in even steps."""
    steps = np.diff(values)
    return bool(steps.size > 3 and (steps > 0).all() and steps.max() < 1.5 * steps.min())


def _number_time(layout: Layout, column: int, cells: list[str], said: str) -> TimeColumn:
    """The unit of a time written as a number: as said, as the header has it, by its size, or asked."""
    values = _numbers(cells, layout)
    if said:
        return TimeColumn(column, -1, _STEPS[said], False, f"time in {said}, as you said", "", said)
    header = layout.header.units[column]
    word = find_unit(header) if header else _unit_in_name(layout.header.names[column])
    if word is not None and word.kind == "time":
        return TimeColumn(
            column, -1, _STEPS[word.unit], False, f"unit {word.unit} in the header", "", word.unit
        )
    first = float(values[0]) if values.size else 0.0
    for low, high, scale, name in (
        (1e9, 3e9, 1.0, "s"),
        (1e12, 3e12, 1e-3, "ms"),
        (1e15, 3e15, 1e-6, "us"),
        (1e18, 3e18, 1e-9, "ns"),
    ):
        if low < first < high:
            return TimeColumn(column, -1, scale, False, f"{name} since 1970 by its size", "", name)
    if 36500 < first < 62000 and np.any(values != np.floor(values)):
        return TimeColumn(column, -1, 86400.0, False, "days since 1900 by their size", "", "d")
    steps = np.diff(values)
    step = float(np.median(steps[steps > 0])) if np.any(steps > 0) else 1.0
    fits = [name for name in ("s", "ms", "us") if _FINE <= step * _STEPS[name] <= _COARSE]
    fits = [name for name in fits if (name != "us" or step > 300) and (name != "ms" or step >= 1.0)]
    if len(fits) == 1 or (step < 1.0 and "s" in fits):
        name = fits[0] if len(fits) == 1 else "s"
        return TimeColumn(column, -1, _STEPS[name], False, f"steps of {step:g} fit {name} only", "", name)
    text = f"Does time count in s or ms? Its steps of {step:g} fit both. --time-unit ms says so."
    return TimeColumn(
        column, -1, 1.0 if step < 5 else 1e-3, False, "unit not settled", text, "s" if step < 5 else "ms"
    )


def _unit_in_name(name: str):  # type: ignore[no-untyped-def]
    """The unit in a name such as ``time_ms``, ``millis`` or ``seconds``."""
    if folded(name) in ("t_s", "time_s", "t s", "t.s"):
        return find_unit("s")
    for word in reversed(re.split(r"[\s_.]+", folded(name))):
        found = find_unit({"millis": "ms", "sekunden": "s", "secs": "s"}.get(word, word))
        if found is not None and found.kind == "time" and len(word) > 1:
            return found
    return None


class Clock:
    """Turns the raw stamps of one table into seconds, block after block."""

    def __init__(self, time: TimeColumn, notes: Notes) -> None:
        """At its beginning."""
        self._time, self._notes = time, notes
        self._shift, self._last, self._zero = 0.0, np.nan, np.nan
        self._step = np.nan
        self.first_raw = np.nan

    def seconds(self, raw: Array, lines: NDArray[np.int64]) -> tuple[Array, list[int]]:
        """Seconds from the first row of the part, and the rows at which a new part begins.

        raw    stamps in the column's own unit, none NaN
        lines  line of each row, for the notes
        """
        if raw.size == 0:
            return raw.copy(), []
        if np.isnan(self.first_raw):
            self.first_raw = float(raw[0])
        values = raw * self._time.scale + self._shift
        starts: list[int] = []
        before = np.concatenate([[self._last if not np.isnan(self._last) else values[0]], values[:-1]])
        steps = values - before
        if np.isnan(self._step) and np.any(steps > 0):
            self._step = float(np.median(steps[steps > 0]))
        for row in np.flatnonzero(steps < 0).tolist():
            jump = float(values[row] - (values[row - 1] if row else self._last))
            if jump >= 0:
                continue
            line = f"line {int(lines[row])}"
            period = self._period(jump, float(raw[row]) * self._time.scale)
            if period:
                values[row:] += period
                self._shift += period
                self._notes.add("clock-rolled-over", "The clock rolled over and was unrolled.", line)
            elif -jump > max(10 * (self._step if self._step > 0 else 0.0), 1.0):
                starts.append(row)
                text = "The clock starts anew: what follows is a part of its own, as if it were another file."
                self._notes.add("clock-starts-anew", text, f"{line}: back by {-jump:.3f} s")
            else:
                text = "The clock goes back a little: rows were put in the order of their stamps."
                self._notes.add("time-backwards", text, f"{line}: back by {-jump:.3g} s")
        self._last = float(values[-1])
        return self._from_zero(values, starts), starts

    def _period(self, jump: float, now: float) -> float:
        """What a step back is a roll-over of [s]; 0 where it is none."""
        step = self._step if self._step > 0 else 1.0
        if self._time.of_day:
            return next(
                (
                    p
                    for p in (86400.0, 43200.0, 3600.0)
                    if abs(p + jump) < max(50 * step, 5.0) and now < 0.2 * p
                ),
                0.0,
            )
        if self._time.unit in ("clock", "rows"):
            return 0.0
        for period in (*(count * self._time.scale for count in _COUNTERS), *_SECONDS):
            if (
                0 <= period + jump <= max(20 * step, 2.0 * self._time.scale)
                and abs(now) < 0.05 * period
                and period > 30 * step
            ):
                return period
        return 0.0

    def _from_zero(self, values: Array, starts: list[int]) -> Array:
        """The stamps counted from the first of each part."""
        if np.isnan(self._zero):
            self._zero = float(values[0])
        out = values - self._zero
        for row in starts:
            self._zero = float(values[row])
            out[row:] = values[row:] - self._zero
        return out
