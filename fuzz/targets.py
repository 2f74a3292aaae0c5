"""What a fuzzer throws bytes at: one target for each importer. A LogError is an answer; anything else is a fault.

Each target checks what a reader of rows relies on: columns as long as their time, stamps that are numbers and do not
fall.
"""

from __future__ import annotations

import contextlib
import os
import tempfile
import warnings
from collections.abc import Callable, Iterable
from pathlib import Path

import numpy as np

from boostwright.logs.importers.can import load_databases, signal_values
from boostwright.logs.importers.kind import MDF, TEXT, kind_of_file
from boostwright.logs.importers.mdf import read_mdf
from boostwright.logs.importers.text import NeedsWide, TextOptions, read_text
from boostwright.logs.mapping.answers import read_answer_file, read_answers
from boostwright.logs.mapping.facts import Raw
from boostwright.logs.mapping.propose import propose
from boostwright.logs.records import LogError, Notes, Rows

__all__ = ["SEEDS", "TARGETS"]

_LOGS = Path(__file__).resolve().parents[1] / "tests" / "data" / "logs"
_PLACE = Path(tempfile.mkdtemp(prefix="fuzz", dir="/dev/shm" if os.path.isdir("/dev/shm") else None))
warnings.simplefilter("ignore")


def _held(rows: Iterable[Rows]) -> list[Rows]:
    """Go through the rows and check them."""
    last: dict[int, float] = {}
    kept = []
    for one in rows:
        assert len(one.values) == len(one.table.columns), "columns lost"
        assert all(values.size == one.time.size for values in one.values), "columns of other lengths"
        assert np.isfinite(one.time).all(), "a stamp that is no number"
        assert (np.diff(one.time) >= 0.0).all(), "time runs backwards"
        if one.time.size:
            assert one.time[0] >= last.get(id(one.table), -np.inf), "time runs backwards between blocks"
            last[id(one.table)] = float(one.time[-1])
        kept.append(one)
    return kept


def _written(data: bytes, name: str) -> Path:
    path = _PLACE / f"{os.getpid()}-{name}"
    path.write_bytes(data)
    return path


def text(data: bytes) -> None:
    """Delimited text, and what its columns are taken for."""
    path = _written(data, "log.csv")
    wide: frozenset[int] = frozenset()
    try:
        if kind_of_file(path) != TEXT:
            return
        while True:
            try:
                rows = _held(read_text(path, Notes(), TextOptions(), wide))
                break
            except NeedsWide as more:
                if not more.columns - wide:
                    raise RuntimeError("asks again for what it was given") from more
                wide |= more.columns
    except LogError:
        return
    for one in rows[:3]:
        table = one.table
        propose(
            [
                Raw(
                    table.part,
                    table.group,
                    column.name,
                    column.unit,
                    column.comment,
                    tuple(table.states.get(k, ())),
                    one.time,
                    np.asarray(one.values[k], dtype=np.float64),
                )
                for k, column in enumerate(table.columns)
            ]
        )


def mdf(data: bytes) -> None:
    """ASAM MDF of either version, raw CAN frames with a database among them."""
    path = _written(data, "log.mf4")
    try:
        if kind_of_file(path) != MDF:
            return
        _held(read_mdf(path, Notes(), (_LOGS / "j1939_demo.dbc",)))
    except LogError:
        pass


def database(data: bytes) -> None:
    """A DBC, its signals taken from frames of noise."""
    path = _written(data, "log.dbc")
    try:
        messages = load_databases((path,))
    except LogError:
        return
    rng = np.random.default_rng(len(data))
    for message in messages[:20]:
        frames = rng.integers(0, 256, (5, min(max(int(message.length), 1), 64)), dtype=np.uint8)
        length = rng.integers(0, frames.shape[1] + 1, 5)
        for signal in message.signals[:20]:
            assert signal_values(signal, frames, length).shape == (5,)


def answers(data: bytes) -> None:
    """What a user says of columns, as options and as a file."""
    path = _written(data, "answers.toml")
    said = data.decode("latin-1")
    for read in (
        lambda: read_answer_file(path),
        lambda: read_answers((said,), ()),
        lambda: read_answers((), (said,)),
    ):
        with contextlib.suppress(LogError):
            read()


TARGETS: dict[str, Callable[[bytes], None]] = {
    "text": text,
    "mdf": mdf,
    "database": database,
    "answers": answers,
}
"""Targets by name."""


def _small_texts() -> list[bytes]:
    return [
        b"Time [s],RPM,MAP [kPa]\n" + b"".join(b"%d.%d,%d,9%d\n" % (k, k, 1000 + k, k) for k in range(9)),
        "Zeit;Drehzahl;Ladedruck\ns;1/min;mbar\n0,0;900;1013\n0,1;905;1012\n0,2;---;1011\n".encode("cp1252"),
        b"00:01.1\t800\t14.7\n00:01.2\t810\t14.6\n00:01.3\t820\tNaN\n",
        b'0.1;"EGT";700;"C"\n0.2;"RPM";3000;"rpm"\n0.3;"EGT";701;"C"\n',
        "t,a\n1,2\n".encode("utf-16"),
        b"2026-05-01 12:00:00.5,1,2\n2026-05-01 12:00:01.0,3,4\n2026-05-01 12:00:01.5,5,6\n",
    ]


def _cut(names: str, most: int = 30_000) -> list[bytes]:
    return [path.read_bytes()[:most] for path in sorted(_LOGS.glob(names))]


SEEDS: dict[str, Callable[[], list[bytes]]] = {
    "text": lambda: _small_texts() + _cut("*.csv", 1500) + _cut("*.txt", 1500),
    "mdf": lambda: [
        p.read_bytes() for n in ("*.mf4", "*.mdf") for p in sorted(_LOGS.glob(n)) if p.stat().st_size < 3e5
    ],
    "database": lambda: _cut("*.dbc"),
    "answers": lambda: [
        b'[columns."MAP"]\nchannel = "pressure_im"\nunit = "kPa absolute"\n',
        b"MAP=pressure_im",
        b"MAP=kPa absolute",
    ],
}
"""Whole inputs to begin from."""
