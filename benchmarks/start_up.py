"""How long a command takes to start, beside what it cannot do without; medians of runs taken in turn.

Run from the top folder: ``python benchmarks/start_up.py``. Two ratios:

- ``boostwright --help`` over importing the command-line library alone. Bound: 2.
- ``boostwright predict`` of 40 speeds, machine code cached, over importing numpy and numba. Bound: 2.

The commands are run in turn, not one after the other, so that a busy machine slows all of them alike. The first
prediction, which compiles, is not counted.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
PROGRAM = str(Path(sys.executable).parent / "boostwright")
EXAMPLE = str(ROOT / "examples" / "hill_climb_estate")
ROUNDS = 15
COMMANDS = {
    "import of the command-line library": [sys.executable, "-c", "import typer"],
    "--help": [PROGRAM, "--help"],
    "import of numpy and numba": [sys.executable, "-c", "import numpy, numba"],
    "predict, 40 speeds": [PROGRAM, "predict", EXAMPLE, "--speeds", "1500:6375:125 rpm"],
}
RATIOS = (
    ("--help", "import of the command-line library", 2.0),
    ("predict, 40 speeds", "import of numpy and numba", 2.0),
)


def seconds(command: list[str]) -> float:
    """Wall time of one run, start of the interpreter included."""
    start = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True)
    return time.perf_counter() - start


def main() -> None:
    """Print the medians and the ratios with their bounds."""
    for command in COMMANDS.values():
        seconds(command)  # compiles, and fills the file cache
    times: dict[str, list[float]] = {name: [] for name in COMMANDS}
    for _ in range(ROUNDS):
        for name, command in COMMANDS.items():
            times[name].append(seconds(command))
    median = {name: statistics.median(taken) for name, taken in times.items()}
    for name, taken in median.items():
        print(f"{name:36s} {taken * 1e3:7.0f} ms")
    for name, peer, bound in RATIOS:
        ratio = median[name] / median[peer]
        print(
            f"{name} over {peer}: {ratio:.2f} (bound {bound:.0f}: {'held' if ratio <= bound else 'MISSED'})"
        )


if __name__ == "__main__":
    main()
