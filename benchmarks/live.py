"""How long an answer takes while something is dragged: 40 speeds, over HTTP, beside ``predict`` and bare FastAPI.

Run from the top folder: ``python -m benchmarks.live``. A server of its own process answers /api/live for values along a
slider, each new, one after the other, as a page asks. Beside it in the same run and in turns:

- ``predict`` of the same change in this process, warm: what an answer would take without parts held ready;
- a bare FastAPI application that sends an answer of the same size: what the way there and back takes by itself.

Bounds: 10 ms in the middle for keys that leave the closed cycle alone, 50 ms for the others while the hand moves; worst
under 100 ms for all. Wall times, so on a
busy machine they grow; the ratios hardly do, nor does the time of the processor that an answer takes, which stands
beside them (of all cores together: a table of closed cycles is made on as many as there are).
"""

from __future__ import annotations

import argparse
import http.client
import json
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from benchmarks.serve_start import ENVIRONMENT, OURS, ROOT, free_port, processor_time

SPEEDS = np.linspace(150.0, 700.0, 40).tolist()
SLIDERS = (
    ("turbine.choked_flow", 0.021, 0.031, " kg/s*sqrt(K)/kPa"),
    ("wastegate.takeoff_angle", 10.0, 120.0, " deg"),
    ("wastegate.valve_diameter", 36.0, 46.0, " mm"),
    ("charge_cooler.effectiveness", 0.5, 0.9, ""),
    ("ambient.temperature", -5.0, 35.0, " degC"),
    ("breathing.volumetric_efficiency", 0.8, 1.0, ""),
    ("engine.compression_ratio", 8.4, 9.6, ""),
)
OF_THE_CYCLE = ("engine.compression_ratio",)
"""Keys that are asked twice: while the hand moves, and at rest."""
PEER = """
import sys, fastapi, uvicorn
app = fastapi.FastAPI()
answer = b"1" * int(sys.argv[2])
@app.post("/api/live")
def live(body: dict):
    return fastapi.Response(answer)
uvicorn.run(app, host="127.0.0.1", port=int(sys.argv[1]), log_config=None, access_log=False)
"""


class Asked:
    """A server in a process of its own, asked over one connection."""

    def __init__(self, command: list[str], port: int, token: bool) -> None:
        self.process = subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, env=ENVIRONMENT
        )
        self.headers = {"Content-Type": "application/json", "Host": f"127.0.0.1:{port}"}
        assert self.process.stdout is not None
        if token:
            secret = self.process.stdout.readline().decode().strip().partition("#token=")[2]
            self.headers["Authorization"] = f"Bearer {secret}"
        self.connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        for _ in range(200):
            try:
                self.ask({})
                return
            except OSError:
                time.sleep(0.05)
                self.connection.close()

    def ask(self, changes: dict[str, str], rough: bool = False) -> tuple[float, bytes]:
        """Seconds from the question to the last byte of the answer."""
        body = json.dumps({"changes": changes, "speeds": SPEEDS, "rough": rough})
        began = time.perf_counter()
        self.connection.request("POST", "/api/live", body, self.headers)
        answer = self.connection.getresponse()
        text = answer.read()
        taken = time.perf_counter() - began
        if answer.status != 200:
            raise ValueError(f"{changes}: {answer.status} {text[:200]!r}")
        return taken, text

    def stop(self) -> None:
        """End it."""
        self.connection.close()
        self.process.kill()
        self.process.wait()


def _asked() -> list[tuple[str, float, float, str, bool]]:
    """The sliders, those of the closed cycle twice."""
    return [
        (*slider, rough)
        for slider in SLIDERS
        for rough in ((True, False) if slider[0] in OF_THE_CYCLE else (False,))
    ]


def main() -> None:
    """Print a row a slider."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--steps", type=int, default=40)
    steps = parser.parse_args().steps
    from boostwright.tasks.predict import predict

    with tempfile.TemporaryDirectory() as folder:
        build = Path(folder) / "build"
        shutil.copytree(ROOT / "examples" / "hill_climb_estate", build)
        ports = free_port(), free_port()
        ours = Asked(
            [sys.executable, "-c", OURS, "serve", str(build), "--no-browser", "--port", str(ports[0])],
            ports[0],
            True,
        )
        size = len(ours.ask({})[1])
        peer = Asked([sys.executable, "-c", PEER, str(ports[1]), str(size)], ports[1], False)
        predict(build, speeds=SPEEDS)
        head = f"{'median':>8} {'worst':>8} {'processor':>10} {'bare':>8} {'predict':>9} {'ratio':>6}"
        print(f"{'40 speeds, ' + str(size // 1000) + ' kB':34} {head}")
        try:
            for key, low, high, unit, rough in _asked():
                times: list[list[float]] = [[], [], []]
                used = processor_time(ours.process.pid)
                for n, value in enumerate(np.linspace(low, high, steps)):
                    changes = {key: f"{value:.6g}{unit}"}
                    times[0].append(ours.ask(changes, rough)[0])
                    times[1].append(peer.ask(changes)[0])
                    if n % 5 == 0:
                        began = time.perf_counter()
                        predict(build, speeds=SPEEDS, settings=[f"{key}={value + 1e-7:.8g}{unit}"])
                        times[2].append(time.perf_counter() - began)
                used = (processor_time(ours.process.pid) - used) / steps
                middle, bare, whole = (statistics.median(taken) for taken in times)
                worst = max(times[0])
                bound = 0.05 if rough else 0.1 if key in OF_THE_CYCLE else 0.01
                name = f"{key}, moving" if rough else key
                verdict = "held" if middle <= bound and worst <= 0.1 else "MISSED"
                row = f"{name:34} {1e3 * middle:5.1f} ms {1e3 * worst:5.0f} ms {1e3 * used:7.1f} ms"
                print(f"{row} {1e3 * bare:5.1f} ms {1e3 * whole:6.0f} ms {middle / whole:6.3f}  {verdict}")
        finally:
            ours.stop()
            peer.stop()


if __name__ == "__main__":
    main()
