"""How quick the screen is, in real Chromium with the real model; and how soon the server is there.

Run from the top folder: ``python -m benchmarks.screen`` (needs Chromium and what the tests need). Everything else on
the machine should rest. What is asked, with the bound of each:

- **slider to redraw**: from the key press that moves a slider to the frame with the plots drawn anew, 40 speeds, five
  plots: median under 50 ms, the worst under 100 ms, for each of the keys in ``KEYS``. Keys of the closed cycle are
  answered near while the hand moves and exactly at rest; the exact answer is still being made when the next move comes.
- **first page drawn**: from the printed link to the first frame with curves, in a browser that is already running:
  under 1.0 s, once in a tab that is open and empty, and once with a new tab in a fresh profile, which costs the browser
  more than the page does.
- **server ready**: ``boostwright serve`` until a first request is answered, for the page and for the interface, over a
  FastAPI application of one route served by the same library: at most 1.3. Whole processes in turn, medians.
- **page weight**: all files of the page as sent: under 400 kB.

A redraw is seen from outside the page's own code: Chromium tells when an answer of ``/api/live`` has been read and when
a plot's canvas is cleared and drawn; the frame is the one after the last of them.
"""

from __future__ import annotations

import argparse
import gzip
import os
import re
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "support"))
from chromium import ARGUMENTS, chromium_path
from screen import settled, track
from served import LINK, PROGRAM, Served

ROOT = Path(__file__).resolve().parents[1]
STATIC = ROOT / "src" / "boostwright" / "web" / "static"
KEYS = {
    "housing size (choked flow)": ("Turbine", "Choked flow", True),
    "gate valve diameter": ("Wastegate", "Valve diameter", True),
    "spring rating": ("Wastegate", "Spring rating", True),
    "boost target, all points": ("Wastegate", "Boost target, all points", True),
    "outside pressure (altitude)": ("Outside air", "Ambient pressure", True),
    "compression ratio (closed cycle)": ("Engine", "Compression ratio", True),
}
"""What is dragged -> the part it belongs to, its field, and whether the bounds hold for it."""
PLOTS = 5
BARE = """
import socket, uvicorn
from fastapi import FastAPI
from pydantic import BaseModel
class Answer(BaseModel):
    words: str
app = FastAPI()
@app.get("/")
def home() -> Answer:
    return Answer(words="here")
taken = socket.socket()
taken.bind(("127.0.0.1", 0))
class Server(uvicorn.Server):
    async def startup(self, sockets=None):
        await super().startup(sockets)
        print(f"http://127.0.0.1:{taken.getsockname()[1]}/#token=none", flush=True)
Server(uvicorn.Config(app, loop="asyncio", http="h11", ws="none", lifespan="off", log_config=None)).run(sockets=[taken])
"""
ENVIRONMENT = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"} | {
    "PYTHONUNBUFFERED": "1"
}


def verdict(value: float, bound: float) -> str:
    """Whether a bound is held, in a word."""
    return "held" if value <= bound else "MISSED"


def a_build(place: Path) -> Path:
    """The hill-climb estate with 40 speeds."""
    folder = place / "estate"
    shutil.copytree(ROOT / "examples" / "hill_climb_estate", folder)
    file = folder / "build.toml"
    text = file.read_text(encoding="utf-8")
    new = re.sub(
        r"(?m)^speeds = \{.*\}", 'speeds = { from = "1500 rpm", to = "6375 rpm", step = "125 rpm" }', text
    )
    assert new != text
    file.write_text(new, encoding="utf-8")
    return folder


