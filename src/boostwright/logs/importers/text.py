"""Delimited text of any habit, as tables of raw columns, block by block: never more than a few blocks in memory."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.importers.blocks import Block, Marks, TextBytes, read_blocks
from boostwright.logs.importers.cells import cell_kind, with_unit
from boostwright.logs.importers.clock import Clock, find_time
from boostwright.logs.importers.encoding import Encoding, detect_encoding
from boostwright.logs.importers.header import Header
from boostwright.logs.importers.layout import Layout, find_layout, lines_of
from boostwright.logs.importers.long_form import LongForm, find_long_form, pivot
from boostwright.logs.importers.odd import OddReader, Other
from boostwright.logs.mapping.unit_words import find_unit
from boostwright.logs.records import Column, LogError, Notes, Rows, Table

__all__ = ["NeedsWide", "TextOptions", "read_text"]

_HEAD = 1 << 19
_LINES = 1000
_MOST_TABLES = 200
_EXACT = 1 << 24  # whole numbers beyond this are not all held by float32


@dataclass(frozen=True)
class TextOptions:
    """What the user says of a text; '' or None where it is to be found out."""

    encoding: str | None = None
    separator: str = ""
    decimal: str = ""
    time_unit: str = ""
    rate: float | None = None


class NeedsWide(Exception):  # a signal to begin again, never shown
    """Columns whose whole numbers float32 does not hold."""

    def __init__(self, columns: frozenset[int]) -> None:
        """Keep the columns."""
        self.columns = columns
        super().__init__()


def read_text(
    path: Path, notes: Notes, options: TextOptions, wide: frozenset[int] = frozenset()
) -> Iterator[Rows]:
    """The rows of a text in order; a new Table begins wherever names or clock begin anew.

    notes  filled while rows come
    wide   columns to be kept in float64
    Raises LogError where there is nothing to read, NeedsWide where float32 would lose digits.
    """
    encoding = _encoding(path, options)
    notes.add("encoding", f"Read as {encoding.name}: {encoding.reason}.")
    source = TextBytes(path, encoding)
    try:
        place, line, part, tables = source.start, 1, 0, 0
        before: Header | None = None
        place, line = _past_zeros(source, place, line, notes)
        while place < source.size:
            try:
                stretch = _Stretch(source, encoding, place, line, part, notes, options, wide, before)
            except LogError as error:
                if part == 0:
                    raise
                notes.add(
                    "rest-not-read",
                    f"What follows is no table: {error.faults[0].message}",
                    f"line {line}",
                    harm=True,
                )
                return
            yield from stretch.rows()
            if stretch.part == part and stretch.next_byte is None and part == 0 and not stretch.some:
                raise LogError.of(path.name, "has a header and no rows.", "export the log again")
            part, before = stretch.part, stretch.layout.header
            if stretch.next_byte is None:
                return
            place, line = stretch.next_byte, stretch.next_line
            tables += 1
            if tables >= _MOST_TABLES:
                text = f"More than {_MOST_TABLES} headers stand in it: what follows was left out."
                notes.add("rest-not-read", text, f"line {line}", harm=True)
                return
            notes.add(
                "another-table", "Another table begins: what follows is a part of its own.", f"line {line}"
            )
    finally:
        source.close()


def _encoding(path: Path, options: TextOptions) -> Encoding:
    samples: list[bytes] = []
    try:
        with open(path, "rb") as file:
            size = path.stat().st_size
            for start in (0, size // 2, size - (1 << 16)):
                if not samples or start > _HEAD:
                    file.seek(start)
                    samples.append(file.read(_HEAD if not samples else 1 << 16))
    except OSError as reason:
        raise LogError.of(
            path.name, f"cannot be read: {reason.strerror}.", "check the disk it lies on"
        ) from reason
    return detect_encoding(samples, options.encoding)


def _past_zeros(source: TextBytes, place: int, line: int, notes: Notes) -> tuple[int, int]:
    """Past zero bytes at the beginning."""
    begin = place
    while place < source.size:
        chunk = source.read(place, 1 << 20)
        rest = chunk.lstrip(b"\0")
        place += len(chunk) - len(rest)
        if rest:
            break
    if place > begin:
        notes.add("zero-bytes", "Zero bytes before the text; left out.", f"{place - begin} bytes", harm=True)
    if place >= source.size:
        raise LogError.of(
            source.place, "holds nothing but zero bytes.", "the recording was lost; export it again"
        )
    return place, line


class _Stretch:
    """One header and the rows under it, up to the end or to another header."""

    def __init__(
        self,
        source: TextBytes,
        encoding: Encoding,
        place: int,
        line: int,
        part: int,
        notes: Notes,
        options: TextOptions,
        wide: frozenset[int],
        before: Header | None,
    ) -> None:
        self._source, self._notes = source, notes
        head = source.read(place, _HEAD)
        lines = lines_of(head, place, line, encoding, _LINES)
        if place + len(head) < source.size and len(lines) > 2:
            lines = lines[:-1] if not head.endswith((b"\n", b"\r")) else lines
        self.layout = find_layout(lines, source.place, options.separator, options.decimal)
        self._lines = lines
        self._name_as(before)
        self._say_layout()
        self.long: LongForm | None = find_long_form(self.layout)
        self.time = find_time(self.layout, options.time_unit, options.rate)
        if self.time.question:
            notes.add("ask-time", self.time.question)
        self.part = part + 1
        self.some = False
        self.next_byte: int | None = None
        self.next_line = 0
        self._words = _word_columns(self.layout)
        self._wide_of = self._wide_columns(wide)
        self._states: dict[int, list[str]] = {}
        self._odd = OddReader(self.layout, encoding, notes, self._words, self._states, place)
        self._table = self._new_table()

    def _name_as(self, before: Header | None) -> None:
        """With the names of the part before, where none stand here and it has as many columns."""
        own = self.layout.header
        if own.found or before is None or not before.found or len(before.names) != len(own.names):
            return
        named = replace(before, first_line=own.first_line, doubles=(), unnamed=0)
        if find_time(replace(self.layout, header=named)).column >= 0:
            self.layout = replace(self.layout, header=named)
            text = "A part without a header has as many columns as the one before: it is given its names and units."
            self._notes.add("names-before", text, f"line {self.layout.data_line}")

    def _say_layout(self) -> None:
        header = self.layout.header
        for reason in self.layout.reasons:
            self._notes.add("layout", reason[0].upper() + reason[1:] + ".")
        for name, text in self.layout.questions:
            self._notes.add(f"ask-{name}", text)
        for name in header.doubles:
            self._notes.add(
                "double-name", "Names that stand more than once; the later ones got a number.", name
            )
        if not header.found:
            self._notes.add("no-header", "No header: columns are numbered.")
        elif header.unnamed and not self._only_trailing():
            self._notes.add("no-name", "Columns without a name got a number.", count=header.unnamed)
        if self.layout.thousands:
            self._notes.add(
                "thousands", f"Numbers have groups of three digits parted by '{self.layout.thousands}'."
            )

    def _only_trailing(self) -> bool:
        header = self.layout.header
        return header.unnamed == 1 and header.names[-1].startswith("column ")

    def _wide_columns(self, wide: frozenset[int]) -> NDArray[np.int64]:
        """Which columns are kept in float64: the time, dates, places on the earth, and those that were asked for."""
        names = [name.lower() for name in self.layout.header.names]
        take = {self.time.column, self.time.date} | set(wide)
        take |= {
            k
            for k, name in enumerate(names)
            if any(word in name for word in ("latitude", "longitude", "gps_l", "gps l"))
        }
        take |= self.long.wide if self.long else set()
        wide_of = np.full(self.layout.columns, -1, dtype=np.int64)
        for number, k in enumerate(sorted(k for k in take if 0 <= k < self.layout.columns)):
            wide_of[k] = number
        return wide_of

    def _new_table(self) -> Table:
        """The table for the rows to come: its columns are all but those of the time."""
        header = self.layout.header
        self._kept = [
            k
            for k in range(self.layout.columns)
            if k not in (self.time.column, self.time.date) and not self._is_trailing(k)
        ]
        units = self._cell_units()
        columns = tuple(
            Column(
                header.names[k],
                header.units[k] or units.get(k, ""),
                header.comments[k],
                wide=self._wide_of[k] >= 0,
            )
            for k in self._kept
        )
        name = header.names[self.time.column] if self.time.column >= 0 else ""
        states = {
            number: self._states.setdefault(k, []) for number, k in enumerate(self._kept) if k in self._words
        }
        self._clock = Clock(self.time, self._notes)
        return Table(self.part, 1, "", columns, name, states=states)

    def _is_trailing(self, k: int) -> bool:
        """True for the empty last column that a separator at the end of each line makes."""
        named = self.layout.header.names[k].startswith("column ")
        last = k == self.layout.columns - 1
        return last and named and all(len(row) <= k or not row[k] for row in self.layout.sample)

    def _cell_units(self) -> dict[int, str]:
        """Units that stand in the cells themselves."""
        units = {}
        for k in range(self.layout.columns):
            found = [
                with_unit(row[k], self.layout.decimal, self.layout.thousands)
                for row in self.layout.sample[:50]
                if k < len(row) and row[k]
            ]
            words = {pair[1] for pair in found if pair and find_unit(pair[1]) is not None}
            if len(words) == 1 and sum(pair is not None for pair in found) > 0.8 * len(found):
                units[k] = words.pop()
        return units

    def rows(self) -> Iterator[Rows]:
        """The rows, block by block."""
        layout = self.layout
        marks = Marks(layout.separator, layout.decimal, layout.thousands, layout.merge)
        sample = [line for line in self._lines if line.start >= layout.data_start]
        row_bytes = (sample[-1].stop - sample[0].start) / len(sample)
        line = layout.data_line
        for block in read_blocks(
            self._source, layout.data_start, layout.columns, marks, self._wide_of, row_bytes
        ):
            stop = None
            try:
                keep = self._odd.mend(block, self._wide_of, line)
            except Other as other:
                stop = other
                keep = np.arange(block.narrow.shape[1]) < other.row
                earlier = block.odd[block.odd[:, 0] < other.row]
                block = Block(
                    block.text,
                    block.narrow,
                    block.wide,
                    earlier,
                    block.line_of,
                    block.big,
                    block.start,
                    block.lines,
                    False,
                )
                keep &= self._odd.mend(block, self._wide_of, line)
            self._refuse_narrow(block)
            yield from self._emit(block, keep, block.line_of + line)
            line += block.lines
            if stop is not None:
                self.next_byte, self.next_line = stop.byte, stop.line
                return

    def _refuse_narrow(self, block: Block) -> None:
        """Raise NeedsWide where whole numbers are larger than float32 holds exactly."""
        too_big = np.flatnonzero((block.big > _EXACT) & (self._wide_of < 0))
        if too_big.size:
            raise NeedsWide(frozenset(too_big.tolist()))

    def _emit(self, block: Block, keep: NDArray[np.bool_], lines: NDArray[np.int64]) -> Iterator[Rows]:
        """The rows of one block, cut where the clock begins anew."""
        raw = self._raw_time(block, lines)
        missing = keep & ~np.isfinite(raw)
        if missing.any():
            place = f"line {int(lines[np.flatnonzero(missing)[0]])}"
            text = "Rows without a time; left out, since nothing says when they were."
            self._notes.add("row-without-time", text, place, int(missing.sum()), harm=True)
            keep = keep & ~missing
        if not keep.any():
            return
        whole = bool(keep.all())
        raw, lines = (raw, lines) if whole else (raw[keep], lines[keep])
        seconds, starts = self._clock.seconds(raw, lines)
        same = int((np.diff(seconds) == 0).sum())
        if same:
            text = "Rows share the stamp of the row before: the clock is coarser than the rows are quick."
            self._notes.add("stamps-shared", text, count=same)
        values = [self._column(block, k) if whole else self._column(block, k)[keep] for k in self._kept]
        self.some = True
        for begin, end in zip([0, *starts], [*starts, seconds.size], strict=True):
            if begin in starts:
                self.part += 1
                self._table = Table(
                    self.part, 1, "", self._table.columns, self._table.time_name, states=self._table.states
                )
            if end <= begin:
                continue
            if self.long:
                yield from pivot(
                    self.long, self._table, seconds[begin:end], [v[begin:end] for v in values], self._kept
                )
            else:
                yield _in_order(self._table, seconds[begin:end], [value[begin:end] for value in values])

    def _raw_time(self, block: Block, lines: NDArray[np.int64]) -> NDArray[np.float64]:
        if self.time.column < 0:
            count = block.narrow.shape[1]
            first = getattr(self, "_counted", 0)
            self._counted = first + count
            return np.arange(first, first + count, dtype=np.float64)
        raw: NDArray[np.float64] = block.wide[self._wide_of[self.time.column]]
        if self.time.date >= 0:
            raw = raw + block.wide[self._wide_of[self.time.date]]
        return raw

    def _column(self, block: Block, k: int) -> NDArray[Any]:
        found: NDArray[Any] = block.wide[self._wide_of[k]] if self._wide_of[k] >= 0 else block.narrow[k]
        return found


def _in_order(table: Table, time: NDArray[np.float64], values: list[NDArray[Any]]) -> Rows:
    """Rows in the order of their stamps."""
    if np.any(np.diff(time) < 0):
        order = np.argsort(time, kind="stable")
        return Rows(table, time[order], tuple(value[order] for value in values))
    return Rows(table, time, tuple(values))


def _word_columns(layout: Layout) -> set[int]:
    """Columns that hold words: more of them than numbers, and no unit behind a number."""
    words = set()
    for k in range(layout.columns):
        cells = [row[k] for row in layout.sample if k < len(row) and row[k]]
        kinds = [cell_kind(cell, layout.decimal) for cell in cells]
        dressed = sum(
            kind == "text"
            and (pair := with_unit(cell, layout.decimal, layout.thousands)) is not None
            and find_unit(pair[1]) is not None
            for cell, kind in zip(cells, kinds, strict=True)
        )
        if kinds.count("text") - dressed > 0.5 * len(kinds):
            words.add(k)
    return words
