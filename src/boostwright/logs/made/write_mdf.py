"""A made log as ASAM MDF 4: each rate a group of its own, at the true times of its samples; needs the extra ``mdf``."""

from __future__ import annotations

import struct
import tempfile
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

from boostwright.logs.extras import install_command
from boostwright.logs.made.faults import SimulationError
from boostwright.logs.made.readings import numbers_of
from boostwright.logs.made.recorded import Recorded
from boostwright.logs.made.sampling import shown_time

__all__ = ["mdf_bytes"]

_START = datetime(2001, 1, 1, tzinfo=UTC)  # one for all, so that the same seed makes the same bytes


def mdf_bytes(log: Recorded, about: Sequence[str]) -> bytes:
    """A log as the bytes of an MDF 4 file.

    about  sentences of the file's comment: that the data are invented, and where from
    Raises SimulationError where the extra is missing, or faults of a text file were asked for.
    """
    if log.file_faults:
        codes = ", ".join(fault.code for fault in log.file_faults)
        raise SimulationError.of("--fault", f"{codes}: an MDF file has no such fault.", "write it as text")
    try:
        from asammdf import MDF, Signal
    except ImportError:
        text = "takes a library to write, and that is not installed."
        raise SimulationError.of("mdf", text, f"install it: {install_command('mdf')}") from None
    comment = " ".join(about)
    with MDF(version="4.10") as mdf:
        mdf.start_time = _START
        mdf.header.comment = comment
        for members in _groups(log):
            signals: list[Any] = []
            for index in members:
                reading = log.readings[index]
                instrument = reading.instrument
                numbers = numbers_of(instrument, reading.value)
                time = shown_time(log.logger, reading.taken)
                signals.append(
                    Signal(numbers, time, name=instrument.name, unit=instrument.unit, comment="invented data")
                )
            mdf.append(signals, comment=comment, common_timebase=True)
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "log.mf4"
            mdf.save(path, overwrite=True, compression=0)
            return _dated(path.read_bytes())


def _dated(data: bytes) -> bytes:
    """The file with one moment of writing for all in its history, so that the same seed makes the same bytes.

    Header block at byte 64: the second link is the first block of history; there the first link is the next one, and
    its time [ns] stands behind two links (ASAM MDF 4, blocks HD and FH).
    """
    out = bytearray(data)
    place = struct.unpack_from("<Q", out, 64 + 24 + 8)[0]
    while place and out[place : place + 4] == b"##FH":
        struct.pack_into("<Q", out, place + 40, int(_START.timestamp()) * 10**9)
        place = struct.unpack_from("<Q", out, place + 24)[0]
    return bytes(out)


def _groups(log: Recorded) -> list[list[int]]:
    """Indices of instruments that are sampled at the same moments."""
    groups: list[list[int]] = []
    for index, reading in enumerate(log.readings):
        for group in groups:
            if np.array_equal(log.readings[group[0]].taken, reading.taken):
                group.append(index)
                break
        else:
            groups.append([index])
    return groups
