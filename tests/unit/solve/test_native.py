"""The kernel's object file gives what the compiled functions give, and a prediction needs nothing else."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from boostwright.build import read_build, with_settings
from boostwright.cards.look_up import find_card
from boostwright.components.compressor import compressor_surface
from boostwright.numerics.object_code import object_path, read_object, supported
from boostwright.solve import native
from boostwright.solve.kernel import entries
from boostwright.solve.kernel.layout import STATE
from boostwright.solve.problem import Problem, assemble

EXAMPLE = Path(__file__).parents[3] / "examples" / "hill_climb_estate"


def _problem(mode: str) -> Problem:
    build = with_settings(read_build(EXAMPLE), [f"prediction.mode={mode}"])
    cards = {kind: find_card(kind, build[kind].text("card"), build.folder) for kind in ("fuel", "compressor")}
    return assemble(build, cards, np.linspace(150.0, 700.0, 12), mode)


@pytest.mark.parametrize("mode", ["gate-shut", "spring", "target", "gate-open", "no-turbo"])
def test_states_are_those_of_the_compiled_functions(mode: str) -> None:
    problem = _problem(mode)
    ours, direct = np.zeros(12, STATE), np.zeros(12, STATE)
    native.solve_points(problem.points, problem.maps, problem.turbines, ours)
    entries.solve_batch(problem.points, problem.maps, problem.turbines, direct)
    for name in STATE.names:
        # both are optimised by themselves, so the last digits may differ, and with them what rests on a difference
        np.testing.assert_allclose(ours[name], direct[name], rtol=1e-7, atol=1e-9, err_msg=name)


def test_compressor_columns_are_those_of_the_compiled_functions() -> None:
    table = compressor_surface(find_card("compressor", "cc3-vaneless")).table
    speed = np.linspace(0.0, 9000.0, 50)
    flow = np.linspace(0.1, 6.0, 50)
    direct = [np.empty(50) for _ in range(5)]
    entries.fill_states(table, speed, flow, direct[0], direct[1])
    entries.fill_line_flows(table, speed, direct[2], direct[3], direct[4])
    ours = [*native.compressor_states(table, speed, flow), *native.line_flows(table, speed)]
    for a, b in zip(ours, direct, strict=True):
        np.testing.assert_allclose(a, b, rtol=1e-12)


def test_rod_forces_are_those_of_the_compiled_functions_and_survive_no_number() -> None:
    problem = _problem("target")
    rod = np.tile([1.24, 5.4e-3, 1.0e5, 0.31, 0.025], (12, 1))
    state = [np.full(12, value) for value in (1.0e-3, 350.0, 0.05, 0.25)]
    ours, direct = native.rod_forces(problem.rows, *state, problem.speeds, rod), np.zeros((12, 4))
    entries.fill_rod_forces(problem.rows, *state, problem.speeds, rod, direct)
    np.testing.assert_allclose(ours, direct, rtol=1e-9)
    assert (ours[:, 0] > 0.0).all()
    for column in state:
        column[3] = np.nan
    again = native.rod_forces(problem.rows, *state, problem.speeds, rod)
    np.testing.assert_allclose(np.delete(again, 3, axis=0), np.delete(ours, 3, axis=0))


def test_a_speed_that_is_no_number_is_survived() -> None:
    table = compressor_surface(find_card("compressor", "cc3-vaneless")).table
    surge, end, choke = native.line_flows(table, np.array([np.nan, 5000.0, np.inf]))
    assert np.all(np.isfinite(surge + end + choke))


@pytest.mark.skipif(not supported(), reason="the compiler's own cache serves on this system")
def test_the_object_file_is_kept() -> None:
    native.line_flows(np.zeros(1000), np.zeros(0))  # any call makes it
    assert native.is_compiled()
    assert read_object(object_path("kernel"))


@pytest.mark.skipif(not supported(), reason="the compiler's own cache serves on this system")
def test_a_prediction_imports_neither_compiler_nor_plotting() -> None:
    code = (
        "import sys; from boostwright.cli.main import main; "
        f"main(['predict', {str(EXAMPLE)!r}, '--speeds', '3000, 5000 rpm']); "
        "print([name for name in ('numba', 'scipy', 'matplotlib', 'tomlkit') if name in sys.modules])"
    )
    native.line_flows(np.zeros(1000), np.zeros(0))
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.splitlines()[-1] == "[]", run.stdout[-200:]
