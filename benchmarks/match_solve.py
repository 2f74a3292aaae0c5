"""Our match solve beside ``scipy.optimize.root`` point by point on the same residual, in one run, as ratios.

Run from the top folder: ``python -m benchmarks.match_solve``. Three comparisons, all from cold starts:

- the residual compiled for both: bound 40 times per core;
- the residual in Python for the peer (the same source, run by the interpreter): bound 150 times per core;
- our solver on two cores over one: bound 1.8 times.

Ours and the peer's runs alternate, and the ratios are those of processor time, so a busy machine hits both; two
cores over one is wall time and needs an idle machine. See ``peer.py`` for the peer's terms. Two ratios are given:
'all' counts all the peer's starts, 'last' only the one that converged (as if it always guessed right at once).
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace

import numpy as np

from benchmarks import peer
from benchmarks.batches import Batch, example_batches, random_batch
from boostwright.solve.kernel.layout import MODES, NO_TURBO, SOLVED, TARGET
from boostwright.solve.run import solve

ROOT = Path(__file__).resolve().parent.parent
AGREE = 1e-5  # of the unknowns, which are logarithms
KINDS = ("same", "unstable", "off", "second", "missed")
"""Of a root the peer found: ours; one the wheel would leave; one beyond the end of the compressor card, or of a target
that the gate cannot hold; another stable one where we have a solution; one where we have none."""


@dataclass(frozen=True)
class Comparison:
    """Times in microseconds a point, and what became of the points."""

    name: str
    points: int
    ours: float
    theirs: float
    last: float
    evaluations: tuple[float, float]
    solved: tuple[int, int]
    roots: tuple[int, ...]


def our_unknowns(states: np.ndarray) -> np.ndarray:
    """(n, 3) ln(air flow), ln(p_em), ln(shaft speed); 0 for a turbo that is not there."""
    speed = np.where(states["shaft_speed"] > 0.0, states["shaft_speed"], 1.0)
    return np.log(np.column_stack([states["mass_flow_air"], states["pressure_em"], speed]))


def modes_held(batch: Batch, states: np.ndarray) -> tuple[list[int], list[float]]:
    """Mode and signal share the peer is given: those of our state; where we have none, those asked for."""
    solved = states["outcome"] == SOLVED
    modes = np.where(solved, states["mode_held"], batch.points["mode"])
    shares = np.where(solved, states["signal_share"], batch.points["signal_share"])
    return [int(m) for m in modes], [float(s) for s in shares]


def our_time(batch: Batch) -> float:
    """Seconds of processor time for one batch, repeated until the clock can be trusted.

    A few points are laid end to end to some hundreds: a batch of two would measure the call, not the solver.
    """
    copies = -(-400 // batch.points.size)
    long = batch.part(np.tile(np.arange(batch.points.size), copies))
    times, began = 0, time.process_time()
    while time.process_time() - began < 0.05:
        long.solve()
        times += 1
    return (time.process_time() - began) / times / copies


def peer_run(points: list, begin: list, maps: object, turbines: object, modes: list, shares: list) -> dict:
    """One run of the peer over all points: processor time and outcomes, as plain data."""
    began = time.process_time()
    found = [
        peer.solve(p, first, maps, turbines, mode, share, time.process_time)
        for p, first, mode, share in zip(points, begin, modes, shares, strict=True)
    ]
    return {
        "seconds": time.process_time() - began,
        "unknowns": [None if f.unknowns is None else list(f.unknowns) for f in found],
        "evaluations": sum(f.evaluations for f in found),
        "starts": [f.starts for f in found],
        "last": sum(f.last for f in found),
    }


class CompiledPeer:
    """The peer in this process, with the residual compiled."""

    def __init__(self, batch: Batch, modes: list, shares: list) -> None:
        self.arguments = (
            list(batch.points),
            peer.starts(batch.points),
            batch.maps,
            batch.turbines,
            modes,
            shares,
        )

    def run(self) -> dict:
        """See ``peer_run``."""
        return peer_run(*self.arguments)

    def close(self) -> None:
        """Nothing to close."""


class PythonPeer:
    """The peer in a process of its own, in which nothing is compiled."""

    def __init__(self, batch: Batch, modes: list, shares: list) -> None:
        self.folder = tempfile.TemporaryDirectory()
        path = str(Path(self.folder.name) / "batch.npz")
        np.savez(
            path,
            points=batch.points,
            maps=batch.maps,
            turbines=batch.turbines,
            modes=modes,
            shares=shares,
        )
        self.child = subprocess.Popen(
            [sys.executable, "-m", "benchmarks.match_solve", "--child", path],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            cwd=ROOT,
            env={**os.environ, "NUMBA_DISABLE_JIT": "1"},
        )

    def run(self) -> dict:
        """See ``peer_run``."""
        self.child.stdin.write("run\n")
        self.child.stdin.flush()
        return json.loads(self.child.stdout.readline())

    def close(self) -> None:
        """End the process."""
        self.child.stdin.close()
        self.child.stdout.close()
        self.child.wait()
        self.folder.cleanup()


def child(path: str) -> None:
    """Serve runs of the peer with the residual in Python."""
    data = np.load(path)
    points, begin = [peer.plain(p) for p in data["points"]], peer.starts(data["points"])
    maps, turbines = data["maps"].tolist(), data["turbines"].tolist()
    modes, shares = data["modes"].tolist(), data["shares"].tolist()
    for _ in sys.stdin:
        print(json.dumps(peer_run(points, begin, maps, turbines, modes, shares)), flush=True)


def kind_of_root(
    batch: Batch, i: int, mode: int, share: float, states: np.ndarray, unknowns: list | None
) -> str:
    """One of KINDS, or nothing where the peer found no root."""
    if unknowns is None:
        return ""
    root = np.array(unknowns)
    size = 2 if mode == NO_TURBO else 3
    state, point = states[i : i + 1], batch.points[i]
    solved = state["outcome"][0] == SOLVED
    if solved and np.abs(root - our_unknowns(state)[0])[:size].max() < AGREE:
        return "same"
    if not peer.is_stable(point, batch.maps, batch.turbines, mode, share, root):
        return "unstable"
    if root[2] > np.log(point["shaft_speed_ceiling"]) or (mode == TARGET and not solved):
        return "off"
    return "second" if solved else "missed"


def compare(batch: Batch, kind: type, repeats: int) -> Comparison:
    """Alternate our solver and the peer on a batch."""
    states = batch.solve()
    modes, shares = modes_held(batch, states)
    other = kind(batch, modes, shares)
    result = other.run()  # warms up
    ours, theirs, last = [], [], []
    for _ in range(repeats):
        ours.append(our_time(batch))
        result = other.run()
        theirs.append(result["seconds"])
        last.append(result["last"])
    other.close()
    solved = states["outcome"] == SOLVED
    kinds = [
        kind_of_root(batch, i, modes[i], shares[i], states, unknowns)
        for i, unknowns in enumerate(result["unknowns"])
    ]
    n = batch.points.size
    found = sum(u is not None for u in result["unknowns"])
    micro = 1e6 / n
    return Comparison(
        batch.name,
        n,
        float(np.median(ours)) * micro,
        float(np.median(theirs)) * micro,
        float(np.median(last)) * 1e6 / max(found, 1),
        (float(states["evaluations"].mean()), result["evaluations"] / n),
        (int(solved.sum()), found),
        tuple(kinds.count(kind) for kind in KINDS),
    )


HEAD = (
    f"{'':32}{'':6}{'us a point':>14}{'peer / ours':>18}{'evaluations':>13}{'solved':>13}   the peer's roots\n"
    f"{'points':32}{'n':>6}{'ours':>7}{'peer':>7}{'all':>9}{'last':>9}{'ours/peer':>13}{'ours/peer':>13}  "
    + "".join(f"{kind:>9}" for kind in KINDS)
)


def line(c: Comparison) -> str:
    """A line of the table."""
    return (
        f"{c.name:32}{c.points:6d}{c.ours:7.1f}{c.theirs:7.0f}{c.theirs / c.ours:9.1f}{c.last / c.ours:9.1f}"
        f"{c.evaluations[0]:8.0f}/{c.evaluations[1]:<4.0f}{c.solved[0]:8d}/{c.solved[1]:<4d}  "
        + "".join(f"{count:9d}" for count in c.roots)
    )


def together(parts: list[Comparison], name: str) -> Comparison:
    """Several batches as one."""
    n = sum(p.points for p in parts)

    def mean(values: list[float]) -> float:
        return sum(v * p.points for v, p in zip(values, parts, strict=True)) / n

    return Comparison(
        name,
        n,
        mean([p.ours for p in parts]),
        mean([p.theirs for p in parts]),
        mean([p.last for p in parts]),
        (mean([p.evaluations[0] for p in parts]), mean([p.evaluations[1] for p in parts])),
        (sum(p.solved[0] for p in parts), sum(p.solved[1] for p in parts)),
        tuple(map(sum, zip(*(p.roots for p in parts), strict=True))),
    )


def table(title: str, batches: list[Batch], kind: type, repeats: int) -> None:
    """Compare and print, the examples together and the random points by mode."""
    print(f"\n{title}\n{HEAD}")
    examples, cloud = [], []
    for batch in batches:
        result = compare(batch, kind, repeats)
        (cloud if batch.name.startswith("random") else examples).append(result)
        print(line(result), flush=True)
    for parts, name in ((examples, "all example sweeps"), (cloud, "all random points")):
        if parts:
            print(line(together(parts, name)))


def random_by_mode(count: int) -> list[Batch]:
    """Random points, one batch a mode."""
    batch = random_batch(count)
    return [batch.part(batch.points["mode"] == k, f"random, {mode}") for k, mode in enumerate(MODES)]


def two_cores(count: int, repeats: int) -> None:
    """Wall time on one core over that on two, runs in turn."""
    batch = random_batch(count)
    problem = SimpleNamespace(points=batch.points, maps=batch.maps, turbines=batch.turbines)
    times: dict[int, list[float]] = {1: [], 2: []}
    for _ in range(repeats):
        for workers, taken in times.items():
            began = time.perf_counter()
            solve(problem, workers)  # type: ignore[arg-type]
            taken.append(time.perf_counter() - began)
    ratios = np.array(times[1]) / np.array(times[2])
    best = min(times[1]) / min(times[2])
    print(
        f"\ntwo cores over one, {count} random points, wall time, {repeats} pairs: median {np.median(ratios):.2f}, "
        f"best times {best:.2f} ({1e6 * min(times[1]) / count:.1f} and {1e6 * min(times[2]) / count:.1f} us a point); "
        f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}"
    )


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--child", help="(internal) serve the peer in Python")
    parser.add_argument("--points", type=int, default=2000, help="random points for the compiled peer")
    parser.add_argument("--repeats", type=int, default=5)
    arguments = parser.parse_args()
    if arguments.child:
        child(arguments.child)
        return
    count = arguments.points
    table(
        "Residual compiled for both",
        [*example_batches(), *random_by_mode(count)],
        CompiledPeer,
        arguments.repeats,
    )
    table(
        "Residual in Python for the peer",
        [*example_batches(max(2, count // 250)), *random_by_mode(max(10, count // 20))],
        PythonPeer,
        max(1, arguments.repeats // 2),
    )
    two_cores(10 * count, 2 * arguments.repeats)


if __name__ == "__main__":
    main()
