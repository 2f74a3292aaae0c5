"""The compiled kernel as Python calls it: arrays in, arrays out.

The first call in a process loads the object file of the kernel, which takes milliseconds; where there is none yet, the
compiler makes it, which takes a quarter of a minute or more. Where loading object files is not supported, and where the
kernel is to run as plain Python (``NUMBA_DISABLE_JIT=1``), the same functions are called directly.
"""

from __future__ import annotations

import ctypes
import functools

import numpy as np
from numpy.typing import NDArray

from boostwright.numerics.code_cache import cache_directory
from boostwright.numerics.object_code import Library, object_path, read_object, supported
from boostwright.solve.kernel.cycle_layout import CYCLE_OUTPUTS
from boostwright.solve.library import library_of, plain_python

__all__ = [
    "closed_cycle_states",
    "compressor_states",
    "cycle_outputs",
    "is_compiled",
    "knock_limited_phasings",
    "line_flows",
    "rod_forces",
    "settled_temperatures",
    "solve_points",
    "solve_shared",
]

Array = NDArray[np.float64]
_NAME = "kernel"
_ADDRESS, _SIZE = ctypes.c_void_p, ctypes.c_ssize_t
_FUNCTIONS = {
    "solve_batch": (_ADDRESS, _SIZE, _ADDRESS, _SIZE, _SIZE, _ADDRESS, _SIZE, _SIZE, _ADDRESS),
    "solve_shared": (_ADDRESS, _SIZE, _ADDRESS, _SIZE, _SIZE, _ADDRESS, _SIZE, _SIZE, _ADDRESS, _ADDRESS),
    "fill_states": (_ADDRESS, _SIZE, _ADDRESS, _ADDRESS, _ADDRESS, _ADDRESS, _SIZE),
    "fill_line_flows": (_ADDRESS, _SIZE, _ADDRESS, _ADDRESS, _ADDRESS, _ADDRESS, _SIZE),
    "run_cycles": (_ADDRESS, _SIZE, _ADDRESS, _SIZE, _ADDRESS),
    "fill_outputs": (_ADDRESS, _SIZE, _ADDRESS, _ADDRESS, _ADDRESS, _ADDRESS, _ADDRESS, _SIZE),
    "fill_phasings": (_ADDRESS, _SIZE, _ADDRESS, _ADDRESS, _ADDRESS, _ADDRESS, _ADDRESS, _SIZE),
    "fill_rod_forces": (_ADDRESS, _SIZE, *(_ADDRESS,) * 7, _SIZE),
    "fill_settled_temperatures": (_ADDRESS, _SIZE, _ADDRESS, _SIZE, _ADDRESS, _ADDRESS),
}


def is_compiled() -> bool:
    """True when the machine code of this source is already in the cache folder."""
    if plain_python():
        return True
    if supported():
        return read_object(object_path(_NAME)) is not None
    return any(cache_directory().rglob("point.solve_batch*.nbi"))


def _intermediate_code() -> dict[str, tuple[str, str]]:
    from boostwright.solve.kernel.entries import intermediate_code

    return intermediate_code()


@functools.cache
def _library() -> Library | None:
    return library_of(_NAME, _intermediate_code, _FUNCTIONS)


def solve_points(points: NDArray[np.void], maps: Array, turbines: Array, states: NDArray[np.void]) -> None:
    """Solve points (n,) of dtype POINT into states (n,) of dtype STATE, both contiguous.

    maps (k, m), turbines (j, n): packed tables, one a row. Releases the interpreter lock.
    """
    library = _library()
    if library is None:
        from boostwright.solve.kernel.entries import solve_batch

        if plain_python():  # fields by name, as compiled records have them
            points, states = points.view(np.recarray), states.view(np.recarray)
        solve_batch(points, maps, turbines, states)
        return
    library.call(
        "solve_batch",
        points.ctypes.data,
        points.size,
        maps.ctypes.data,
        *maps.shape,
        turbines.ctypes.data,
        *turbines.shape,
        states.ctypes.data,
    )


def solve_shared(
    points: NDArray[np.void],
    maps: Array,
    turbines: Array,
    states: NDArray[np.void],
    counter: NDArray[np.int64],
) -> None:
    """``solve_points`` as one of several threads at the same batch, each of which takes points while there are any.

    counter  (1,) begun at 0, the same for all of them: a thread that has done its share never waits for the lock
    """
    library = _library()
    if library is None:
        from boostwright.solve.kernel.entries import solve_shared as solve

        if plain_python():
            points, states = points.view(np.recarray), states.view(np.recarray)
        solve(points, maps, turbines, states, counter)
        return
    library.call(
        "solve_shared",
        points.ctypes.data,
        points.size,
        maps.ctypes.data,
        *maps.shape,
        turbines.ctypes.data,
        *turbines.shape,
        states.ctypes.data,
        counter.ctypes.data,
    )


def compressor_states(table: Array, speed: Array, flow: Array) -> tuple[Array, Array]:
    """Pressure ratio [-] and specific work [J/kg at 288.15 K inlet] of a compressor surface.

    table  (m,) packed surface; speed corrected [rad/s], flow corrected [kg/s], both (n,)
    Returns two arrays (n,).
    """
    speed, flow = (np.ascontiguousarray(values, dtype=float) for values in (speed, flow))
    ratio, work = np.empty(speed.shape), np.empty(speed.shape)
    _fill("fill_states", table, (speed, flow, ratio, work))
    return ratio, work


