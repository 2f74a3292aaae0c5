"""The plain part of an ASAM MDF 4 file read directly: sorted groups of fixed-length records of numbers.

Enough for what measuring programs write most; a group that has anything else is left to the library, by ``mdf``.
Source: ASAM MDF 4.1, block structure (from memory, checked against files the library writes).
"""

from __future__ import annotations

import struct
import xml.etree.ElementTree as Tree
import zlib
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["PlainChannel", "PlainGroup", "plain_groups", "read_plain", "wanted_kind"]

_KINDS = {0: "<u", 1: ">u", 2: "<i", 3: ">i", 4: "<f", 5: ">f"}
_MOST_BLOCKS = 200_000
_CHUNK = 4096  # records taken at a time, so that they stay in the processor's near memory
_PIECE = 1 << 22


@dataclass(frozen=True)
class PlainChannel:
    """A number at a place in the record: value = factor * raw + offset."""

    name: str
    unit: str
    comment: str
    place: int
    dtype: np.dtype[Any]
    factor: float
    offset: float


@dataclass(frozen=True)
class PlainGroup:
    """A group that can be read directly.

    index    its number in the file; records: how many; size: bytes of one
    master   the time; channels: all else
    data     address of its data
    """

    index: int
    name: str
    records: int
    size: int
    master: PlainChannel
    channels: tuple[PlainChannel, ...]
    data: int


class _NotPlain(Exception):  # a signal within this file
    pass


_UNREADABLE = (_NotPlain, struct.error, IndexError, OSError, OverflowError, ValueError)


class _Reader:
    def __init__(self, file: IO[bytes]) -> None:
        self._file = file

    def block(self, address: int) -> tuple[bytes, tuple[int, ...], bytes]:
        """Kind, links and data of a block."""
        self._file.seek(address)
        head = self._file.read(24)
        if len(head) < 24 or head[:2] != b"##":
            raise _NotPlain
        length, count = struct.unpack("<QQ", head[8:24])
        if count > 100_000 or length < 24 + 8 * count or length > 1 << 26:
            raise _NotPlain
        rest = self._file.read(length - 24)
        if len(rest) < length - 24:
            raise _NotPlain
        return head[2:4], struct.unpack(f"<{count}Q", rest[: 8 * count]), rest[8 * count :]

    def text(self, address: int) -> str:
        """The text of a text or comment block."""
        if not address:
            return ""
        kind, _, data = self.block(address)
        text = data.split(b"\0")[0].decode("utf-8", errors="replace")
        if kind == b"MD":
            try:
                root = Tree.fromstring(text)
            except Tree.ParseError:
                return ""
            found = root.find("{*}TX")
            return (found.text or "").strip() if found is not None else ""
        return text.strip()


def plain_groups(file: IO[bytes]) -> tuple[dict[int, PlainGroup], int]:
    """The groups that can be read directly, by their number, and how many there are; none where anything is unusual."""
    reader = _Reader(file)
    found: dict[int, PlainGroup] = {}
    index = 0
    try:
        _, links, _ = reader.block(64)
        address = links[0]
        while address and index < 10_000:
            _, links, data = reader.block(address)
            address, group, place = links[0], links[1], links[2]
            if group:
                one = _group(reader, index, group, place, data[0])
                if one is not None:
                    found[index] = one
                nested = reader.block(group)[1][0]
                if nested:
                    return {}, 0  # several groups in one stream of records: the library sorts them
                index += 1
    except _UNREADABLE:
        return {}, 0
    return found, index


def _group(reader: _Reader, index: int, address: int, data: int, id_size: int) -> PlainGroup | None:
    """One group; None where it has anything but numbers in records of one length."""
    try:
        _, links, fields = reader.block(address)
        _, records, flags, _, _, size, invalid = struct.unpack("<QQHHIII", fields[:32])
        if id_size or flags or invalid or not size or not data or links[0]:
            return None
        channels: list[PlainChannel] = []
        master: PlainChannel | None = None
        channel = links[1]
        while channel and len(channels) < 20_000:
            one, kind, following = _channel(reader, channel)
            channel = following
            if kind == 2:
                master = one
            else:
                channels.append(one)
        if master is None or not channels:
            return None
        if any(one.place + one.dtype.itemsize > size for one in (master, *channels)):
            return None  # a number that lies beyond its record
        name = reader.text(links[2])
        return PlainGroup(index, name, records, size, master, tuple(channels), data)
    except _UNREADABLE:
        return None


