"""Reading logs beside general-purpose readers in one run: ratios of processor and wall time, medians in turn.

Run from the top folder: ``python -m benchmarks.log_import``; ``--rows`` makes it smaller. Needs polars, pandas,
asammdf and tsdownsample, which the project itself does not. Bounds:

- text, clean, 1 M rows x 40: reading into arrays at most 1.1 times the fastest of polars, pandas and pyarrow.
  Theirs hold float64,
  ours float32 and a float64 time; the whole import (hash, copy, Parquet, forced to the disk) is shown beside
  it, with no peer;
- opening it again from the store, two columns and the drawing of all, and every value of all columns: at
  least 10 times faster than the fastest reader, the store in the machine's file cache like the text;
- ASAM MDF 4, 1 M x 40, all channels: at least 1.6 times as fast as the library's ``select`` deflated, 3 times
  plain;
- drawing 1 200 pixels: first pass over all rows 1.3 times as fast as tsdownsample, from the pyramid 30 times.
"""

from __future__ import annotations

import argparse
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from boostwright.logs.importers.mdf import read_mdf
from boostwright.logs.importers.text import TextOptions, read_text
from boostwright.logs.records import Notes
from boostwright.logs.store.keep import keep_log
from boostwright.logs.store.pyramid import envelope
from boostwright.logs.store.reader import open_log

COLUMNS = 40


def signals(rows: int) -> dict[str, np.ndarray]:
    rng = np.random.default_rng(0)
    data = {"time": np.round(np.arange(rows) * 0.01, 2)}
    for k in range(COLUMNS - 1):
        walk = np.cumsum(rng.normal(0, 1, rows)) * 0.1 + (1000 if k % 3 == 0 else 90)
        data[f"ch{k}"] = np.round(walk, (1, 2, 3, 0)[k % 4])
    return data


def drained(rows: Any) -> list[Any]:
    return [np.concatenate(parts) for parts in zip(*((r.time, *r.values) for r in rows), strict=True)]


def timed(contestants: dict[str, Callable[[], Any]], rounds: int) -> dict[str, tuple[float, float]]:
    """Median processor and wall time of each, run in turn."""
    found: dict[str, list[tuple[float, float]]] = {name: [] for name in contestants}
    for one in contestants.values():
        one()
    for _ in range(rounds):
        for name, one in contestants.items():
            wall, used = time.perf_counter(), time.process_time()
            result = one()
            found[name].append((time.process_time() - used, time.perf_counter() - wall))
            del result
    return {
        n: (statistics.median(t[0] for t in v), statistics.median(t[1] for t in v)) for n, v in found.items()
    }


def shown(times: dict[str, tuple[float, float]]) -> None:
    for name, (used, wall) in times.items():
        print(f"  {name:34} processor {used * 1e3:9.2f} ms   wall {wall * 1e3:9.2f} ms")


def verdict(words: str, value: float, bound: float, *, least: bool) -> None:
    held = value >= bound if least else value <= bound
    print(
        f"  {words}: {value:.2f} ({'at least' if least else 'at most'} {bound}: {'held' if held else 'MISSED'})"
    )


