"""The table of closed cycles of an engine: made once, then kept in memory and in the user's cache folder."""

from __future__ import annotations

import contextlib
import dataclasses
import functools
import hashlib
import json
import os
import tempfile
import threading
import weakref
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from boostwright.components import closed_cycle
from boostwright.components import cycle_table as cycle_table_module
from boostwright.components.closed_cycle import CycleModel
from boostwright.components.cycle_table import CycleBox, CycleTable, TableError, few_columns, near_cycle_table
from boostwright.numerics.code_cache import cache_directory
from boostwright.numerics.precedence import is_first
from boostwright.solve.cycle_batch import closed_cycles
from boostwright.solve.cycle_table_build import KNOCK_ERRORS, build_cycle_table, table_errors

__all__ = ["cycle_table", "near_table"]

Array = NDArray[np.float64]
_ANY_OCTANE = 100.0  # the table does not hang on the octane number, which shifts its rows only


@functools.cache
def _made_by() -> str:
    """Hash of the code that lays the table out and fits it; that of the cycle itself is in the folder's name."""
    digest = hashlib.sha256()
    for module in (closed_cycle, cycle_table_module):
        digest.update(Path(module.__file__ or "").read_bytes())
    return digest.hexdigest()


def _fingerprint(model: CycleModel, box: CycleBox) -> str:
    """Everything the table hangs on, as one word."""
    air = {"mole_fractions": model.air.mole_fractions.tolist(), "humidity": model.air.humidity_ratio}
    parts = [dataclasses.asdict(part) for part in (model.geometry, model.fuel, model.burn, model.walls, box)]
    text = json.dumps([*parts, air, model.watch_knock_to, model.dissociation, _made_by()], sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:24]


def cycle_table(model: CycleModel, box: CycleBox | None = None, *, measured: bool = True) -> CycleTable:
    """Table of a model over a box (default: any engine of this program).

    measured  False where its errors are not asked for: they may be empty then, and nothing is kept on the disk
    It takes a fraction of a second to make; afterwards it is read from memory, or from the cache folder.
    """
    fuel = dataclasses.replace(model.fuel, octane_number=_ANY_OCTANE)
    watched = dataclasses.replace(model, fuel=fuel)
    box = box or CycleBox()
    print_ = _fingerprint(watched, box)
    # Two that want the same table at once would make it twice; what goes first waits for nobody.
    with contextlib.nullcontext() if is_first() else _alone(print_):
        table = (_made if measured else _fitted)(print_, _Held(watched, box))
    errors = dict(table.errors)
    if not model.fuel.octane_number > 0.0:
        for name in KNOCK_ERRORS:
            errors.pop(name, None)
    return dataclasses.replace(table, model=model, errors=errors)


class _Lock:
    """A lock that the memory may let go of."""

    def __init__(self) -> None:
        self._lock = threading.RLock()

    def __enter__(self) -> None:
        self._lock.acquire()

    def __exit__(self, *_: object) -> None:
        self._lock.release()


def near_table(model: CycleModel, box: CycleBox, known: CycleTable) -> CycleTable:
    """Table of a model near to that of a known table, in a tenth of the time ``cycle_table`` takes.

    For curves that follow a hand: see ``near_cycle_table`` for what it is worth. In another box, or where the cycles
    are run otherwise, it is the very table of the model.
    """
    fuel = dataclasses.replace(model.fuel, octane_number=_ANY_OCTANE)
    watched = dataclasses.replace(model, fuel=fuel)
    start = dataclasses.replace(
        known.model, fuel=dataclasses.replace(known.model.fuel, octane_number=_ANY_OCTANE)
    )
    if known.box != box or watched.dissociation != start.dissociation:
        return cycle_table(model, box, measured=False)
    print_ = _fingerprint(start, box)
    if _fingerprint(watched, box) == print_:
        return dataclasses.replace(known, model=model)
    changed = _few(watched, box) - _few_known(print_, _Held(start, box))
    return dataclasses.replace(near_cycle_table(known, watched, changed), model=model)


_locks: weakref.WeakValueDictionary[str, _Lock] = weakref.WeakValueDictionary()
_locks_lock = threading.Lock()


def _alone(fingerprint: str) -> _Lock:
    """The lock of a table, kept while somebody holds or wants it."""
    with _locks_lock:
        return _locks.setdefault(fingerprint, _Lock())


def _few(model: CycleModel, box: CycleBox) -> Array:
    frozen = dataclasses.replace(model, dissociation=False)
    return few_columns(model, box, lambda **arguments: closed_cycles(frozen, **arguments))


@functools.lru_cache(maxsize=8)
def _few_known(fingerprint: str, held: _Held) -> Array:
    return _few(held.model, held.box)


class _Held:
    """A model and box that all look alike to the memory, which tells them apart by their fingerprint."""

    def __init__(self, model: CycleModel, box: CycleBox) -> None:
        self.model, self.box = model, box

    def __hash__(self) -> int:
        return 0

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held)


@functools.lru_cache(maxsize=32)
def _made(fingerprint: str, held: _Held) -> CycleTable:
    """The table with its errors, kept on the disk."""
    table = _fitted(fingerprint, held)
    if not table.errors:
        table = dataclasses.replace(table, errors=table_errors(table))
        with contextlib.suppress(OSError):  # a cache that cannot be written only costs the next run its time
            _save(_path(fingerprint), table)
    return table


@functools.lru_cache(maxsize=64)
def _fitted(fingerprint: str, held: _Held) -> CycleTable:
    """The table from the disk, or fitted and its errors not measured."""
    return _read(_path(fingerprint), held) or build_cycle_table(held.model, held.box, checks=0)


def _path(fingerprint: str) -> Path:
    return cache_directory() / "cycle-tables" / f"{fingerprint}.npz"


def _read(path: Path, held: _Held) -> CycleTable | None:
    """The table kept at ``path``; None where there is none or it is not whole."""
    try:
        with np.load(path, allow_pickle=False) as kept:
            errors = json.loads(str(kept["errors"]))
            coefficients = np.array(kept["coefficients"], dtype=float)
    except (OSError, ValueError, KeyError, EOFError):
        return None
    return CycleTable(
        model=held.model,
        box=held.box,
        coefficients=coefficients,
        errors={name: TableError(**values) for name, values in errors.items()},
    )


def _save(path: Path, table: CycleTable) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    errors = json.dumps({name: dataclasses.asdict(error) for name, error in table.errors.items()})
    handle, name = tempfile.mkstemp(dir=path.parent, suffix=".part")
    with os.fdopen(handle, "wb") as file:
        np.savez(file, coefficients=table.coefficients, errors=np.array(errors))
    Path(name).replace(path)
