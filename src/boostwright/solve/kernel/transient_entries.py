"""The functions of the transient kernel that Python calls, with C's calling convention.

Importing this file imports the compiler; ``solve.transient_native`` does so only when there is no object file yet. They
stand apart from ``entries`` so that a first prediction need not wait for a pull to be compiled.
"""

from __future__ import annotations

from typing import Any

from boostwright.numerics.compiler import as_array, c_function, compiled
from boostwright.solve.kernel.layout import POINT
from boostwright.solve.kernel.transient_actuator import move_valve
from boostwright.solve.kernel.transient_flows import flows
from boostwright.solve.kernel.transient_layout import (
    ANSWERS,
    PHASE_COLUMNS,
    PLANT,
    SLOW_COUNT,
    STATE_COUNT,
    STIFF_COUNT,
)
from boostwright.solve.kernel.transient_run import run_phases

__all__ = ["fill_rates", "fill_swings", "intermediate_code", "run"]

_WORDS = POINT.itemsize // 8
_ROW = len(ANSWERS) + STATE_COUNT


@compiled
def fill_swings(way: Any, drive: Any, h: float, lift: Any, rate: Any) -> None:
    """Lift and rate (n,) of a valve under driving forces (n,) each held for ``h``; way (7,): start, its rate, then
    stiffness, mass, damping, friction, top."""
    x, v = way[0], way[1]
    for i in range(drive.size):
        x, v = move_valve(x, v, h, drive[i], way[2], way[3], way[4], way[5], way[6])
        lift[i], rate[i] = x, v


@compiled
def fill_rates(
    c: Any, point: Any, maps: Any, turbines: Any, states: Any, inputs: Any, rates: Any, answers: Any
) -> None:
    """Rates (n, 38) and answers (n, 32) of the right-hand side at states (n, 38) and inputs (n, 4)."""
    for i in range(states.shape[0]):
        flows(point, c, maps, turbines, states[i], inputs[i], rates[i], answers[i])


def run(
    plant: Any,
    grid: Any,
    words: Any,
    part: Any,
    maps: Any,
    turbines: Any,
    cycles: Any,
    cycles_part: Any,
    curves: Any,
    phases: Any,
    point: Any,
    into: Any,
    cycle: Any,
    states: Any,
    slow: Any,
    scale: Any,
    work: Any,
    tables: Any,
    rows: Any,
    said: Any,
) -> None:
    """``run_phases`` with the records themselves."""
    run_phases(
        plant[0], grid, words, part, maps, turbines, cycles, cycles_part, curves, phases, point[0], into, cycle,
        states, slow, scale, work, tables, rows, said,
    )  # fmt: skip


run_compiled = compiled(run)


def _run(
    plant: Any,
    grid: Any,
    grid_count: int,
    part: Any,
    maps: Any,
    map_count: int,
    map_size: int,
    turbines: Any,
    turbine_count: int,
    turbine_size: int,
    cycles: Any,
    cycles_part: Any,
    cycle_size: int,
    curves: Any,
    phases: Any,
    phase_count: int,
    words: Any,
    point: Any,
    into: Any,
    cycle: Any,
    states: Any,
    slow: Any,
    scale: Any,
    work: Any,
    tables: Any,
    rows: Any,
    row_count: int,
    said: Any,
) -> None:
    run_compiled(
        as_array(plant, (1,)),
        as_array(grid, (grid_count,)),
        as_array(words, (grid_count, _WORDS)),
        as_array(part, (grid_count, _WORDS)),
        as_array(maps, (map_count, map_size)),
        as_array(turbines, (turbine_count, turbine_size)),
        as_array(cycles, (grid_count, cycle_size)),
        as_array(cycles_part, (grid_count, cycle_size)),
        as_array(curves, (grid_count, 5)),
        as_array(phases, (phase_count, len(PHASE_COLUMNS))),
        as_array(point, (1,)),
        as_array(into, (_WORDS,)),
        as_array(cycle, (cycle_size,)),
        as_array(states, (STATE_COUNT,)),
        as_array(slow, (SLOW_COUNT,)),
        as_array(scale, (STATE_COUNT,)),
        as_array(work, (7, STATE_COUNT)),
        as_array(tables, (3, STATE_COUNT, STIFF_COUNT)),
        as_array(rows, (row_count, _ROW)),
        as_array(said, (3,)),
    )


def _rates(
    plant: Any,
    point: Any,
    maps: Any,
    map_count: int,
    map_size: int,
    turbines: Any,
    turbine_count: int,
    turbine_size: int,
    states: Any,
    inputs: Any,
    rates: Any,
    answers: Any,
    count: int,
) -> None:
    fill_rates(
        as_array(plant, (1,))[0],
        as_array(point, (1,))[0],
        as_array(maps, (map_count, map_size)),
        as_array(turbines, (turbine_count, turbine_size)),
        as_array(states, (count, STATE_COUNT)),
        as_array(inputs, (count, 4)),
        as_array(rates, (count, STATE_COUNT)),
        as_array(answers, (count, 32)),
    )


def _swings(way: Any, drive: Any, h: Any, lift: Any, rate: Any, count: int) -> None:
    n = (count,)
    fill_swings(
        as_array(way, (7,)), as_array(drive, n), as_array(h, (1,))[0], as_array(lift, n), as_array(rate, n)
    )


def intermediate_code() -> dict[str, tuple[str, str]]:
    """Compile everything: name -> (intermediate code, name in there). Takes half a minute or so."""
    d = float
    return {
        "run": c_function(
            _run,
            (
                PLANT,
                POINT,
                int,
                d,
                d,
                int,
                int,
                d,
                int,
                int,
                d,
                d,
                int,
                d,
                d,
                int,
                d,
                POINT,
                *(d,) * 8,
                int,
                d,
            ),
        ),
        "rates": c_function(_rates, (PLANT, POINT, d, int, int, d, int, int, d, d, d, d, int)),
        "swings": c_function(_swings, (d, d, d, d, d, int)),
    }
