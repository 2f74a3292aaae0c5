"""Our match solve beside ``scipy.optimize.root`` point by point on the same residual, in one run, as ratios.

Run from the top folder: ``python -m benchmarks.match_solve``. Three comparisons, all from cold starts:

- the residual compiled for both: bound 40 times per core;
- the residual in Python for the peer (the same source, run by the interpreter): bound 150 times per core;
- our solver on two cores over one: bound 1.8 times.

Ours and the peer's runs alternate, and the ratios are those of processor time, so a busy machine hits both; two
cores over one is wall time and needs an idle machine. See ``peer.py`` for the peer's terms. Three ratios are given:
'cold' with our cold start tried first, 'best' with the peer's best sequence of starts, 'last' with only the one start
of that sequence that led to the root counted, as if it always guessed right at once. Points that have no steady
state are a line of their own: there the peer tries all its starts in vain.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import asdict, dataclass
from pathlib import Path
from types import SimpleNamespace

import numpy as np

from benchmarks import peer
from benchmarks.batches import Batch, example_batches, random_batch
from boostwright.solve.kernel.layout import MODES, SOLVED
from boostwright.solve.run import solve

ROOT = Path(__file__).resolve().parent.parent
AGREE = 1e-5  # of the unknowns, which are logarithms
NOT_SOLVED = ", none"
PARTS = ["compiled", "python", "cores"]


@dataclass(frozen=True)
class Comparison:
    """Sums over the points of a batch: seconds of processor time, evaluations, and what became of the points."""

    name: str
    points: int
    ours: float
    cold: float
    best: float
    last: float
    evaluations: tuple[int, int]
    found: int
    same: int
    refused: int


def our_unknowns(states: np.ndarray) -> np.ndarray:
    """(n, 3) ln(air flow), ln(p_em), ln(shaft speed); 0 for a turbo that is not there."""
    speed = np.where(states["shaft_speed"] > 0.0, states["shaft_speed"], 1.0)
    return np.log(np.column_stack([states["mass_flow_air"], states["pressure_em"], speed]))


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
    """One run of the peer over all points with both sequences of starts: its outcomes, as plain data."""
    return {
        name: [
            asdict(peer.solve(p, [starts[k] for k in order], top, maps, turbines, mode, share))
            for p, (starts, top), mode, share in zip(points, begin, modes, shares, strict=True)
        ]
        for name, order in peer.ORDERS.items()
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
    with np.errstate(all="ignore"):
        for _ in sys.stdin:
            print(json.dumps(peer_run(points, begin, maps, turbines, modes, shares)), flush=True)


def compare(batch: Batch, kind: type, repeats: int) -> list[Comparison]:
    """Alternate our solver and the peer on a batch: points with a steady state, and points without."""
    solved = batch.solve()["outcome"] == SOLVED
    return [compare_part(batch.part(w), kind, repeats) for w in (solved, ~solved) if w.any()]


def compare_part(batch: Batch, kind: type, repeats: int) -> Comparison:
    """The same for points of one sort."""
    states = batch.solve()
    other = kind(batch, states["mode_held"].tolist(), states["signal_share"].tolist())
    result = other.run()  # warms up
    ours, cold, best, last = [], [], [], []
    for _ in range(repeats):
        ours.append(our_time(batch))
        result = other.run()
        cold.append(sum(r["seconds"] for r in result["cold"]))
        best.append(sum(r["seconds"] for r in result["best"]))
        last.append(sum(r["last"] for r in result["best"]))
    other.close()
    theirs = result["best"]
    solved = bool(states["outcome"][0] == SOLVED)
    found = np.array([r["unknowns"] is not None for r in theirs])
    roots = np.array([r["unknowns"] or [0.0] * 3 for r in theirs])
    near = np.abs(roots - our_unknowns(states)).max(axis=1) < AGREE
    return Comparison(
        batch.name if solved else f"{batch.name}{NOT_SOLVED}",
        batch.points.size,
        float(np.median(ours)),
        float(np.median(cold)),
        float(np.median(best)),
        float(np.median(last)),
        (int(states["evaluations"].sum()), sum(r["evaluations"] for r in theirs)),
        int(found.sum()),
        int((found & near).sum()) if solved else 0,
        sum(r["refused"] for r in theirs),
    )


HEAD = (
    f"{'':32}{'':6}{'us a point':>15}{'peer / ours':>24}{'evaluations':>13}{'share of points':>18}{'roots':>9}\n"
    f"{'points':32}{'n':>6}{'ours':>7}{'peer':>8}{'cold':>8}{'best':>8}{'last':>8}{'ours/peer':>13}"
    f"{'peer finds':>12}{'same':>8}{'refused':>9}"
)


def line(c: Comparison) -> str:
    """A line of the table."""
    micro = 1e6 / c.points
    per_point = [e / c.points for e in c.evaluations]
    last = f"{c.last / c.ours * c.points / c.found:8.1f}" if c.found else f"{'-':>8}"
    return (
        f"{c.name:32}{c.points:6d}{c.ours * micro:7.1f}{c.best * micro:8.0f}"
        f"{c.cold / c.ours:8.1f}{c.best / c.ours:8.1f}{last}"
        f"{per_point[0]:8.0f}/{per_point[1]:<4.0f}{100 * c.found / c.points:10.1f} %{100 * c.same / c.points:6.1f} %"
        f"{c.refused:9d}"
    )


def together(parts: list[Comparison], name: str) -> Comparison:
    """Several batches as one."""
    sums = [sum(getattr(p, f) for p in parts) for f in ("points", "ours", "cold", "best", "last")]
    evaluations = (sum(p.evaluations[0] for p in parts), sum(p.evaluations[1] for p in parts))
    return Comparison(
        name, *sums, evaluations, *(sum(getattr(p, f) for p in parts) for f in ("found", "same", "refused"))
    )


def table(title: str, batches: list[Batch], kind: type, repeats: int) -> None:
    """Compare and print: the sweeps of the examples, the random points by mode, and the points without a state."""
    print(f"\n{title}\n{HEAD}")
    results = [c for batch in batches for c in compare(batch, kind, repeats)]
    without = [c for c in results if c.name.endswith(NOT_SOLVED)]
    solved = [c for c in results if not c.name.endswith(NOT_SOLVED)]
    cloud = [c for c in solved if c.name.startswith("random")]
    examples = [c for c in solved if not c.name.startswith("random")]
    for parts, name in ((examples, "ALL EXAMPLE SWEEPS"), (cloud, "ALL RANDOM POINTS")):
        for part in parts:
            print(line(part))
        if parts:
            print(line(together(parts, name)))
    if without:
        print(line(together(without, "points without a steady state")))
    print(line(together(results, "EVERY POINT")), flush=True)


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
    parser.add_argument(
        "parts", nargs="*", default=PARTS, help=f"what to run: {', '.join(PARTS)}; default all"
    )
    arguments = parser.parse_args()
    if arguments.child:
        child(arguments.child)
        return
    count = arguments.points
    if "compiled" in arguments.parts:
        batches = [*example_batches(), *random_by_mode(count)]
        table("Residual compiled for both", batches, CompiledPeer, arguments.repeats)
    if "python" in arguments.parts:
        batches = [*example_batches(max(2, count // 250)), *random_by_mode(max(10, count // 20))]
        table("Residual in Python for the peer", batches, PythonPeer, max(1, arguments.repeats // 2))
    if "cores" in arguments.parts:
        two_cores(10 * count, 4 * arguments.repeats)


if __name__ == "__main__":
    main()
