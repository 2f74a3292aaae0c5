"""A made log as text, in the habits that loggers have; every file says first that its data are invented."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.made.file_faults import Broken, break_lines, plan_of
from boostwright.logs.made.readings import numbers_of
from boostwright.logs.made.recorded import Recorded, RecordedFault

__all__ = ["HABITS", "Habit", "text_bytes"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Habit:
    """How a logger writes.

    separator, decimal  one sign each; end: what ends a line
    header    "brackets": name [unit]; "round": name (unit); "row": a row of units under the names; "bare": no units
    encoding  of the file
    time      "seconds", "minutes" (mm:ss.sss), "clock" (hh:mm:ss.sss) or "counter" (ms that begin anew at 65536)
    time_name name of the time column; long: one value a row
    """

    separator: str = ","
    decimal: str = "."
    end: str = "\n"
    header: str = "brackets"
    encoding: str = "utf-8"
    time: str = "seconds"
    time_name: str = "Time"
    long: bool = False


HABITS: dict[str, Habit] = {
    "comma": Habit(),
    "plain": Habit(header="bare", time_name="time"),
    "semicolon": Habit(";", ",", "\r\n", "row", "cp1252", time_name="Zeit"),
    "tab": Habit("\t", ".", "\r\n", "round", "utf-8", "minutes"),
    "clock": Habit(",", ".", "\n", "brackets", "utf-8", "clock", "Clock"),
    "one-value-a-row": Habit(",", ".", "\n", "brackets", "utf-8", "seconds", "time", long=True),
}
"""Habits of writing by name."""


def text_bytes(log: Recorded, about: Sequence[str]) -> tuple[bytes, tuple[RecordedFault, ...]]:
    """A log as the bytes of a file, and the faults of the file that are in it.

    about  sentences that stand first, each a comment line: that the data are invented, and where from
    """
    habit, plan = plan_of(HABITS[log.logger.writing], log)
    rows = _long_rows(log, habit) if habit.long else _wide_rows(log, habit, plan.shifted)
    head = _head(log, habit)
    if habit.encoding == "cp1252":
        head = [line.replace("λ", "lambda") for line in head]
    comments = [f"# {sentence}" for sentence in about]
    broken = break_lines(comments, head, rows, habit, plan)
    return habit.end.join(broken.lines).encode(habit.encoding, "replace") + _tail(
        broken, habit
    ), broken.faults


def _tail(broken: Broken, habit: Habit) -> bytes:
    return b"" if broken.cut else habit.end.encode()


def _head(log: Recorded, habit: Habit) -> list[str]:
    """The line of names, and that of units where it stands apart."""
    if habit.long:
        return [habit.separator.join([habit.time_name, "channel", "value", "unit"])]
    instruments = log.logger.instruments
    time_unit = {"seconds": "s", "counter": "ms"}.get(habit.time, "")
    pairs = [(habit.time_name, time_unit), *((one.name, one.unit) for one in instruments)]
    if habit.header == "row":
        return [
            habit.separator.join(name for name, _ in pairs),
            habit.separator.join(unit for _, unit in pairs),
        ]
    form = {"brackets": "{} [{}]", "round": "{} ({})"}.get(habit.header)
    return [habit.separator.join(form.format(n, u) if form and u else n for n, u in pairs)]


def _wide_rows(log: Recorded, habit: Habit, shifted: Array) -> list[str]:
    columns = [_stamps(shifted, habit)]
    for index, instrument in enumerate(log.logger.instruments):
        numbers = numbers_of(instrument, log.rows_of(index))
        columns.append(_cells(numbers, instrument.digits, habit))
    return [habit.separator.join(row) for row in zip(*columns, strict=True)]


def _long_rows(log: Recorded, habit: Habit) -> list[str]:
    """One value a row, each at the time at which it was sampled."""
    times, cells, order = [], [], []
    start = log.logger.offset
    for index, reading in enumerate(log.readings):
        instrument = reading.instrument
        numbers = _cells(numbers_of(instrument, reading.value), instrument.digits, habit)
        shown = (reading.taken - start) * (1.0 + log.logger.drift)
        times.append(shown)
        cells += [
            f"{instrument.name}{habit.separator}{cell}{habit.separator}{instrument.unit}" for cell in numbers
        ]
        order.append(np.full(shown.size, index))
    stamp = np.concatenate(times)
    rank = np.lexsort((np.concatenate(order), stamp))
    shown_first = _stamps(stamp[rank], habit)
    return [f"{time}{habit.separator}{cells[k]}" for time, k in zip(shown_first, rank.tolist(), strict=True)]


def _cells(numbers: Array, digits: int, habit: Habit) -> list[str]:
    form = f"%.{digits}f"
    texts = [form % number if number == number else "" for number in numbers.tolist()]
    return texts if habit.decimal == "." else [text.replace(".", habit.decimal) for text in texts]


def _stamps(time: Array, habit: Habit) -> list[str]:
    """Times [s] as the habit writes them, to the millisecond."""
    if habit.time == "seconds":
        return _cells(time, 3, habit)
    whole = np.round(time * 1e3).astype(np.int64)
    if habit.time == "counter":
        return [str(ms) for ms in (whole % 65536).tolist()]
    if habit.time == "minutes":
        return [f"{ms // 60000:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}" for ms in whole.tolist()]
    day = (whole % 86_400_000).tolist()
    return [f"{ms // 3600000:02d}:{ms // 60000 % 60:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}" for ms in day]
