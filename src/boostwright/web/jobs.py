"""Long work behind the page: jobs that wait, run, are stopped, and whose results are kept for a while."""

from __future__ import annotations

import secrets
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol

from boostwright.errors import Fault, UnknownPart
from boostwright.web.messages import Message
from boostwright.web.worker_process import WorkerProcess

__all__ = ["KEPT", "LIFETIME", "Job", "JobKeeper", "Worker"]

KEPT = 12
"""Jobs kept at most, those that are held included."""
LIFETIME = 1800.0
"""Seconds a result is kept after it was last asked for."""
_MOST_HELD = KEPT - 4

_OPEN = ("waiting", "running")


class Worker(Protocol):
    """What runs the jobs."""

    def run(self, asked: Mapping[str, Any], told: Callable[[dict[str, Any]], None]) -> Message | None:
        """Run one, telling its progress; None where the process died."""

    def stop(self, job: str) -> None:
        """Interrupt it."""

    def kill_after_grace(self, still_at_it: Callable[[], bool]) -> None:
        """Kill what will not stop."""

    def close(self) -> None:
        """End."""


@dataclass
class Job:
    """One piece of long work.

    asked   what the worker is told; build and stamp say which file it was begun on
    state   waiting, running, done, failed or stopped
    done, of, words  how far it is; ``of`` is 0 where that cannot be told
    blocks  what it gave, by name
    faults  why it failed
    held    whether a newer one of its kind leaves it alone
    """

    name: str
    kind: str
    asked: Mapping[str, Any]
    build: str = ""
    stamp: str = ""
    state: str = "waiting"
    done: int = 0
    of: int = 0
    words: str = "waiting for the job before it"
    blocks: Mapping[str, bytes] = field(default_factory=dict)
    faults: tuple[Fault, ...] = ()
    held: bool = False
    looked_at: float = 0.0

    @property
    def open(self) -> bool:
        """Whether it still waits or runs."""
        return self.state in _OPEN


class JobKeeper:
    """Runs jobs one after the other in one worker, and keeps what they gave."""

    def __init__(
        self,
        worker: Worker | None = None,
        *,
        kept: int = KEPT,
        lifetime: float = LIFETIME,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        """Nothing is started before the first job."""
        self._worker: Worker = WorkerProcess() if worker is None else worker
        self._kept, self._lifetime, self._clock = kept, lifetime, clock
        self._jobs: dict[str, Job] = {}
        self._changed = threading.Condition()
        self._thread: threading.Thread | None = None
        self._closed = False
        self._running: Job | None = None

    def start(
        self,
        kind: str,
        folder: str,
        settings: list[str],
        options: Mapping[str, Any],
        build: str = "",
        stamp: str = "",
    ) -> Job:
        """Put a job into the queue; the one of its kind before it gives way, unless it is held."""
        job = Job(secrets.token_hex(8), kind, {}, build, stamp)
        job.asked = {
            "job": job.name, "kind": kind, "folder": folder, "settings": settings, "options": dict(options)
        }  # fmt: skip
        with self._changed:
            for other in [other for other in self._jobs.values() if other.kind == kind and not other.held]:
                if other.open:
                    self._end(other, "a newer one took its place")
                else:
                    del self._jobs[other.name]
            job.looked_at = self._clock()
            self._jobs[job.name] = job
            self._tidy()
            if self._thread is None:
                self._thread = threading.Thread(target=self._work, name="jobs", daemon=True)
                self._thread.start()
            self._changed.notify_all()
        return job

    def get(self, name: str) -> Job:
        """A job by its name. Raises UnknownPart where it is gone, or never was."""
        with self._changed:
            self._tidy()
            job = self._jobs.get(name)
            if job is None:
                raise UnknownPart(
                    f"There is no such job. A result is kept for {self._lifetime / 60.0:.0f} minutes after it was "
                    "last looked at, and until a newer job of its kind takes its place. Run it again."
                )
            job.looked_at = self._clock()
            return job

    def all(self) -> list[Job]:
        """Every job there is, the oldest first."""
        with self._changed:
            self._tidy()
            return list(self._jobs.values())

    def stop(self, name: str) -> Job:
        """Stop a job that waits or runs; forget one that has ended. Raises UnknownPart."""
        job = self.get(name)
        with self._changed:
            if job.open:
                self._end(job, "stopped")
            else:
                self._jobs.pop(name, None)
        return job

    def hold(self, name: str, held: bool) -> Job:
        """Keep a job when a newer one of its kind comes, or no longer. Raises UnknownPart; ValueError where too many
        are held already."""
        job = self.get(name)
        with self._changed:
            if held and not job.held and sum(other.held for other in self._jobs.values()) >= _MOST_HELD:
                raise ValueError(f"{_MOST_HELD} results are held already; let one of them go first.")
            job.held = held
        return job

    def close(self) -> None:
        """Stop everything; the keeper starts nothing more."""
        with self._changed:
            self._closed = True
            self._jobs.clear()
            self._changed.notify_all()
        self._worker.close()
        if self._thread is not None:
            self._thread.join(5.0)

    def _end(self, job: Job, words: str) -> None:
        """Stop a job, in words; one that runs is told so, and killed where it does not listen."""
        if job.state == "waiting":
            job.state, job.words = "stopped", words
        elif job.state == "running":
            job.state, job.words = "stopped", words
            self._worker.stop(job.name)
            self._worker.kill_after_grace(lambda: self._running is job)

    def _tidy(self) -> None:
        """Drop what nobody has looked at for long, and the oldest where there are too many."""
        now = self._clock()
        for job in list(self._jobs.values()):
            if not job.open and now - job.looked_at > self._lifetime:
                del self._jobs[job.name]
        ended = [job for job in self._jobs.values() if not job.open and not job.held]
        for job in sorted(ended, key=lambda job: job.looked_at)[: max(len(self._jobs) - self._kept, 0)]:
            del self._jobs[job.name]

    def _next(self) -> Job | None:
        """The next job that waits, marked as running; None when the keeper closes."""
        with self._changed:
            while not self._closed:
                job = next((job for job in self._jobs.values() if job.state == "waiting"), None)
                if job is not None:
                    job.state, job.words = "running", "starting"
                    self._running = job
                    return job
                self._changed.wait()
        return None

    def _work(self) -> None:
        while (job := self._next()) is not None:

            def told(head: dict[str, Any], job: Job = job) -> None:
                with self._changed:
                    if job.state == "running":
                        job.done, job.of, job.words = head["done"], head["of"], head["words"]

            last = self._worker.run(job.asked, told)
            with self._changed:
                self._running = None
                if job.state == "running":
                    _settle(job, last)
                job.looked_at = self._clock()


def _settle(job: Job, last: Message | None) -> None:
    """What the worker's last word makes of a job."""
    if last is None or last.head["is"] == "stopped":
        message = "The process that worked on it ended by itself, as it does when memory runs out."
        remedy = "Ask for fewer samples, speeds or cases, and start it again. Nothing was changed."
        job.state, job.words, job.faults = "failed", "ended", (Fault("", "", "", message, remedy=remedy),)
    elif last.head["is"] == "failed":
        job.state, job.words = "failed", "cannot be answered"
        job.faults = tuple(Fault(**fault) for fault in last.head["faults"])
    else:
        job.state, job.words, job.done = "done", "done", job.of
        job.blocks = last.blocks