def _channel(reader: _Reader, address: int) -> tuple[PlainChannel, int, int]:
    """A channel, its kind (0 value, 2 master), the address of the next. Raises _NotPlain."""
    _, links, data = reader.block(address)
    kind, sync, number, bit, place, bits, _, _ = struct.unpack("<BBBBIIII", data[:20])
    if kind not in (0, 2) or (kind == 2 and sync != 1) or number not in _KINDS or bit or links[1]:
        raise _NotPlain
    if bits not in ((32, 64) if number > 3 else (8, 16, 32, 64)):
        raise _NotPlain
    factor, offset, unit = 1.0, 0.0, ""
    if links[4]:
        _, conversion, values = reader.block(links[4])
        unit = reader.text(conversion[1])
        if values[0] == 1:
            offset, factor = struct.unpack("<dd", values[24:40])
        elif values[0] != 0:
            raise _NotPlain
    unit = reader.text(links[6]) or unit
    dtype = np.dtype(f"{_KINDS[number]}{bits // 8}")
    return (
        PlainChannel(reader.text(links[2]), unit, reader.text(links[7]), place, dtype, factor, offset),
        kind,
        links[0],
    )


@dataclass(frozen=True)
class _Piece:
    """A stretch of data in the file; ``columns`` above 0 where its bytes are laid by column, and packed where so."""

    address: int
    length: int
    packed: bool
    columns: int
    original: int


def _pieces(reader: _Reader, file: IO[bytes], address: int) -> list[_Piece]:
    """Where the data of a group lie. Raises _NotPlain."""
    pieces: list[_Piece] = []
    file.seek(address)
    kind = file.read(4)
    if kind == b"##HL":
        address = reader.block(address)[1][0]
        file.seek(address)
        kind = file.read(4)
    if kind in (b"##DT", b"##DZ"):
        return [_piece(file, address)]
    while address:
        kind2, links, _ = reader.block(address)
        if kind2 != b"DL" or len(pieces) > _MOST_BLOCKS:
            raise _NotPlain
        pieces += [_piece(file, link) for link in links[1:] if link]
        address = links[0]
    return pieces


def _piece(file: IO[bytes], address: int) -> _Piece:
    file.seek(address)
    head = file.read(48)
    length, _ = struct.unpack("<QQ", head[8:24])
    if head[:4] == b"##DT":
        return _Piece(address + 24, length - 24, False, 0, length - 24)
    if head[:4] != b"##DZ" or head[24:26] != b"DT":
        raise _NotPlain
    way, _, columns, original, packed = struct.unpack("<BBIQQ", head[26:48])
    if way > 1:
        raise _NotPlain
    return _Piece(address + 48, packed, True, columns if way == 1 else 0, original)


