"""Bytes of a text, block by block, into arrays: the fast part, run on all processors at once.

The file is read with plain reads, not mapped into memory, so that a file cut short under us is an error and no crash.
What is not plain numbers comes out as "odd" and is dealt with in ``odd``.
"""

from __future__ import annotations

import os
import tempfile
from collections import deque
from collections.abc import Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.importers.encoding import Encoding
from boostwright.logs.records import LogError
from boostwright.numerics.delimited import ODD_WIDTH, TENS, read_rows

__all__ = ["Block", "Marks", "TextBytes", "read_blocks"]

_BLOCK = 4 << 20
_LONGEST_LINE = 16 << 20
_ODD_ROOM = 200_000
_AHEAD = 3


@dataclass(frozen=True)
class Marks:
    """Separator, decimal mark and thousands mark as bytes, and whether runs of blanks separate."""

    separator: str
    decimal: str
    thousands: str
    merge: bool

    def array(self) -> NDArray[np.int64]:
        """For the compiled reader."""
        thousands = ord(self.thousands) if len(self.thousands) == 1 and ord(self.thousands) < 128 else 0
        return np.array([ord(self.separator), ord(self.decimal), thousands, int(self.merge)], dtype=np.int64)


@dataclass
class Block:
    """Rows of one block of bytes.

    text     the bytes
    narrow   (columns, rows) float32; wide: (k, rows) float64
    odd      (m, ODD_WIDTH) what the reader left over; bytes counted within ``text``
    line_of  (rows,) line of each row within the block
    big      (columns,) largest whole number in each narrow column
    start    byte of the file at which the block begins
    lines    lines in it
    last     True at the end of the text
    """

    text: NDArray[np.uint8]
    narrow: NDArray[np.float32]
    wide: NDArray[np.float64]
    odd: NDArray[np.int64]
    line_of: NDArray[np.int64]
    big: NDArray[np.int64]
    start: int
    lines: int
    last: bool


class TextBytes:
    """A text file whose digits are single bytes; one in UTF-16 or UTF-32 is turned into UTF-8 in a temporary file."""

    def __init__(self, path: Path, encoding: Encoding) -> None:
        """Open it; raises LogError where it cannot be read."""
        self._file: IO[bytes]
        self.place = path.name
        try:
            if encoding.single_bytes:
                self._file = open(path, "rb")  # noqa: SIM115  closed by close()
                self.start = encoding.mark
            else:
                self._file = _as_utf8(path, encoding)
                self.start = 0
            self.size = os.fstat(self._file.fileno()).st_size
        except OSError as reason:
            raise LogError.of(
                path.name, f"cannot be read: {reason.strerror}.", "check the disk it lies on"
            ) from reason

    def close(self) -> None:
        """Close the file."""
        self._file.close()

    def read(self, start: int, count: int) -> bytes:
        """Bytes from a place; fewer at the end."""
        try:
            return _pread(self._file.fileno(), count, start)
        except OSError as reason:
            raise LogError.of(
                self.place, f"cannot be read: {reason.strerror}.", "check the disk it lies on"
            ) from reason

    def line_end(self, place: int) -> int:
        """First byte of the line behind a place; a line without end is cut."""
        look = place
        while look < min(self.size, place + _LONGEST_LINE):
            chunk = self.read(look, 1 << 16)
            if not chunk:
                break
            ends = [end for end in (chunk.find(b"\n"), chunk.find(b"\r")) if end >= 0]
            if ends:
                end = look + min(ends)
                return end + (2 if chunk[min(ends) : min(ends) + 2] == b"\r\n" else 1)
            look += len(chunk)
        return min(look, self.size)


def _pread(descriptor: int, count: int, start: int) -> bytes:
    if hasattr(os, "pread"):
        return os.pread(descriptor, count, start)
    os.lseek(descriptor, start, os.SEEK_SET)
    return os.read(descriptor, count)


def _as_utf8(path: Path, encoding: Encoding) -> IO[bytes]:
    """The text in UTF-8, in a file that is gone when closed; what is no character becomes a replacement sign."""
    import codecs

    decoder = codecs.getincrementaldecoder(encoding.name)(errors="replace")
    out = tempfile.TemporaryFile()  # noqa: SIM115  closed by its reader
    with open(path, "rb") as file:
        file.seek(encoding.mark)
        while chunk := file.read(1 << 20):
            out.write(decoder.decode(chunk).encode("utf-8", errors="replace"))
        out.write(decoder.decode(b"", final=True).encode("utf-8", errors="replace"))
    out.flush()
    return out


def read_blocks(
    source: TextBytes, start: int, columns: int, marks: Marks, wide_of: NDArray[np.int64], row_bytes: float
) -> Iterator[Block]:
    """The rows from byte ``start`` to the end, in order, parsed side by side.

    row_bytes  how long a row is, about
    """
    workers = max(1, min(4, os.cpu_count() or 1))
    waiting: deque[Future[list[Block]]] = deque()
    place = start
    pool = ThreadPoolExecutor(workers)
    try:
        while place < source.size or waiting:
            while place < source.size and len(waiting) < workers + _AHEAD:
                end = source.size if place + _BLOCK >= source.size else source.line_end(place + _BLOCK)
                waiting.append(pool.submit(_parse, source, place, end, columns, marks, wide_of, row_bytes))
                place = end
            yield from waiting.popleft().result()
    finally:
        for future in waiting:
            future.cancel()
        pool.shutdown(wait=True)


def _parse(
    source: TextBytes,
    start: int,
    end: int,
    columns: int,
    marks: Marks,
    wide_of: NDArray[np.int64],
    row_bytes: float,
) -> list[Block]:
    """One stretch of bytes as one block, or more where it is full of odd things."""
    text = np.frombuffer(source.read(start, end - start), dtype=np.uint8)
    blocks = []
    place = 0
    capacity = int(text.size / max(row_bytes, 1) * 1.3) + 256
    while place < text.size:
        narrow = np.empty((columns, capacity), dtype=np.float32)
        wide = np.empty((max(int(wide_of.max()) + 1, 1), capacity))
        odd = np.empty((min(_ODD_ROOM, text.size) + columns + 3, ODD_WIDTH), dtype=np.int64)
        line_of = np.empty(capacity, dtype=np.int64)
        big = np.zeros(columns, dtype=np.int64)
        found: Any = read_rows(  # type: ignore[no-untyped-call]
            text, place, text.size, marks.array(), TENS, narrow, wide, wide_of, odd, line_of, big
        )
        rows, odds, place, lines = found
        blocks.append(
            Block(
                text,
                narrow[:, :rows],
                wide[:, :rows],
                odd[:odds].copy(),
                line_of[:rows],
                big,
                start,
                lines,
                place >= text.size and end >= source.size,
            )
        )
    return blocks
