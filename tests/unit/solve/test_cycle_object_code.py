"""The cycle's kernels can be kept as object code: they neither allocate nor raise."""

from __future__ import annotations

from typing import Any

import pytest

from boostwright.numerics.compiler import as_array, c_function
from boostwright.numerics.object_code import make_object, supported
from boostwright.solve.kernel.cycle import run_cycles
from boostwright.solve.kernel.cycle_layout import CYCLE, CYCLE_STATE, PATH
from boostwright.solve.kernel.cycle_table import cycle_outputs, knock_limited_phasing

COLUMNS = len(PATH)


def _run(cycles: Any, count: int, way: Any, steps: int, states: Any) -> None:
    run_cycles(as_array(cycles, (count,)), as_array(way, (steps, COLUMNS)), as_array(states, (count,)))


def _read(row: Any, size: int, given: Any, out: Any) -> None:
    r, g, o = as_array(row, (size,)), as_array(given, (4,)), as_array(out, (11,))
    cycle_outputs(r, g[0], g[1], g[2], g[3], o[:10])
    o[10] = knock_limited_phasing(r, g[0], g[1], g[2], 1.0)


@pytest.mark.skipif(not supported(), reason="object files are loaded on Linux only")
@pytest.mark.parametrize(
    ("function", "arguments"),
    [(_run, (CYCLE, int, float, int, CYCLE_STATE)), (_read, (float, int, float, float))],
    ids=["cycle", "table"],
)
def test_nothing_but_the_mathematics_library_is_wanted(function: Any, arguments: Any) -> None:
    assert len(make_object({"function": c_function(function, arguments)})) > 1000