def until_answered(command: list[str], path: str) -> tuple[float, float]:
    """Wall and processor seconds from the start of a process until a first request is answered."""
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, env=ENVIRONMENT, text=True
    )
    assert process.stdout is not None
    found = LINK.search(process.stdout.readline())
    assert found is not None
    port, token = found.groups()
    headers = {"Authorization": f"Bearer {token}"}
    with urllib.request.urlopen(
        urllib.request.Request(f"http://127.0.0.1:{port}{path}", headers=headers)
    ) as answer:
        answer.read()
    wall = time.perf_counter() - began
    process.kill()
    process.communicate()
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return wall, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def server_ready(build: Path, rounds: int) -> None:
    """Our server until it answers, over a bare one."""
    ours = [*PROGRAM, "serve", str(build), "--no-browser"]
    commands = {
        "bare application": ([sys.executable, "-c", BARE], "/"),
        "serve, its page": (ours, "/"),
        "serve, its interface": (ours, "/api/session"),
    }
    for command in commands.values():
        until_answered(*command)
    times: dict[str, list[tuple[float, float]]] = {name: [] for name in commands}
    for _ in range(rounds):
        for name, command in commands.items():
            times[name].append(until_answered(*command))
    print(f"\nserver ready: first request answered, median of {rounds} processes each in turn")
    wall = {name: statistics.median(taken[0] for taken in all_) for name, all_ in times.items()}
    used = {name: statistics.median(taken[1] for taken in all_) for name, all_ in times.items()}
    for name in commands:
        ratio = wall[name] / wall["bare application"]
        line = f"  {name:28} {wall[name] * 1e3:5.0f} ms wall   {used[name] * 1e3:5.0f} ms processor   ratio {ratio:.2f}"
        print(line + ("" if name.startswith("bare") else f" (bound 1.3: {verdict(ratio, 1.3)})"))


SEEN = """() => {
  const seen = window.seen = { keys: [], draws: [], lives: [], wait: null };
  addEventListener('keydown', (event) => seen.keys.push(event.timeStamp), true);
  const prototype = CanvasRenderingContext2D.prototype, clear = prototype.clearRect;
  prototype.clearRect = function (...where) {
    seen.draws.push([performance.now(), this.canvas]);
    seen.look?.();
    return clear.apply(this, where);
  };
  const ask = window.fetch;
  window.fetch = async (...what) => {
    const answer = await ask(...what);
    if (String(what[0]?.url ?? what[0]).includes('/api/live')) {
      for (const name of ['json', 'text', 'arrayBuffer']) {
        const read = answer[name].bind(answer);
        answer[name] = async () => { const got = await read(); seen.lives.push(performance.now()); return got; };
      }
    }
    return answer;
  };
  // resolves with the ms from the last key press to the frame after `plots` canvases were drawn from a fresh answer
  seen.redrawn = (plots) => new Promise((resolve) => {
    const pressed = seen.keys.length;
    let began = null, done = false;
    const give = setTimeout(() => { done = true; seen.look = null; resolve(null); }, 3000);
    seen.look = () => {
      if (done) return;
      if (began === null && seen.keys.length > pressed) began = seen.keys[pressed];
      if (began === null) return;
      const live = seen.lives.find((at) => at > began);
      if (live === undefined) return;
      const drawn = new Set(seen.draws.filter(([at]) => at >= live).map(([, canvas]) => canvas));
      if (drawn.size < plots) return;
      done = true;
      seen.look = null;
      clearTimeout(give);
      requestAnimationFrame(() => {
        const channel = new MessageChannel();
        channel.port1.onmessage = () => resolve([performance.now() - began, live - began, drawn.size]);
        channel.port2.postMessage(0);
      });
    };
  });
}"""

FIRST = """() => new Promise((resolve) => {
  const look = () => {
    const canvases = new Set(window.seen.draws.map(([, canvas]) => canvas));
    if (window.seen.lives.length && canvases.size >= PLOTS) {
      requestAnimationFrame(() => {
        const channel = new MessageChannel();
        channel.port1.onmessage = () => resolve([Date.now(), canvases.size,
          performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? null]);
        channel.port2.postMessage(0);
      });
    } else setTimeout(look, 4);
  };
  look();
})"""


def page_weight() -> None:
    """Bytes of all files of the page, as sent and as a compressed transfer would be."""
    files = {path.name: path.read_bytes() for path in sorted(STATIC.iterdir()) if path.is_file()}
    whole = sum(map(len, files.values())) / 1e3
    packed = sum(len(gzip.compress(data, mtime=0)) for data in files.values()) / 1e3
    print(
        "page weight: " + ", ".join(f"{name} {len(data) / 1e3:.0f}" for name, data in files.items()) + " kB"
    )
    print(
        f"  in all {whole:.0f} kB (compressed it would be {packed:.0f}); bound 400: {verdict(whole, 400.0)}"
    )


