"""The keeper of long work: order, stopping, replacing, holding and forgetting; its worker is made up here."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator, Mapping
from typing import Any

import pytest

from boostwright.errors import UnknownPart
from boostwright.web.jobs import Job, JobKeeper
from boostwright.web.messages import Message


class _MadeUp:
    """A worker that runs each job until it is let go or stopped."""

    def __init__(self) -> None:
        self.runs: list[str] = []
        self.stopped: list[str] = []
        self.go = threading.Event()
        self.dies = False
        self._stop = threading.Event()

    def run(self, asked: Mapping[str, Any], told: Callable[[dict[str, Any]], None]) -> Message | None:
        self.runs.append(asked["job"])
        told({"done": 1, "of": 4, "words": "a quarter"})
        while not self.go.wait(0.005):
            if self._stop.is_set():
                self._stop.clear()
                return Message({"is": "stopped"})
        return None if self.dies else Message({"is": "done"}, {"result": b"{}"})

    def stop(self, job: str) -> None:
        self.stopped.append(job)
        self._stop.set()

    def kill_after_grace(self, still_at_it: Callable[[], bool]) -> None:
        pass

    def close(self) -> None:
        self.go.set()


@pytest.fixture
def worker() -> _MadeUp:
    return _MadeUp()


@pytest.fixture
def clock() -> list[float]:
    return [0.0]


@pytest.fixture
def keeper(worker: _MadeUp, clock: list[float]) -> Iterator[JobKeeper]:
    made = JobKeeper(worker, kept=4, lifetime=60.0, clock=lambda: clock[0])
    yield made
    made.close()


def _start(keeper: JobKeeper, kind: str) -> Job:
    return keeper.start(kind, "folder", [], {})


def _until(job: Job, state: str) -> None:
    end = time.monotonic() + 5.0
    while job.state != state:
        assert time.monotonic() < end, f"{job.state}, not {state}"
        time.sleep(0.002)


def test_one_runs_and_the_next_waits(keeper: JobKeeper, worker: _MadeUp) -> None:
    plan, bands = _start(keeper, "plan"), _start(keeper, "bands")
    _until(plan, "running")
    while plan.of == 0:
        time.sleep(0.002)
    assert (plan.done, plan.of, plan.words) == (1, 4, "a quarter")
    assert bands.state == "waiting"
    worker.go.set()
    _until(bands, "done")
    assert worker.runs == [plan.name, bands.name]
    assert plan.blocks == {"result": b"{}"}


def test_a_newer_one_of_its_kind_takes_the_place(keeper: JobKeeper, worker: _MadeUp) -> None:
    first = _start(keeper, "plan")
    _until(first, "running")
    second = _start(keeper, "plan")
    assert first.state == "stopped"
    assert "newer" in first.words
    assert worker.stopped == [first.name]
    worker.go.set()
    _until(second, "done")
    _start(keeper, "plan")
    with pytest.raises(UnknownPart, match="no such job"):
        keeper.get(second.name)


def test_one_that_is_held_stays(keeper: JobKeeper, worker: _MadeUp) -> None:
    worker.go.set()
    first = _start(keeper, "plan")
    _until(first, "done")
    keeper.hold(first.name, True)
    _until(_start(keeper, "plan"), "done")
    assert keeper.get(first.name) is first
    keeper.hold(first.name, False)
    _start(keeper, "plan")
    with pytest.raises(UnknownPart):
        keeper.get(first.name)


def test_stopping_one_that_waits_and_forgetting_one_that_ended(keeper: JobKeeper, worker: _MadeUp) -> None:
    running, waiting = _start(keeper, "plan"), _start(keeper, "bands")
    _until(running, "running")
    keeper.stop(waiting.name)
    assert waiting.state == "stopped"
    keeper.stop(running.name)
    assert running.state == "stopped"
    assert worker.stopped == [running.name]
    worker.go.set()
    after = _start(keeper, "sheets")
    _until(after, "done")
    assert waiting.name not in worker.runs
    keeper.stop(after.name)
    with pytest.raises(UnknownPart):
        keeper.get(after.name)


def test_a_result_nobody_looks_at_is_dropped(keeper: JobKeeper, worker: _MadeUp, clock: list[float]) -> None:
    worker.go.set()
    job = _start(keeper, "plan")
    _until(job, "done")
    clock[0] = 59.0
    assert keeper.get(job.name) is job
    clock[0] = 118.0
    assert keeper.get(job.name) is job
    clock[0] = 179.0
    with pytest.raises(UnknownPart):
        keeper.get(job.name)


def test_no_more_are_kept_than_stated(keeper: JobKeeper, worker: _MadeUp, clock: list[float]) -> None:
    worker.go.set()
    for number in range(9):
        clock[0] = float(number)
        _until(_start(keeper, f"kind {number}"), "done")
    assert [job.kind for job in keeper.all()] == ["kind 5", "kind 6", "kind 7", "kind 8"]


def test_a_worker_that_dies_leaves_words_and_the_next_job_runs(keeper: JobKeeper, worker: _MadeUp) -> None:
    worker.dies = True
    worker.go.set()
    lost = _start(keeper, "plan")
    _until(lost, "failed")
    assert "memory" in lost.faults[0].message
    assert lost.faults[0].remedy
    worker.dies = False
    _until(_start(keeper, "plan"), "done")
