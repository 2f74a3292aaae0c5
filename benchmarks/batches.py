"""The points the benchmarks solve: the sweeps of the example builds in every mode, and random plausible points."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from benchmarks.random_points import compressor_tables, random_points, turbine_tables
from boostwright.build import read_build, with_settings
from boostwright.cards.look_up import find_card
from boostwright.solve.kernel.layout import MODES, STATE
from boostwright.solve.native import solve_points
from boostwright.solve.problem import Problem, assemble

EXAMPLES = Path(__file__).resolve().parent.parent / "examples"


@dataclass(frozen=True)
class Batch:
    """Points (n,) with the tables they refer to (one a row)."""

    name: str
    points: np.ndarray
    maps: np.ndarray
    turbines: np.ndarray

    def solve(self) -> np.ndarray:
        """States (n,) on one core."""
        states = np.zeros(self.points.shape, STATE)
        solve_points(self.points, self.maps, self.turbines, states)
        return states

    def part(self, chosen: np.ndarray, name: str = "") -> Batch:
        """Some of the points."""
        points = np.ascontiguousarray(self.points[chosen])
        return Batch(name or self.name, points, self.maps, self.turbines)


def _problem(folder: Path, mode: str, speeds: np.ndarray) -> Problem:
    build = with_settings(read_build(folder), [f"prediction.mode={mode}"])
    cards = {
        kind: find_card(kind, build[kind].text("card"), build.folder)
        for kind in ("fuel", "compressor", "turbine")
        if build[kind].has("card")
    }
    return assemble(build, cards, speeds, mode)


def example_batches(count: int = 40) -> list[Batch]:
    """One batch an example and mode: ``count`` speeds from a tenth of the engine's limit to the limit."""
    found = []
    for folder in sorted(EXAMPLES.iterdir()):
        if not (folder / "build.toml").is_file():
            continue
        build = read_build(folder)
        top = build["engine"].si("speed_limit")
        modes = [m for m in MODES if m != "target" or build["boost_control"].has("target")]
        for mode in modes:
            problem = _problem(folder, mode, np.linspace(0.15 * top, top, count))
            found.append(Batch(f"{folder.name}, {mode}", problem.points, problem.maps, problem.turbines))
    return found


def random_batch(count: int, seed: int = 1) -> Batch:
    """Random plausible points in all modes."""
    maps, highest, flow, diameter = compressor_tables()
    points = random_points(count, seed, maps, highest, flow, diameter)
    return Batch("random", points, maps, turbine_tables())