def read_plain(
    file: IO[bytes], group: PlainGroup
) -> Iterator[tuple[NDArray[np.float64], list[NDArray[Any]]]]:
    """Time [s] and columns of a group, piece by piece; raises ValueError where the data are damaged.

    Columns are float32, but whole numbers of more than 24 bits and 64-bit floats that need it are left to the caller
    as float64.
    """
    reader = _Reader(file)
    try:
        pieces = _pieces(reader, file, group.data)
    except _UNREADABLE as reason:
        raise ValueError("data block not understood") from reason
    rest = b""
    left = group.records
    with ThreadPoolExecutor(2) as pool:
        for raw, columns in _unpacked(pool, file, pieces):
            if columns == group.size and not rest and len(raw) % group.size == 0:
                table = np.frombuffer(raw, dtype=np.uint8).reshape(columns, -1)
                take = min(left, table.shape[1])
                yield _by_planes(table[:, :take], group)
            else:
                data = rest + _untransposed(raw, columns)
                take = min(left, len(data) // group.size)
                rest = (
                    data[take * group.size :]
                    if len(data) % group.size or take * group.size < len(data)
                    else b""
                )
                yield _by_records(data, take, group, pool)
            left -= take
            if left <= 0:
                return


def _unpacked(pool: ThreadPoolExecutor, file: IO[bytes], pieces: list[_Piece]) -> Iterator[tuple[bytes, int]]:
    """The bytes of the pieces in order, unpacked a few ahead; long plain ones in parts."""
    waiting: list[Any] = []
    for piece in pieces:
        done = 0
        while done < piece.length:
            size = piece.length if piece.packed else min(_PIECE, piece.length - done)
            file.seek(piece.address + done)
            raw = file.read(size)
            if len(raw) < size and piece.packed:
                raise ValueError("data block cut off")
            done += size
            waiting.append(
                (pool.submit(_inflate, raw, piece.original) if piece.packed else raw, piece.columns)
            )
            if len(waiting) > 3:
                yield _take(waiting.pop(0))
            if not raw:
                break
    for one in waiting:
        yield _take(one)


def _take(one: tuple[Any, int]) -> tuple[bytes, int]:
    data, columns = one
    return (data if isinstance(data, bytes) else data.result()), columns


def _inflate(raw: bytes, original: int) -> bytes:
    if original > 1 << 30:
        raise ValueError("data block too long")
    try:
        return zlib.decompress(raw, bufsize=original or 1)
    except zlib.error as reason:
        raise ValueError(f"data block damaged: {reason}") from reason


def _untransposed(raw: bytes, columns: int) -> bytes:
    """Bytes laid by column back into records."""
    if columns <= 1:
        return raw
    whole = len(raw) // columns * columns
    table = np.frombuffer(raw[:whole], dtype=np.uint8).reshape(columns, -1)
    return table.T.tobytes() + raw[whole:]


def _finished(raw: NDArray[Any], channel: PlainChannel, kind: Any) -> NDArray[Any]:
    if channel.factor == 1.0 and channel.offset == 0.0:
        return raw.astype(kind)
    return (raw * channel.factor + channel.offset).astype(kind)


def wanted_kind(channel: PlainChannel) -> Any:
    """float64 for whole numbers that float32 does not hold, float32 for all else."""
    whole = channel.dtype.kind in "ui" and channel.dtype.itemsize > 3
    return np.float64 if whole else np.float32


def _by_planes(table: NDArray[np.uint8], group: PlainGroup) -> tuple[NDArray[np.float64], list[NDArray[Any]]]:
    """Columns of bytes that are laid by column: each number is put together from its own rows."""

    def column(channel: PlainChannel, kind: Any) -> NDArray[Any]:
        planes = table[channel.place : channel.place + channel.dtype.itemsize]
        raw = np.ascontiguousarray(planes.T).reshape(-1).view(channel.dtype)
        return _finished(raw, channel, kind)

    return column(group.master, np.float64), [column(c, wanted_kind(c)) for c in group.channels]


def _by_records(
    data: bytes, count: int, group: PlainGroup, pool: ThreadPoolExecutor
) -> tuple[NDArray[np.float64], list[NDArray[Any]]]:
    """Columns of records, some thousand of them at a time."""
    kind = np.dtype(
        {
            "names": [str(k) for k in range(len(group.channels) + 1)],
            "formats": [group.master.dtype, *(c.dtype for c in group.channels)],
            "offsets": [group.master.place, *(c.place for c in group.channels)],
            "itemsize": group.size,
        }
    )
    records = np.frombuffer(data, dtype=kind, count=count)
    time = _finished(records["0"], group.master, np.float64)
    out = [np.empty(count, dtype=wanted_kind(channel)) for channel in group.channels]

    def fill(begin: int) -> None:
        part = records[begin : begin + _CHUNK]
        for k, (channel, column) in enumerate(zip(group.channels, out, strict=True), start=1):
            raw = part[str(k)]
            place = column[begin : begin + _CHUNK]
            if channel.factor == 1.0 and channel.offset == 0.0:
                place[:] = raw
            else:
                place[:] = raw * channel.factor + channel.offset

    list(pool.map(fill, range(0, count, _CHUNK)))
    return time, out
