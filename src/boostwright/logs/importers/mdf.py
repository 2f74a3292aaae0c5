"""ASAM MDF 3 and 4: each channel group a table on its own time base.

Plain groups of version 4 are read directly; all else is read by the library of the extra ``mdf``. Raw CAN frames are
decoded with the DBC files that were named.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from boostwright.logs.extras import install_command
from boostwright.logs.importers.header import unique_names
from boostwright.logs.importers.mdf4_blocks import PlainGroup, plain_groups, read_plain, wanted_kind
from boostwright.logs.records import Column, LogError, Notes, Rows, Table

__all__ = ["all_plain", "read_mdf"]

_RECORDS = 200_000
_DATA_FRAME = "CAN_DataFrame"


def read_mdf(path: Path, notes: Notes, databases: tuple[Path, ...]) -> Iterator[Rows]:
    """The rows of a measurement file. Raises LogError where it cannot be read, or the extra is missing.

    databases  DBC files for raw CAN frames
    """
    with open(path, "rb") as file:
        version = file.read(16)[8:12]
        file.seek(0)
        plain, count = plain_groups(file) if version[:1] == b"4" else ({}, 0)
        for index, group in plain.items():
            try:
                yield from _plain_rows(file, group)
            except (ValueError, OSError, OverflowError, MemoryError) as reason:
                notes.add(
                    "group-damaged",
                    f"Group {group.name or index + 1}: {reason}; what came before was kept.",
                    harm=True,
                )
    text = f"ASAM MDF {version.decode('latin-1').strip()}: {len(plain)} groups read directly"
    notes.add("mdf", text + (f", {count - len(plain)} by the library." if count > len(plain) else "."))
    if not count or len(plain) < count:
        yield from _by_library(path, notes, databases, set(plain))
    elif databases:
        notes.add("dbc-not-needed", "A DBC was named, but the file holds no raw CAN frames: it was not used.")


def all_plain(path: Path) -> bool:
    """True where no library is needed."""
    with open(path, "rb") as file:
        if file.read(16)[8:9] != b"4":
            return False
        plain, count = plain_groups(file)
    return bool(count) and len(plain) == count


def _plain_rows(file: Any, group: PlainGroup) -> Iterator[Rows]:
    names, _, _ = unique_names([channel.name for channel in group.channels])
    columns = tuple(
        Column(name, channel.unit, channel.comment, wanted_kind(channel) is np.float64)
        for name, channel in zip(names, group.channels, strict=True)
    )
    table = Table(1, group.index + 1, group.name, columns, group.master.name, "start of the measurement")
    for time, values in read_plain(file, group):
        if time.size:
            yield _ordered(table, time, values)


def _ordered(table: Table, time: Any, values: list[Any]) -> Rows:
    """Rows in the order of their stamps; those without a stamp left out."""
    good = np.isfinite(time)
    if not good.all():
        time, values = time[good], [value[good] for value in values]
    if np.any(np.diff(time) < 0):
        order = np.argsort(time, kind="stable")
        time, values = time[order], [value[order] for value in values]
    return Rows(table, time, tuple(values))


def _library(path: Path) -> Any:
    try:
        import asammdf
    except ImportError:
        remedy = f"install it: {install_command('mdf')} (for raw CAN frames {install_command('mdf', 'can')})"
        text = "is an ASAM MDF file that takes a library to read, and that is not installed."
        raise LogError.of(path.name, text, remedy) from None
    return asammdf


def _by_library(path: Path, notes: Notes, databases: tuple[Path, ...], done: set[int]) -> Iterator[Rows]:
    """The groups that are not plain, some thousand records at a time."""
    import logging

    library = _library(path)
    logging.getLogger("asammdf").setLevel(logging.ERROR)
    file = _opened(library, path)
    frames = False
    try:
        for index, group in enumerate(file.groups):
            names = [channel.name for channel in group.channels]
            if index in done or not group.channel_group.cycles_nr:
                continue
            if _DATA_FRAME in names:
                frames = True
                if not databases:
                    continue
            elif any(name.startswith(("CAN_", "LIN_", "ETH_")) for name in names):
                continue
            try:
                if _DATA_FRAME in names:
                    from boostwright.logs.importers.can import decode_frames

                    yield from decode_frames(_frames(file, index, names), databases, notes, len(file.groups))
                else:
                    yield from _library_rows(file, index, group, notes)
            except LogError:
                raise
            except Exception as reason:  # noqa: BLE001  the library again
                notes.add(
                    "group-damaged", f"Group {index + 1}: {_short(reason)}; it was left out.", harm=True
                )
    finally:
        file.close()
    if frames and not databases:
        text = "Raw CAN frames: name their DBC with --dbc, and import again."
        notes.add("can-without-dbc", text, harm=True)
        if not done:
            remedy = "name the DBC of that bus: --dbc FILE"
            raise LogError.of(path.name, "holds raw CAN frames and nothing else.", remedy)


def _opened(library: Any, path: Path) -> Any:
    """The file as the library opens it. Raises LogError."""
    import gc
    import sys

    before = sys.unraisablehook
    try:
        # a file that the library gives up on half-way makes it complain once more when the remains are collected
        sys.unraisablehook = lambda _: None
        try:
            return library.MDF(path, process_bus_logging=False)
        except Exception as reason:  # noqa: BLE001  a damaged file may raise anything in the library
            text = f"cannot be read as ASAM MDF: {_short(reason)}."
        gc.collect()
        raise LogError.of(path.name, text, "export it again; the file may be cut off")
    finally:
        sys.unraisablehook = before


def _short(reason: Exception) -> str:
    return " ".join(str(reason).split())[:120] or type(reason).__name__


def _library_rows(file: Any, index: int, group: Any, notes: Notes) -> Iterator[Rows]:
    """One group by the library."""
    master = file.masters_db.get(index)
    wanted = [k for k in range(len(group.channels)) if k != master]
    records = int(group.channel_group.cycles_nr)
    table: Table | None = None
    states: dict[str, list[str]] = {}
    for offset in range(0, records, _RECORDS):
        count = min(_RECORDS, records - offset)
        signals = [
            file.get(
                group=index, index=k, record_offset=offset, record_count=count, ignore_invalidation_bits=False
            )
            for k in wanted
        ]
        kept = [(signal, values) for signal in signals if (values := _numbers(signal, states)) is not None]
        left = len(signals) - len(kept)
        if left and offset == 0:
            notes.add(
                "no-numbers",
                "Channels that are no numbers (bytes, arrays, structures) were left out.",
                count=left,
            )
        if not kept:
            return
        if table is None:
            table = _library_table(index, group, master, kept, states)
        time = np.asarray(kept[0][0].timestamps, dtype=np.float64)
        yield _ordered(table, time, [values for _, values in kept])


def _library_table(
    index: int, group: Any, master: int | None, kept: list[Any], states: dict[str, list[str]]
) -> Table:
    names, _, _ = unique_names([signal.name for signal, _ in kept])
    columns = tuple(
        Column(name, signal.unit or "", signal.comment or "", values.dtype == np.float64)
        for name, (signal, values) in zip(names, kept, strict=True)
    )
    words = {k: states[signal.name] for k, (signal, _) in enumerate(kept) if signal.name in states}
    title = str(getattr(group.channel_group, "acq_name", "") or "")
    time_name = group.channels[master].name if master is not None else ""
    return Table(1, index + 1, title, columns, time_name, "start of the measurement", states=words)


def _numbers(signal: Any, states: dict[str, list[str]]) -> Any:
    """The samples of a signal as numbers: words become numbers of their own, invalid ones have no value."""
    samples = np.asarray(signal.samples)
    if samples.ndim != 1 or samples.dtype.names:
        return None
    if samples.dtype.kind in "SU":
        words = states.setdefault(signal.name, [])
        texts = [t.decode("utf-8", "replace") if isinstance(t, bytes) else str(t) for t in samples.tolist()]
        for text in dict.fromkeys(texts):
            if text not in words and len(words) < 500:
                words.append(text)
        code = {word: float(k) for k, word in enumerate(words)}
        values = np.array([code.get(text, np.nan) for text in texts], dtype=np.float32)
    elif samples.dtype.kind in "uifb":
        big = samples.dtype.kind in "ui" and samples.dtype.itemsize > 3
        values = samples.astype(np.float64 if big else np.float32)
    else:
        return None
    bits = getattr(signal, "invalidation_bits", None)
    if bits is not None:
        values[np.asarray(bits, dtype=bool)] = np.nan
    return values


def _frames(file: Any, index: int, names: list[str]) -> Any:
    """Time, identifier, whether it is a long one, length and bytes of all frames of a group."""
    frame = file.get(_DATA_FRAME, group=index, index=names.index(_DATA_FRAME))
    samples = frame.samples
    fields = {name.rpartition(".")[2]: name for name in samples.dtype.names}
    length = samples[fields.get("DataLength", fields.get("DLC"))]
    long = samples[fields["IDE"]].astype(bool) if "IDE" in fields else samples[fields["ID"]] > 0x7FF
    data = samples[fields["DataBytes"]]
    return (
        np.asarray(frame.timestamps),
        samples[fields["ID"]].astype(np.int64),
        long,
        np.asarray(length),
        data,
    )
