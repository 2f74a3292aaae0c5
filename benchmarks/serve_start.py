"""How long `boostwright serve` takes until it answers, beside a bare FastAPI application; whole processes run in turn.

Run from the top folder: ``python -m benchmarks.serve_start``. The peer is the least that FastAPI and uvicorn can do:
one route that answers a dictionary and one that takes a body, on the loopback, with the same settings of uvicorn. All
count from the start of the process to the first answer over HTTP that is asked for as soon as the port is open: the
page itself, and the first call of the interface (/api/session), which has 34 routes and their models to load. Bound of
both ratios: 1.3.

Wall time, since that is what the user waits for; the processes run in turn, so that a busy machine slows both alike.
The processor's time up to the answer stands beside it.
"""

from __future__ import annotations

import argparse
import http.client
import os
import shutil
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
BOUND = 1.3
PEER = """
import sys, fastapi, pydantic, uvicorn
app = fastapi.FastAPI()
class Item(pydantic.BaseModel):
    name: str
@app.get("/")
def root():
    return {"hello": "there"}
@app.post("/items")
def items(item: Item):
    return item
uvicorn.run(app, host="127.0.0.1", port=int(sys.argv[1]), log_config=None, access_log=False, loop="asyncio",
            http="h11", ws="none", lifespan="off")
"""
OURS = "from boostwright.cli.main import run; run()"
ENVIRONMENT = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}


def free_port() -> int:
    """A port that nobody has."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def until_answered(command: list[str], port: int, path: str, patience: float = 60.0) -> tuple[float, float]:
    """Wall time to the first answer, and the processor's time until then."""
    began = time.perf_counter()
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, env=ENVIRONMENT, text=True
    )
    headers = {}
    try:
        if path != "/" and process.stdout is not None:  # the secret is in the link that is printed
            token = process.stdout.readline().strip().partition("#token=")[2]
            headers = {"Authorization": f"Bearer {token}", "Host": f"127.0.0.1:{port}"}
        while time.perf_counter() - began < patience:
            connection = http.client.HTTPConnection("127.0.0.1", port, timeout=5.0)
            try:
                connection.request("GET", path, headers=headers)
                answer = connection.getresponse()
                answer.read()
                if answer.status not in (200, 404):
                    raise ValueError(f"{command} answered {answer.status}")
                return time.perf_counter() - began, processor_time(process.pid)
            except OSError:
                time.sleep(0.002)
            finally:
                connection.close()
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()
    raise TimeoutError(" ".join(command))


def processor_time(pid: int) -> float:
    """Seconds of the processor a process has used; nan where the system does not tell."""
    try:
        fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return float("nan")
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def main() -> None:
    """Print the medians and the ratio with its bound."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=15)
    rounds = parser.parse_args().rounds
    with tempfile.TemporaryDirectory() as folder:
        build = Path(folder) / "build"
        shutil.copytree(ROOT / "examples" / "hill_climb_estate", build)

        def command(name: str, port: int) -> list[str]:
            if name == "bare FastAPI":
                return [sys.executable, "-c", PEER, str(port)]
            return [sys.executable, "-c", OURS, "serve", str(build), "--no-browser", "--port", str(port)]

        paths = {
            "bare FastAPI": "/",
            "boostwright serve, page": "/",
            "boostwright serve, interface": "/api/session",
        }
        names = tuple(paths)
        times: dict[str, list[tuple[float, float]]] = {name: [] for name in names}
        for turn in range(rounds + 1):
            for name in names if turn % 2 else reversed(names):
                port = free_port()
                taken = until_answered(command(name, port), port, paths[name])
                if turn:  # the first round fills the caches
                    times[name].append(taken)
    wall, used = (
        {name: statistics.median(t[k] for t in taken) for name, taken in times.items()} for k in (0, 1)
    )
    print(f"{'median of ' + str(rounds):30} {'to first answer':>16} {'processor':>10}")
    for name in names:
        print(f"{name:30} {wall[name] * 1e3:13.0f} ms {used[name] * 1e3:7.0f} ms")
    for name in names[1:]:
        ratio = wall[name] / wall["bare FastAPI"]
        verdict = "held" if ratio <= BOUND else "MISSED"
        print(f"{name} over bare FastAPI: {ratio:.2f} (bound {BOUND}: {verdict})")


if __name__ == "__main__":
    main()
