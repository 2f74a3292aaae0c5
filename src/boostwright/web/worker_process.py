"""The worker as the server sees it: started when first needed, told what to do, interrupted, and killed where it will
not stop."""

from __future__ import annotations

import contextlib
import subprocess
import sys
import threading
from collections.abc import Callable, Mapping
from typing import Any, BinaryIO

from boostwright.web.messages import Message, receive, send

__all__ = ["WorkerProcess"]

_GRACE = 3.0
"""Seconds a task has to stop in before its process is killed."""


class WorkerProcess:
    """One process that runs one task at a time; ``run`` is called from one thread, ``stop`` and ``close`` from any."""

    def __init__(self, grace: float = _GRACE) -> None:
        """Nothing is started yet."""
        self._grace = grace
        self._process: subprocess.Popen[bytes] | None = None
        self._lock = threading.Lock()
        self._closed = False

    @property
    def process_id(self) -> int | None:
        """Of the process, None while there is none."""
        return None if self._process is None else self._process.pid

    def run(self, asked: Mapping[str, Any], told: Callable[[dict[str, Any]], None]) -> Message | None:
        """Have a task run, telling its progress on the way; returns the last message, None where the process died."""
        process = self._started()
        if process is None:
            return None
        try:
            with self._lock:
                send(_pipe(process.stdin), {"do": "run", **asked})
        except (OSError, ValueError):
            self._forget(process)
            return None
        while (message := receive(_pipe(process.stdout))) is not None:
            if message.head.get("job") != asked["job"]:
                continue  # the last word of a task before
            if message.head["is"] != "progress":
                return message
            told(message.head)
        self._forget(process)
        return None

    def stop(self, job: str) -> None:
        """Interrupt a task; a moment later its process is killed, should it still be at it."""
        process = self._process
        if process is None:
            return
        try:
            with self._lock:
                send(_pipe(process.stdin), {"do": "stop", "job": job})
        except (OSError, ValueError):
            return

    def kill_after_grace(self, still_at_it: Callable[[], bool]) -> None:
        """Kill the process after the moment a task has to stop in, where ``still_at_it`` says so then."""
        process = self._process

        def kill() -> None:
            if process is not None and still_at_it():
                process.kill()

        timer = threading.Timer(self._grace, kill)
        timer.daemon = True
        timer.start()

    def close(self) -> None:
        """End the process."""
        with self._lock:
            self._closed = True
            process, self._process = self._process, None
        if process is not None:
            process.kill()
            process.wait()
            _shut(process)

    def _started(self) -> subprocess.Popen[bytes] | None:
        with self._lock:
            if self._closed:
                return None
            if self._process is None or self._process.poll() is not None:
                self._process = subprocess.Popen(
                    [sys.executable, "-m", "boostwright.web.worker"],
                    stdin=subprocess.PIPE,
                    stdout=subprocess.PIPE,
                    start_new_session=True,  # Ctrl-C at the terminal is for the server, which ends the worker
                )
            return self._process

    def _forget(self, process: subprocess.Popen[bytes]) -> None:
        """Forget a process that is no use any more."""
        with self._lock:
            if self._process is process:
                self._process = None
        process.kill()
        process.wait()
        _shut(process)


def _pipe(stream: Any) -> BinaryIO:
    pipe: BinaryIO = stream
    return pipe


def _shut(process: subprocess.Popen[bytes]) -> None:
    for stream in (process.stdin, process.stdout):
        if stream is not None:
            with contextlib.suppress(OSError):
                stream.close()
