"""The transient kernel as Python calls it: arrays in, arrays out; its object file stands apart from the solver's."""

from __future__ import annotations

import ctypes
import functools

import numpy as np
from numpy.typing import NDArray

from boostwright.numerics.object_code import Library, object_path, read_object, supported
from boostwright.solve.kernel.transient_layout import ANSWERS, STATE_COUNT, STIFF_COUNT
from boostwright.solve.library import library_of, plain_python

__all__ = ["compile_now", "needs_compiling", "rates_of", "run_rows", "valve_motion"]

Array = NDArray[np.float64]
Records = NDArray[np.void]
_NAME = "transient"
_A, _S = ctypes.c_void_p, ctypes.c_ssize_t
_FUNCTIONS = {
    "run": (_A, _A, _S, _A, _A, _S, _S, _A, _S, _S, _A, _A, _S, _A, _A, _S, *(_A,) * 10, _S, _A),
    "rates": (_A, _A, _A, _S, _S, _A, _S, _S, _A, _A, _A, _A, _S),
    "swings": (_A, _A, _A, _A, _A, _S),
}


def needs_compiling() -> bool:
    """True when the next run will first compile the transient kernel."""
    return not plain_python() and supported() and read_object(object_path(_NAME)) is None


def compile_now() -> None:
    """Make the machine code of the transient kernel, where it is not there already."""
    _library()


def _intermediate_code() -> dict[str, tuple[str, str]]:
    from boostwright.solve.kernel.transient_entries import intermediate_code

    return intermediate_code()


@functools.cache
def _library() -> Library | None:
    return library_of(_NAME, _intermediate_code, _FUNCTIONS)


def _address(array: NDArray[np.generic]) -> int:
    return array.ctypes.data


def run_rows(
    plant: Records,
    grid: Records,
    part: Records,
    maps: Array,
    turbines: Array,
    cycles: Array,
    cycles_part: Array,
    curves: Array,
    phases: Array,
    states: Array,
    slow: Array,
    scale: Array,
    most: int,
) -> tuple[Array, bool, float]:
    """Run phases (k, 9) into rows (n, ANSWERS and states); ``states`` (38,) and ``slow`` (12,) are carried on.

    plant (1,) PLANT; grid, part (g,) POINT; cycles, cycles_part (g, m); curves (g, 5); scale (38,)
    most  rows there is room for
    Returns the rows written, True where all steps held, and the time [s] at the end.
    """
    rows = np.zeros((most, len(ANSWERS) + STATE_COUNT))
    point = grid[:1].copy()
    cycle = np.zeros(cycles.shape[1])
    said, work = np.zeros(3), np.zeros((7, STATE_COUNT))
    tables = np.zeros((3, STATE_COUNT, STIFF_COUNT))
    words, part_words, into = (r.view(np.float64).reshape(r.size, -1) for r in (grid, part, point))
    library = _library()
    if library is None:
        from boostwright.solve.kernel.transient_entries import run, run_compiled

        call = run if plain_python() else run_compiled
        records = [r.view(np.recarray) if plain_python() else r for r in (plant, grid, point)]
        call(records[0], records[1], words, part_words, maps, turbines, cycles, cycles_part, curves, phases,
             records[2], into[0], cycle, states, slow, scale, work, tables, rows, said)  # fmt: skip
    else:
        library.call(
            "run", _address(plant), _address(grid), grid.size, _address(part_words), _address(maps), *maps.shape,
            _address(turbines), *turbines.shape, _address(cycles), _address(cycles_part), cycles.shape[1],
            _address(curves), _address(phases), len(phases), _address(words),
            _address(point), _address(into), _address(cycle), _address(states), _address(slow), _address(scale),
            _address(work), _address(tables), _address(rows), most, _address(said),
        )  # fmt: skip
    return rows[: int(said[0])], said[1] == 0.0, float(said[2])


def rates_of(
    plant: Records, point: Records, maps: Array, turbines: Array, states: Array, inputs: Array
) -> tuple[Array, Array]:
    """Rates (n, 38) and inner values (n, 32) of the right-hand side at states (n, 38) and inputs (n, 4).

    inputs  throttle's open share, gate lift [m], solenoid duty, share of cycles that fire
    """
    states, inputs = (np.ascontiguousarray(x, dtype=float) for x in (states, inputs))
    rates, answers = np.zeros(states.shape), np.zeros((len(states), 32))
    library = _library()
    if library is None:
        from boostwright.solve.kernel.transient_entries import fill_rates

        one, two = (r.view(np.recarray) if plain_python() else r for r in (plant, point))
        fill_rates(one[0], two[0], maps, turbines, states, inputs, rates, answers)
    else:
        library.call(
            "rates", _address(plant), _address(point), _address(maps), *maps.shape, _address(turbines),
            *turbines.shape, _address(states), _address(inputs), _address(rates), _address(answers), len(states),
        )  # fmt: skip
    return rates, answers


def valve_motion(way: Array, drive: Array, step: float) -> tuple[Array, Array]:
    """Lift [m] and rate [m/s] (n,) of a gate valve under driving forces (n,) [N], each held for ``step`` [s].

    way (7,)  start [m], its rate [m/s], stiffness [N/m], mass [kg], damping [N s/m], dry friction [N], upper stop [m]
    """
    way, drive = (np.ascontiguousarray(x, dtype=float) for x in (way, drive))
    lift, rate = np.zeros(drive.shape), np.zeros(drive.shape)
    library = _library()
    if library is None:
        from boostwright.solve.kernel.transient_entries import fill_swings

        fill_swings(way, drive, step, lift, rate)
    else:
        h = np.array([step])
        library.call("swings", *(_address(x) for x in (way, drive, h, lift, rate)), drive.size)
    return lift, rate
