"""CAN frames into signals by a DBC: a library parses the database, the bits are taken here, a message at a time."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.extras import install_command
from boostwright.logs.importers.header import unique_names
from boostwright.logs.records import Column, LogError, Notes, Rows, Table

__all__ = ["bits_of", "decode_frames", "load_databases", "signal_values"]

_J1939_PDU1 = 240
_MOST_BITS = 8 * 1785  # in the longest message of a CAN transport protocol (SAE J1939-21)
_PLACES = re.compile(rb"\bSG_\s[^:;]{1,200}:\s*(\d+)\s*\|\s*(\d+)\s*@|\bBO_\s+\d+\s*\w+\s*:\s*(\d+)")


def load_databases(paths: tuple[Path, ...]) -> list[Any]:
    """The messages of some DBC files. Raises LogError where one cannot be parsed, or the extra is missing."""
    try:
        import cantools
    except ImportError:
        remedy = f"install it: {install_command('mdf', 'can')}"
        raise LogError.of("--dbc", "needs a library that is not installed.", remedy) from None
    messages: list[Any] = []
    for path in paths:
        _refuse_impossible(path)
        try:
            database: Any = cantools.database.load_file(
                str(path), database_format="dbc", strict=False, cache_dir=None
            )
        except OSError as reason:
            raise LogError.of(str(path), f"cannot be read: {reason.strerror}.", "check the name") from reason
        except Exception as reason:
            text = f"is no DBC that can be read: {' '.join(str(reason).split())[:160]}."
            raise LogError.of(str(path), text, "export it again from the program that wrote it") from reason
        messages += database.messages
    return messages


def _refuse_impossible(path: Path) -> None:
    """Raises LogError where a message or signal is longer than any can be: the library would lay out all its bits."""
    try:
        text = path.read_bytes()
    except OSError:
        return  # which the library says
    for found in _PLACES.finditer(text):
        if any(len(number) > 9 or int(number) > _MOST_BITS for number in found.groups() if number):
            words = found[0].decode("latin-1").split()
            line = text.count(b"\n", 0, found.start()) + 1
            what = f"line {line} has a message or signal of impossible size or place: {' '.join(words)[:80]}"
            raise LogError.of(str(path), f"{what}.", "export it again from the program that wrote it")


def bits_of(signal: Any) -> list[int]:
    """The bits a signal takes, counted along the frame: byte * 8 + bit, its lowest first."""
    if signal.byte_order == "little_endian":
        return [signal.start + k for k in range(signal.length)]
    bits, byte, bit = [], signal.start // 8, signal.start % 8
    for _ in range(signal.length):
        bits.append(byte * 8 + bit)
        bit -= 1
        if bit < 0:
            byte, bit = byte + 1, 7
    return bits[::-1]


def _overlap(message: Any) -> str:
    """The signals of a message that share bits, in words; '' where none do."""
    taken: list[tuple[set[int], Any]] = []
    for signal in message.signals:
        mine = set(bits_of(signal))
        if max(mine) >= 8 * message.length:
            return f"{signal.name} reaches beyond the {message.length} bytes of the message"
        for bits, other in taken:
            if mine & bits and _may_meet(signal, other):
                return f"{other.name} and {signal.name} share bits"
        taken.append((mine, signal))
    return ""


def _may_meet(one: Any, other: Any) -> bool:
    """False for signals that never stand in the same frame, since a switch chooses between them."""
    if one.multiplexer_ids and other.multiplexer_ids and one.multiplexer_signal == other.multiplexer_signal:
        return bool(set(one.multiplexer_ids) & set(other.multiplexer_ids))
    return True


def signal_values(signal: Any, data: NDArray[np.uint8], length: NDArray[Any]) -> NDArray[np.float64]:
    """A signal of many frames, scaled; NaN where the frame is too short.

    data    (frames, bytes)
    length  (frames,) bytes that each frame has
    """
    return _scaled(signal, _raw(signal, data), data, length)


def _possible(signal: Any) -> bool:
    """False for a signal of more bits than a number has, or that lies before the frame."""
    floating = getattr(signal, "is_float", False)
    wide = signal.length in (16, 32, 64) if floating else 1 <= signal.length <= 64
    return wide and min(bits_of(signal)) >= 0


def _raw(signal: Any, data: NDArray[np.uint8]) -> NDArray[np.uint64]:
    """The bits of a signal as a whole number; 0 where it is not possible."""
    bits = bits_of(signal)
    if not _possible(signal):
        return np.zeros(data.shape[0], dtype=np.uint64)
    bytes_used = sorted({bit // 8 for bit in bits})
    width = data.shape[1]
    value = np.zeros(data.shape[0], dtype=np.uint64)
    if signal.byte_order == "little_endian":
        shift = bits[0] % 8
        for k, byte in enumerate(bytes_used):
            if byte >= width:
                continue
            part = data[:, byte].astype(np.uint64)
            move = 8 * k - shift
            value |= part << np.uint64(move) if move >= 0 else part >> np.uint64(-move)
    else:
        lowest = bits[0] % 8
        for k, byte in enumerate(reversed(bytes_used)):
            if byte >= width:
                continue
            part = data[:, byte].astype(np.uint64)
            move = 8 * k - lowest
            value |= part << np.uint64(move) if move >= 0 else part >> np.uint64(-move)
    if signal.length < 64:
        value &= np.uint64((1 << signal.length) - 1)
    return value


def _scaled(signal: Any, raw: NDArray[np.uint64], data: Any, length: Any) -> NDArray[np.float64]:
    if not _possible(signal):
        return np.full(raw.shape, np.nan)
    if getattr(signal, "is_float", False):
        kind = {16: np.float16, 32: np.float32, 64: np.float64}[signal.length]
        whole = {16: np.uint16, 32: np.uint32, 64: np.uint64}[signal.length]
        values = raw.astype(whole).view(kind).astype(np.float64)
    elif signal.is_signed:
        sign = np.uint64(1 << (signal.length - 1))
        values = (
            ((raw ^ sign).astype(np.int64) - np.int64(sign)).astype(np.float64)
            if signal.length < 64
            else raw.astype(np.int64).astype(np.float64)
        )
    else:
        values = raw.astype(np.float64)
    values = values * float(signal.scale) + float(signal.offset)
    needed = max(bit // 8 for bit in bits_of(signal)) + 1
    values[np.asarray(length) < needed] = np.nan
    return values


def _parameter_group(identifier: NDArray[Any] | int) -> Any:
    """The parameter group of a 29-bit identifier of SAE J1939: without priority, source and, below 240, destination."""
    group = (np.asarray(identifier) >> 8) & 0x3FFFF
    return np.where(((group >> 8) & 0xFF) < _J1939_PDU1, group & 0x3FF00, group)


def decode_frames(frames: Any, databases: tuple[Path, ...], notes: Notes, first_group: int) -> Iterator[Rows]:
    """The signals of raw frames: a table for each message, and for each setting of its switch.

    frames       time [s], identifier, long identifier, length, bytes
    first_group  groups that the file has already
    """
    time, identifiers, long, length, data = frames
    used = np.zeros(time.size, dtype=bool)
    group = first_group
    for message in load_databases(databases):
        match = (identifiers == message.frame_id) & (long == bool(message.is_extended_frame))
        j1939 = message.protocol == "j1939"
        if j1939 and not match.any():
            match = long & (_parameter_group(identifiers) == _parameter_group(message.frame_id))
        if not match.any() or not message.signals:
            used |= match
            continue
        if wrong := _overlap(message):
            text = f"Message {message.name} was left out: in the DBC {wrong}, so its values cannot be told."
            notes.add("signals-overlap", text, count=int(match.sum()), harm=True)
            used |= match
            continue
        used |= match
        for name, rows, signals in _by_switch(message, np.flatnonzero(match), data, length):
            group += 1
            yield _message_rows(name, group, time[rows], data[rows], length[rows], signals, j1939)
    unknown = ~used
    if unknown.any():
        text = f"Frames of {np.unique(identifiers[unknown]).size} identifiers that no DBC names; left out."
        notes.add("frames-unknown", text, count=int(unknown.sum()))


def _by_switch(
    message: Any, rows: NDArray[Any], data: Any, length: Any
) -> Iterator[tuple[str, NDArray[Any], list[Any]]]:
    """Rows and signals of a message that stand together."""
    plain = [s for s in message.signals if not s.multiplexer_ids and not s.is_multiplexer]
    if plain:
        yield message.name, rows, plain
    switches = [s for s in message.signals if s.is_multiplexer]
    for switch in switches:
        setting = _raw(switch, data[rows]).astype(np.int64)
        inside = [s for s in message.signals if s.multiplexer_signal == switch.name and s.multiplexer_ids]
        for value in sorted({one for s in inside for one in s.multiplexer_ids}):
            mine = rows[setting == value]
            signals = [s for s in inside if value in s.multiplexer_ids]
            if mine.size and signals:
                yield f"{message.name} {switch.name} {value}", mine, signals


def _message_rows(
    name: str, group: int, time: Any, data: Any, length: Any, signals: list[Any], j1939: bool
) -> Rows:
    names, _, _ = unique_names([signal.name for signal in signals])
    columns = tuple(
        Column(told, signal.unit or "", signal.comment or "")
        for told, signal in zip(names, signals, strict=True)
    )
    values = []
    for signal in signals:
        raw = _raw(signal, data)
        one = _scaled(signal, raw, data, length)
        if j1939 and signal.length in (8, 16, 32) and not signal.is_signed:
            one[raw >= np.uint64(0xFE << (signal.length - 8))] = (
                np.nan
            )  # "error" and "not available" of SAE J1939-71
        values.append(one.astype(np.float32))
    table = Table(1, group, name, columns, "frame time", "start of the measurement")
    order = np.argsort(time, kind="stable")
    return Rows(table, time[order], tuple(value[order] for value in values))
