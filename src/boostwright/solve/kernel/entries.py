"""The functions of the kernel that Python calls, with C's calling convention: addresses and sizes.

Importing this file imports the compiler; ``solve.native`` does so only when there is no object file yet.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import as_array, c_function, compiled
from boostwright.solve.kernel.compressor import choke_flow, compressor_state, line_end_flow, surge_flow
from boostwright.solve.kernel.cycle import run_cycles
from boostwright.solve.kernel.cycle_layout import CYCLE, CYCLE_OUTPUTS, CYCLE_STATE
from boostwright.solve.kernel.cycle_table import fill_outputs, fill_phasings
from boostwright.solve.kernel.layout import POINT, STATE
from boostwright.solve.kernel.point import solve_batch, solve_shared
from boostwright.solve.kernel.residual import fill_settled_temperatures
from boostwright.solve.kernel.rod import fill_rod_forces

__all__ = [
    "fill_line_flows",
    "fill_outputs",
    "fill_phasings",
    "fill_rod_forces",
    "fill_settled_temperatures",
    "fill_states",
    "intermediate_code",
    "run_cycles",
    "solve_batch",
    "solve_shared",
]

_OUTPUTS = len(CYCLE_OUTPUTS)


@compiled
def fill_states(table: Any, speed: Any, flow: Any, ratio: Any, work: Any) -> None:
    """Pressure ratio [-] and specific work [J/kg] at corrected speeds [rad/s] and flows [kg/s], all (n,)."""
    for i in range(speed.size):
        ratio[i], work[i] = compressor_state(table, speed[i], flow[i])


@compiled
def fill_line_flows(table: Any, speed: Any, surge: Any, end: Any, choke: Any) -> None:
    """Flows of surge line, right end of the measured line and choke [kg/s] at corrected speeds [rad/s], all (n,)."""
    for i in range(speed.size):
        surge[i] = surge_flow(table, speed[i])
        end[i] = line_end_flow(table, speed[i])
        choke[i] = choke_flow(table, speed[i])


def _solve_batch(
    points: Any,
    count: int,
    maps: Any,
    map_count: int,
    map_size: int,
    turbines: Any,
    turbine_count: int,
    turbine_size: int,
    states: Any,
) -> None:
    solve_batch(
        as_array(points, (count,)),
        as_array(maps, (map_count, map_size)),
        as_array(turbines, (turbine_count, turbine_size)),
        as_array(states, (count,)),
    )


def _solve_shared(
    points: Any,
    count: int,
    maps: Any,
    map_count: int,
    map_size: int,
    turbines: Any,
    turbine_count: int,
    turbine_size: int,
    states: Any,
    counter: Any,
) -> None:
    solve_shared(
        as_array(points, (count,)),
        as_array(maps, (map_count, map_size)),
        as_array(turbines, (turbine_count, turbine_size)),
        as_array(states, (count,)),
        as_array(counter, (1,)),
    )


def _fill_states(table: Any, size: int, speed: Any, flow: Any, ratio: Any, work: Any, count: int) -> None:
    n = (count,)
    fill_states(
        as_array(table, (size,)),
        as_array(speed, n),
        as_array(flow, n),
        as_array(ratio, n),
        as_array(work, n),
    )


def _fill_line_flows(table: Any, size: int, speed: Any, surge: Any, end: Any, choke: Any, count: int) -> None:
    n = (count,)
    fill_line_flows(
        as_array(table, (size,)),
        as_array(speed, n),
        as_array(surge, n),
        as_array(end, n),
        as_array(choke, n),
    )


def _run_cycles(cycles: Any, count: int, way: Any, steps: int, states: Any) -> None:
    run_cycles(as_array(cycles, (count,)), as_array(way, (steps, 6)), as_array(states, (count,)))


def _fill_outputs(
    rows: Any, size: int, mass: Any, temperature: Any, residual: Any, angle: Any, out: Any, count: int
) -> None:
    n = (count,)
    fill_outputs(
        as_array(rows, (count, size)),
        as_array(mass, n),
        as_array(temperature, n),
        as_array(residual, n),
        as_array(angle, n),
        as_array(out, (count, _OUTPUTS)),
    )


def _fill_phasings(
    rows: Any, size: int, mass: Any, temperature: Any, residual: Any, limit: Any, out: Any, count: int
) -> None:
    n = (count,)
    fill_phasings(
        as_array(rows, (count, size)),
        as_array(mass, n),
        as_array(temperature, n),
        as_array(residual, n),
        as_array(limit, n),
        as_array(out, n),
    )


def _fill_rod_forces(
    rows: Any,
    size: int,
    mass: Any,
    temperature: Any,
    residual: Any,
    angle: Any,
    speed: Any,
    rod: Any,
    out: Any,
    count: int,
) -> None:
    n = (count,)
    fill_rod_forces(
        as_array(rows, (count, size)),
        as_array(mass, n),
        as_array(temperature, n),
        as_array(residual, n),
        as_array(angle, n),
        as_array(speed, n),
        as_array(rod, (count, 5)),
        as_array(out, (count, 4)),
    )


def _fill_settled_temperatures(
    points: Any, count: int, nodes: Any, node_count: int, rest: Any, out: Any
) -> None:
    beside = as_array(rest, (3,))
    fill_settled_temperatures(
        as_array(points, (count,)),
        as_array(nodes, (node_count, 3)),
        beside[0],
        beside[1],
        beside[2],
        as_array(out, (count, node_count)),
    )


def intermediate_code() -> dict[str, tuple[str, str]]:
    """Compile everything: name -> (intermediate code, name in there). Takes a quarter of a minute or more."""
    return {
        "solve_batch": c_function(_solve_batch, (POINT, int, float, int, int, float, int, int, STATE)),
        "solve_shared": c_function(
            _solve_shared, (POINT, int, float, int, int, float, int, int, STATE, np.int64)
        ),
        "fill_states": c_function(_fill_states, (float, int, float, float, float, float, int)),
        "fill_line_flows": c_function(_fill_line_flows, (float, int, float, float, float, float, int)),
        "run_cycles": c_function(_run_cycles, (CYCLE, int, float, int, CYCLE_STATE)),
        "fill_outputs": c_function(_fill_outputs, (float, int, float, float, float, float, float, int)),
        "fill_phasings": c_function(_fill_phasings, (float, int, float, float, float, float, float, int)),
        "fill_settled_temperatures": c_function(
            _fill_settled_temperatures, (POINT, int, float, int, float, float)
        ),
        "fill_rod_forces": c_function(
            _fill_rod_forces, (float, int, float, float, float, float, float, float, float, int)
        ),
    }
