"""How long a command takes to start, beside what it cannot do without; medians of whole processes run in turn.

Run from the top folder: ``python -m benchmarks.start_up``. Two ratios:

- ``boostwright --help`` over importing the command-line library alone: bound 2;
- ``boostwright predict`` of 40 speeds, machine code cached, over importing numpy and numba: bound 2.

The processes run in turn, not one kind after the other, so that a busy machine slows all alike. Two times are taken:
the wall's, and the processor's (of the process alone, which a busy machine disturbs less; the ratios are of this one).
``PYTHONDONTWRITEBYTECODE`` is taken out of the environment, since it doubles every import. The first prediction, which
compiles, is not counted; ``--compile`` times it, with an empty cache folder.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PROGRAM = [sys.executable, "-c", "from boostwright.cli.main import run; run()"]
PREDICT = [*PROGRAM, "predict", str(ROOT / "examples" / "hill_climb_estate"), "--speeds", "1500:6375:125 rpm"]
COMMANDS = {
    "an empty program": [sys.executable, "-c", ""],
    "import of the command-line library": [sys.executable, "-c", "import typer"],
    "--help": [*PROGRAM, "--help"],
    "import of numpy and numba": [sys.executable, "-c", "import numpy, numba"],
    "predict, 40 speeds": PREDICT,
}
RATIOS = (
    ("--help", "import of the command-line library", 2.0),
    ("predict, 40 speeds", "import of numpy and numba", 2.0),
)
ENVIRONMENT = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}


def seconds(command: list[str], environment: dict[str, str] = ENVIRONMENT) -> tuple[float, float]:
    """Wall time and processor time of one process, start of the interpreter included."""
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True, env=environment, cwd=ROOT
    )
    wall, after = time.perf_counter() - began, resource.getrusage(resource.RUSAGE_CHILDREN)
    return wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def first_run() -> None:
    """Time the prediction that compiles first."""
    with tempfile.TemporaryDirectory() as folder:
        wall, used = seconds(PREDICT, {**ENVIRONMENT, "BOOSTWRIGHT_CACHE": folder})
    print(f"first prediction, which compiles the solver: {wall:.1f} s ({used:.1f} s of processor time)")


def main() -> None:
    """Print the medians and the ratios with their bounds."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=15)
    parser.add_argument("--compile", action="store_true", help="time the first prediction, too")
    arguments = parser.parse_args()
    for command in COMMANDS.values():
        seconds(command)  # compiles, and fills the file cache
    times: dict[str, list[tuple[float, float]]] = {name: [] for name in COMMANDS}
    for _ in range(arguments.rounds):
        for name, command in COMMANDS.items():
            times[name].append(seconds(command))
    wall, used = (
        {name: statistics.median(t[k] for t in taken) for name, taken in times.items()} for k in (0, 1)
    )
    print(f"{'median of ' + str(arguments.rounds):36} {'wall':>8} {'processor':>10}")
    for name in COMMANDS:
        print(f"{name:36} {wall[name] * 1e3:5.0f} ms {used[name] * 1e3:7.0f} ms")
    for name, peer, bound in RATIOS:
        ratio = used[name] / used[peer]
        verdict = "held" if ratio <= bound else "MISSED"
        print(
            f"{name} over {peer}: {ratio:.2f} (wall {wall[name] / wall[peer]:.2f}; bound {bound:.0f}: {verdict})"
        )
    if arguments.compile:
        first_run()


if __name__ == "__main__":
    main()