def text(folder: Path, data: dict[str, np.ndarray], rounds: int) -> None:
    import pandas as pd
    import polars as pl
    import pyarrow as pa
    import pyarrow.csv as pc

    file = folder / "clean.csv"
    pc.write_csv(pa.table(data), file)
    print(f"text, {len(data['time'])} rows x {COLUMNS}, {file.stat().st_size / 1e6:.0f} MB")
    times = timed(
        {
            "ours": lambda: drained(read_text(file, Notes(), TextOptions())),
            "pyarrow": lambda: pc.read_csv(file),
            "polars": lambda: pl.read_csv(file),
            "pandas": lambda: pd.read_csv(file),
        },
        rounds,
    )
    shown(times)
    for which, k in (("processor", 0), ("wall", 1)):
        best = min(t[k] for name, t in times.items() if name != "ours")
        verdict(f"ours over the fastest, {which}", times["ours"][k] / best, 1.1, least=False)
    number = iter(range(10_000))
    whole = timed({"whole import": lambda: keep_log(file, folder / f"logs{next(number)}", TextOptions())}, 2)
    shown(whole)
    stored = keep_log(file, folder / "logs", TextOptions()).entry.folder

    def again() -> None:
        log = open_log(stored)
        log.read(log.tables[0], ["ch0", "ch1"])
        pyramid = log.pyramid(log.tables[0])
        for k in range(COLUMNS - 1):
            pyramid.draw(k, 0.0, 1e9, 1200)

    def everything() -> Any:
        log = open_log(stored)
        stamps, columns = log.read(log.tables[0])
        return stamps, columns, float(stamps.sum()), [float(values.sum()) for values in columns.values()]

    reopened = timed({"two columns, and all drawn": again, "all columns, summed": everything}, 3 * rounds)
    shown(reopened)
    size = sum(path.stat().st_size for path in stored.glob("part-*"))
    print(f"  the store beside the original: {size / 1e6:.0f} MB")
    for which, k in (("processor", 0), ("wall", 1)):
        best = min(t[k] for name, t in times.items() if name != "ours")
        for name, took in reopened.items():
            verdict(f"fastest reader over {name}, {which}", best / took[k], 10, least=True)


def mdf(folder: Path, data: dict[str, np.ndarray], rounds: int) -> None:
    from asammdf import MDF, Signal

    stamps = data["time"]
    for words, compression, bound in (
        ("plain", 0, 3.0),
        ("deflated", 1, 1.6),
        ("deflated by column", 2, 1.6),
    ):
        file = folder / f"{compression}.mf4"
        with MDF(version="4.10") as out:
            kinds = (np.float32, np.float64, np.int16, np.float32)
            out.append(
                [
                    Signal(data[f"ch{k}"].astype(kinds[k % 4]), stamps, name=f"ch{k}")
                    for k in range(COLUMNS - 1)
                ]
            )
            out.save(file, compression=compression, overwrite=True)

        def library(file: Path = file) -> Any:
            with MDF(file) as one:
                return one.select([f"ch{k}" for k in range(COLUMNS - 1)])

        def ours(file: Path = file) -> Any:
            return drained(read_mdf(file, Notes(), ()))

        print(f"ASAM MDF 4, {words}, {file.stat().st_size / 1e6:.0f} MB")
        times = timed({"ours": ours, "the library's select": library}, rounds)
        shown(times)
        verdict(
            "library over ours, processor",
            times["the library's select"][0] / times["ours"][0],
            bound,
            least=True,
        )
        verdict(
            "library over ours, wall", times["the library's select"][1] / times["ours"][1], bound, least=True
        )
        file.unlink()


def drawing(folder: Path, rounds: int) -> None:
    from tsdownsample import MinMaxDownsampler

    values = np.cumsum(np.random.default_rng(0).normal(size=5_000_000)).astype(np.float32)
    stamps = np.arange(values.size) * 0.01
    from boostwright.logs.store.pyramid import Pyramid, PyramidWriter

    writer = PyramidWriter(1)
    writer.add(stamps, [values])
    writer.save(folder / "p.npz")
    pyramid = Pyramid.load(folder / "p.npz")
    peer = MinMaxDownsampler()
    print("drawing 5 M rows in 1 200 pixels")
    times = timed(
        {
            "first pass, ours": lambda: envelope(stamps, values, 1200),
            "first pass, tsdownsample": lambda: values[peer.downsample(values, n_out=2400)],
            "from the pyramid": lambda: pyramid.draw(0, 0.0, 1e9, 1200),
        },
        20 * rounds,
    )
    shown(times)
    theirs = times["first pass, tsdownsample"][0]
    verdict("tsdownsample over the first pass", theirs / times["first pass, ours"][0], 1.3, least=True)
    verdict("tsdownsample over the pyramid", theirs / times["from the pyramid"][0], 30, least=True)


def main() -> None:
    """Print times, ratios and whether they hold."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rows", type=int, default=1_000_000)
    parser.add_argument("--rounds", type=int, default=3)
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as place:
        data = signals(arguments.rows)
        text(Path(place), data, arguments.rounds)
        mdf(Path(place), data, arguments.rounds)
        drawing(Path(place), arguments.rounds)


if __name__ == "__main__":
    main()