def line_flows(table: Array, speed: Array) -> tuple[Array, Array, Array]:
    """Flows [kg/s corrected] of the surge line, of the measured line's right end and of choke.

    table  (m,) packed surface; speed corrected [rad/s], (n,)
    Returns three arrays (n,).
    """
    speed = np.ascontiguousarray(speed, dtype=float)
    if not np.isfinite(speed).all():  # compiled code does not look where it reads
        speed = np.where(np.isfinite(speed), speed, 0.0)
    surge, end, choke = np.empty(speed.shape), np.empty(speed.shape), np.empty(speed.shape)
    _fill("fill_line_flows", table, (speed, surge, end, choke))
    return surge, end, choke


def closed_cycle_states(cycles: NDArray[np.void], way: Array, states: NDArray[np.void]) -> None:
    """Run closed cycles (n,) of dtype CYCLE along the piston's way (m, 6) into states (n,) of dtype CYCLE_STATE."""
    library = _library()
    if library is None:
        from boostwright.solve.kernel.entries import run_cycles

        if plain_python():
            cycles, states = cycles.view(np.recarray), states.view(np.recarray)
        run_cycles(cycles, way, states)
        return
    library.call(
        "run_cycles", cycles.ctypes.data, cycles.size, way.ctypes.data, way.shape[0], states.ctypes.data
    )


def cycle_outputs(rows: Array, mass: Array, temperature: Array, residual: Array, angle: Array) -> Array:
    """Outputs (n, OUTPUTS) of closed cycles from rows (n, m) of the table; order as ``CYCLE_OUTPUTS`` names them.

    mass [kg] in one cylinder and temperature [K] at intake closing, residual fraction [-], CA50 [rad], all (n,)
    """
    out = np.zeros((mass.size, len(CYCLE_OUTPUTS)))
    _read_table("fill_outputs", rows, (mass, temperature, residual, angle), out)
    return out


def knock_limited_phasings(
    rows: Array, mass: Array, temperature: Array, residual: Array, limit: Array
) -> Array:
    """Earliest CA50 (n,) [rad] whose knock integral does not exceed ``limit`` (n,); nan = not predicted."""
    out = np.zeros(mass.size)
    _read_table("fill_phasings", rows, (mass, temperature, residual, limit), out)
    return out


def rod_forces(
    rows: Array, mass: Array, temperature: Array, residual: Array, angle: Array, speed: Array, rod: Array
) -> Array:
    """Largest compression of the rod over the crank (n, 4): force along the rod [N], gas [N], inertia [N], angle [rad].

    rows (n, m); mass [kg] to angle of half burned [rad] as in ``cycle_outputs``, speed [rad/s] of the engine, (n,)
    rod  (n, 5) factor to the strong cycle, piston area [m2], pressure below the piston [Pa], half stroke over rod
         length, reciprocating mass times half stroke [kg m]
    """
    out = np.zeros((mass.size, 4))
    _read_table("fill_rod_forces", rows, (mass, temperature, residual, angle, speed, rod), out)
    return out


def settled_temperatures(
    points: NDArray[np.void], nodes: Array, filling: float, stroke_pressure: float, guess: float
) -> Array:
    """Temperatures (n, k) [K] of residual gas that cycles leave which began with it; see the kernel's ``residual``.

    points (n,) of dtype POINT, contiguous, whose course is written over; nodes (k, 3)
    """
    out = np.zeros((points.size, len(nodes)))
    library = _library()
    if library is None:
        from boostwright.solve.kernel.entries import fill_settled_temperatures

        if plain_python():
            points = points.view(np.recarray)
        fill_settled_temperatures(points, nodes, filling, stroke_pressure, guess, out)
        return out
    rest = np.array([filling, stroke_pressure, guess])
    library.call(
        "fill_settled_temperatures",
        points.ctypes.data,
        points.size,
        nodes.ctypes.data,
        len(nodes),
        rest.ctypes.data,
        out.ctypes.data,
    )
    return out


def _read_table(name: str, rows: Array, columns: tuple[Array, ...], out: Array) -> None:
    rows = np.ascontiguousarray(rows, dtype=float)
    columns = tuple(np.ascontiguousarray(column, dtype=float) for column in columns)
    library = _library()
    if library is None:
        from boostwright.solve.kernel import entries

        getattr(entries, name)(rows, *columns, out)
        return
    library.call(
        name, rows.ctypes.data, rows.shape[1], *(c.ctypes.data for c in columns), out.ctypes.data, len(rows)
    )


def _fill(name: str, table: Array, columns: tuple[Array, ...]) -> None:
    """Call one of the functions that take a table and columns of equal length."""
    library = _library()
    if library is None:
        from boostwright.solve.kernel import entries

        getattr(entries, name)(table, *columns)
        return
    library.call(name, table.ctypes.data, table.size, *(c.ctypes.data for c in columns), columns[0].size)