def empty_tab(browser: Any) -> Any:
    """A new tab in a fresh profile, which will note what is drawn."""
    page = browser.new_context(viewport={"width": 1440, "height": 900}).new_page()
    page.add_init_script(f"({SEEN})()")
    return page


def first_page(browser: Any, build: Path, rounds: int) -> None:
    """From the printed link to the first frame with curves, each time on a new server."""
    print(f"\nfirst page drawn, {rounds} new servers")
    for words, is_open in (("in an open tab", True), ("in a new tab", False)):
        times, paints, plots = [], [], 0
        for _ in range(rounds):
            tab = empty_tab(browser) if is_open else None
            at, plots, paint = drawn_after_link(browser, build, tab)
            times.append(at)
            paints.append(paint or 0.0)
        median, worst = statistics.median(times), max(times)
        print(
            f"  {words:14} median {median:.2f} s, worst {worst:.2f} s; bound 1.0: {verdict(worst, 1.0)}   ({plots} "
            f"plots with curves; first paint {statistics.median(paints):.0f} ms after navigation)"
        )


def drawn_after_link(browser: Any, build: Path, tab: Any) -> tuple[float, int, float | None]:
    """Seconds from the link to the first frame with curves, plots in it, ms from navigation to the first paint."""
    with Served(build) as served:
        began = time.time()
        page = tab or empty_tab(browser)
        page.goto(served.link, wait_until="commit")
        at, plots, paint = page.evaluate(FIRST.replace("PLOTS", str(PLOTS)))
        page.context.close()
    return at / 1e3 - began, plots, paint


def slid(page: Any, slider: Any, steps: int) -> list[tuple[float, float, int]]:
    """Move one slider by the keyboard, step by step; ms to the frame, ms to the answer, plots drawn; for each step."""
    slider.focus()
    taken = []
    for step in range(steps):
        waiting = page.evaluate_handle("plots => ({ done: window.seen.redrawn(plots) })", PLOTS)
        page.keyboard.press("ArrowRight" if step % 20 < 10 else "ArrowLeft")
        found = page.evaluate("async waiting => await waiting.done", waiting)
        if found is None:
            raise SystemExit(f"a step was not followed by a redraw of {PLOTS} plots within 3 s")
        taken.append(tuple(found))
        page.wait_for_timeout(40 if step % 5 else 600)  # a pause, in which the settled answer comes, too
    return taken


def in_chromium(build: Path, rounds: int, steps: int) -> None:
    """Everything that needs a browser."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=ARGUMENTS)
        first_page(browser, build, rounds)
        with Served(build) as served:
            context = browser.new_context(viewport={"width": 1440, "height": 900})
            page = context.new_page()
            track(page)
            page.add_init_script(f"({SEEN})()")
            page.goto(served.link)
            settled(page, 60.0)
            print(f"\nslider to redraw, {steps} steps each; ms: median, 95 % of them, worst")
            for words, (part, field, bound) in KEYS.items():
                page.get_by_role("navigation", name="Gas path").get_by_role("button", name=part).first.click()
                slider = page.get_by_role("slider", name=re.compile(rf"^{field}( \(.*\))?, drag$"))
                slid(page, slider, 4)
                told(words, slid(page, slider, steps), bound)
                page.get_by_role("button", name="Drop changes").click()
                settled(page, 60.0)
        browser.close()


def told(words: str, taken: list[tuple[float, float, int]], bound: bool) -> None:
    """One line of figures."""
    whole = sorted(one[0] for one in taken)
    answer = statistics.median(one[1] for one in taken)
    median, worst = statistics.median(whole), whole[-1]
    line = (
        f"  {words:32} {median:5.1f} {whole[int(0.95 * len(whole))]:6.1f} {worst:6.1f}   answer {answer:5.1f}"
    )
    if bound:
        line += f"   median 50: {verdict(median, 50.0)}, worst 100: {verdict(worst, 100.0)}"
    print(line, flush=True)


def main() -> None:
    """Print every figure with its bound."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=11, help="processes of each kind, pages and so on")
    parser.add_argument("--steps", type=int, default=60, help="key presses for each slider")
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as place:
        build = a_build(Path(place))
        page_weight()
        server_ready(build, arguments.rounds)
        in_chromium(build, arguments.rounds, arguments.steps)


if __name__ == "__main__":
    main()
