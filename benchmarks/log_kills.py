"""Imports killed at random moments: is every finished log whole, is nothing half there, is the original untouched?

Run from the top folder: ``python -m benchmarks.log_kills --kills 200``. Each run imports a log into one folder
in a process
of its own, which is killed (SIGKILL) after a time drawn between nothing and a little more than a whole import
takes; so some
finish. After each kill every visible folder must hold a manifest whose hash is that of the original it keeps,
and tables that read back in full; at the end a last import must succeed and leave no remains.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from boostwright.logs.store.reader import open_log

CODE = """
import sys
from pathlib import Path
from boostwright.tasks.import_log import ImportOptions, import_logs
print("go", flush=True)
result = import_logs([sys.argv[1]], Path(sys.argv[2]), ImportOptions(again=True))
sys.exit(len(result.failed))
"""


def written(file: Path, rows: int) -> None:
    """A log of some size."""
    rng = random.Random(4)
    head = ",".join(["Time [s]", *(f"Channel {k} [kPa]" for k in range(20))])
    lines = [
        ",".join([f"{k / 50:.2f}", *(f"{rng.uniform(0, 300):.2f}" for _ in range(20))]) for k in range(rows)
    ]
    file.write_text("\n".join([head, *lines]) + "\n")


def start(file: Path, folder: Path) -> subprocess.Popen[str]:
    """An import that has got as far as beginning."""
    process = subprocess.Popen(
        [sys.executable, "-c", CODE, str(file), str(folder)], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    process.stdout.readline()
    return process


def checked(folder: Path, sha256: str, seen: set[str]) -> list[str]:
    """What is wrong with the visible logs that were not looked at before."""
    wrong = []
    for log in folder.iterdir():
        if log.name.startswith(".") or log.name in seen:
            continue
        try:
            stored = open_log(log)
            data = stored.entry.original.read_bytes()
            if hashlib.sha256(data).hexdigest() != stored.entry.sha256 or stored.entry.sha256 != sha256:
                wrong.append(f"{log.name}: original differs")
            for table in stored.tables:
                stamps, _ = stored.read(table)
                stored.pyramid(table)
                if stamps.size != table.rows:
                    wrong.append(f"{log.name}: {stamps.size} of {table.rows} rows")
        except Exception as error:  # noqa: BLE001  anything at all is a finding here
            wrong.append(f"{log.name}: {error}")
        seen.add(log.name)
    return wrong


def main() -> None:
    """Kill, look, and say."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--rows", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    rng = random.Random(arguments.seed)
    with tempfile.TemporaryDirectory() as place:
        file, folder = Path(place) / "log.csv", Path(place) / "logs"
        written(file, arguments.rows)
        sha256 = hashlib.sha256(file.read_bytes()).hexdigest()
        start(file, folder).wait()
        began = time.perf_counter()
        start(file, folder).wait()
        whole = time.perf_counter() - began
        wrong, killed, finished, seen = [], 0, 0, set()
        for _ in range(arguments.kills):
            process = start(file, folder)
            time.sleep(rng.uniform(0, 0.8 * whole))
            if process.poll() is None:
                os.kill(process.pid, signal.SIGKILL)
                killed += 1
            else:
                finished += 1
            process.wait()
            wrong += checked(folder, sha256, seen)
            if (killed + finished) % 20 == 0:
                print(f"  {killed} killed, {finished} finished, {len(wrong)} wrong", flush=True)
        last = start(file, folder).wait()
        wrong += checked(folder, sha256, seen)
        remains = [p.name for p in folder.iterdir() if p.name.startswith(".")]
        if hashlib.sha256(file.read_bytes()).hexdigest() != sha256:
            wrong.append("the file itself was changed")
    print(
        f"{killed} killed, {finished} had finished before; {len(seen)} logs in the folder, each looked at whole"
    )
    print(f"last import: exit {last}; remains left: {len(remains)}; wrong: {len(wrong)}")
    for line in wrong[:10]:
        print(f"  {line}")


if __name__ == "__main__":
    main()
