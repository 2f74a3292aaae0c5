"""``boostwright serve`` as its own process, as a user starts it: link read from what it prints, ended by its id."""

from __future__ import annotations

import json
import os
import re
import select
import shutil
import signal
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

__all__ = ["EXAMPLES", "LINK", "Served", "copy_of"]

EXAMPLES = Path(__file__).parents[2] / "examples"
LINK = re.compile(r"http://127\.0\.0\.1:(\d+)/#token=([A-Za-z0-9_~.-]+)")
PROGRAM = [sys.executable, "-c", "from boostwright.cli.main import run; run()"]


def copy_of(example: str, place: Path, name: str = "my estate") -> Path:
    """A copy of an example build, outside the project."""
    folder = place / name
    shutil.copytree(EXAMPLES / example, folder)
    return folder


class Served:
    """A running server. ``link`` opens the page with its token, ``port`` and ``token`` are its parts."""

    def __init__(
        self,
        folder: Path | None,
        port: int | None = None,
        where: Path | None = None,
        program: list[str] | None = None,
        patience: float = 60.0,
    ) -> None:
        """Start it on a build (or on none, in the working folder ``where``), and wait until it prints its link."""
        command = [*(program or PROGRAM), "serve", *([str(folder)] if folder else []), "--no-browser"]
        if port:
            command += ["--port", str(port)]
        self.folder = folder
        self.words = ""
        self.process = subprocess.Popen(
            command,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            cwd=where or (folder.parent if folder else None),
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )
        self.link, self.port, self.token = self._printed(patience)

    def _printed(self, patience: float) -> tuple[str, int, str]:
        end, pipe = time.monotonic() + patience, self.process.stdout
        assert pipe is not None
        while time.monotonic() < end:
            if select.select([pipe], [], [], 0.1)[0]:
                some = os.read(pipe.fileno(), 65536)
                self.words += some.decode("utf-8", errors="replace")
                if found := LINK.search(self.words):
                    return found.group(), int(found[1]), found[2]
                if not some:
                    break
        self.stop()
        raise AssertionError(f"the server printed no link:\n{self.words}")

    @property
    def address(self) -> str:
        """Where it listens, without the token."""
        return f"http://127.0.0.1:{self.port}"

    def ask(self, path: str, send: Any = None, method: str | None = None, **headers: str) -> tuple[int, Any]:
        """Status and document of one call of the interface, with the token unless a header says otherwise."""
        body = None if send is None else json.dumps(send).encode()
        given = {"Authorization": f"Bearer {self.token}", "Content-Type": "application/json", **headers}
        request = urllib.request.Request(
            f"{self.address}{path}", body, given, method=method or ("GET" if send is None else "POST")
        )
        try:
            with urllib.request.urlopen(request, timeout=60) as answer:
                status, text = answer.status, answer.read()
        except urllib.error.HTTPError as error:
            with error:
                status, text = error.code, error.read()
        try:
            return status, json.loads(text)
        except ValueError:
            return status, text.decode("utf-8", errors="replace")

    def kill(self) -> None:
        """End it as a power cut would."""
        self.process.kill()
        self._gone()

    def stop(self) -> None:
        """End it as Ctrl-C does."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
            try:
                self.process.wait(10)
            except subprocess.TimeoutExpired:
                self.process.kill()
        self._gone()

    def _gone(self) -> None:
        self.process.wait()
        if self.process.stdout:
            self.process.stdout.close()

    def __enter__(self) -> Served:
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()
