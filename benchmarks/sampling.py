"""How much faster is a batch of samples than the same loop over single predictions? ``python -m benchmarks.sampling``.

Both predict the same shifted builds at the same speeds with all outputs. The batch brings thresholds, bands and shares
of variance besides; what a loop would need for those is left out. The loop leaves out the doubts that reach the table
of closed cycles, for which it would have to make a table a sample: it is the faster for it.
"""

from __future__ import annotations

import argparse
import os
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from boostwright.build import read_build
from boostwright.solve.uncertainty.assembling import Assembler
from boostwright.solve.uncertainty.doubts import doubts_of
from boostwright.solve.uncertainty.draws import draw
from boostwright.solve.uncertainty.sampled import sampled
from boostwright.solve.uncertainty.shifted import shifted_build
from boostwright.tasks.predict import predict_build
from boostwright.tasks.ready import cards_of
from boostwright.tasks.uncertainty import predict_bands_of_build, sample_prediction

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"
SAMPLES, SPEEDS, LOOP, REPEATS = 1000, 40, 30, 3


def _timed(work: Callable[[], object]) -> tuple[float, float]:
    """Wall and processor time [s]."""
    wall, cpu = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - wall, time.process_time() - cpu


def compare(example: str, samples: int = SAMPLES) -> None:
    """Print the medians of alternating repeats for one example."""
    build = read_build(EXAMPLES / example)
    cards = cards_of(build)
    speeds = np.linspace(1500.0, 6200.0, SPEEDS) * np.pi / 30.0
    doubts = doubts_of(build, cards)
    maker = Assembler(build, cards, speeds, "target", None, doubts)
    between = {doubts[column].name for column in maker.cycles.columns}
    alone = [doubt for doubt in doubts if doubt.name not in between]
    builds = [shifted_build(build, alone, row) for row in draw(alone, LOOP, 1)]

    def batch() -> object:
        return sampled(build, cards, speeds, "target", samples=samples, seed=1)

    def with_thresholds() -> object:
        return sample_prediction(build, speeds, samples=samples, seed=1)

    def everything() -> object:
        return predict_bands_of_build(build, speeds=speeds, samples=samples, seed=1)

    def loop() -> object:
        return [predict_build(one, speeds=speeds) for one in builds]

    ways = {
        "quantities": batch,
        "and thresholds, fuel system": with_thresholds,
        "and bands, shares": everything,
    }
    for work in (*ways.values(), loop):
        work()  # caches warm
    times: dict[str, list[tuple[float, float]]] = {name: [] for name in (*ways, "loop")}
    for _ in range(REPEATS):
        for name, work in ways.items():
            times[name].append(_timed(work))
        wall, cpu = _timed(loop)
        times["loop"].append((wall * samples / LOOP, cpu * samples / LOOP))
    middle = {name: np.median(np.array(found), axis=0) for name, found in times.items()}
    print(f"{example}: {samples} samples x {SPEEDS} speeds, {len(doubts)} doubts, {os.cpu_count()} cores")
    for name in ways:
        wall, cpu = middle["loop"] / middle[name]
        print(f"  {name:28s} {middle[name][0]:6.2f} s wall {middle[name][1]:6.2f} s processor; loop over it: "
              f"{wall:5.1f} wall {cpu:5.1f} processor")  # fmt: skip
    print(
        f"  {'loop of single predictions':28s} {middle['loop'][0]:6.2f} s wall {middle['loop'][1]:6.2f} s processor"
    )


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--samples", type=int, default=SAMPLES)
    chosen = parser.parse_args()
    for name in ("hill_climb_estate", "transverse_three"):
        compare(name, chosen.samples)
