"""The worker's own process: what it answers, that it stops, and that it goes with the server."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from boostwright.web.messages import receive, send
from boostwright.web.worker_process import WorkerProcess

ESTATE = Path(__file__).resolve().parents[3] / "examples" / "hill_climb_estate"
SPEEDS = [314.0, 471.0]


@pytest.fixture
def worker() -> Iterator[WorkerProcess]:
    made = WorkerProcess()
    yield made
    made.close()


def _asked(job: str, kind: str = "bands", folder: Path = ESTATE, **options: Any) -> dict[str, Any]:
    given = {"speeds": SPEEDS, "samples": 40, "seed": 1} | options
    return {"job": job, "kind": kind, "folder": str(folder), "settings": [], "options": given}


def test_messages_come_as_they_were_sent() -> None:
    pipe = io.BytesIO()
    send(pipe, {"job": "é", "done": 1}, {"a": b"\x00\xff", "b": b""})
    send(pipe, {"is": "done"})
    whole = pipe.getvalue()
    pipe.seek(0)
    first = receive(pipe)
    assert first is not None
    assert (first.head, first.blocks) == ({"job": "é", "done": 1}, {"a": b"\x00\xff", "b": b""})
    second = receive(pipe)
    assert second is not None
    assert second.head == {"is": "done"}
    assert receive(pipe) is None
    for cut in range(len(whole) - 1):  # never half a message
        some = io.BytesIO(whole[:cut])
        heads = iter(lambda: receive(some), None)  # noqa: B023
        assert all(message in (first, second) for message in heads)


def test_a_task_answers_and_the_process_is_used_again(worker: WorkerProcess) -> None:
    heard: list[dict[str, Any]] = []
    last = worker.run(_asked("one"), heard.append)
    assert last is not None
    assert last.head["is"] == "done"
    assert set(last.blocks) == {"result", "table.csv"}
    assert heard[-1]["of"] == 40
    first = worker.process_id
    assert worker.run(_asked("two"), heard.append) is not None
    assert worker.process_id == first


def test_what_is_wrong_with_a_build_comes_back_as_faults(worker: WorkerProcess) -> None:
    asked = _asked("one") | {"settings": ["turbine.choked_flow=0.027", "foo.bar=1"]}
    last = worker.run(asked, lambda head: None)
    assert last is not None
    assert last.head["is"] == "failed"
    assert {fault["key"] for fault in last.head["faults"]} == {"turbine.choked_flow", "foo"}


def test_a_folder_that_is_gone_is_said(worker: WorkerProcess, tmp_path: Path) -> None:
    last = worker.run(_asked("one", folder=tmp_path / "gone"), lambda head: None)
    assert last is not None
    assert last.head["is"] == "failed"
    assert "build.toml" in str(last.head["faults"])


def test_an_error_inside_is_words_and_not_a_dead_worker(worker: WorkerProcess) -> None:
    last = worker.run(_asked("one", nonsense=True), lambda head: None)
    assert last is not None
    assert last.head["is"] == "failed"
    assert "inside the program" in last.head["faults"][0]["message"]
    after = worker.run(_asked("two"), lambda head: None)
    assert after is not None
    assert after.head["is"] == "done"


def test_a_task_stops_in_the_midst(worker: WorkerProcess) -> None:
    worker.run(_asked("warm"), lambda head: None)
    first = worker.process_id

    def told(head: dict[str, Any]) -> None:
        if head["done"]:
            worker.stop("long")

    began = time.monotonic()
    last = worker.run(_asked("long", samples=20_000), told)
    assert last is not None
    assert last.head["is"] == "stopped"
    assert time.monotonic() - began < 20.0
    after = worker.run(_asked("next"), lambda head: None)
    assert after is not None
    assert after.head["is"] == "done"
    assert worker.process_id == first


def test_a_task_stopped_before_it_is_begun_is_not_run(worker: WorkerProcess) -> None:
    worker.run(_asked("warm"), lambda head: None)
    worker.stop("early")
    last = worker.run(_asked("early", samples=20_000), lambda head: None)
    assert last is not None
    assert last.head["is"] == "stopped"


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
def test_one_that_does_not_listen_is_killed_and_the_next_one_runs() -> None:
    worker = WorkerProcess(grace=0.1)
    worker.run(_asked("warm"), lambda head: None)
    process = worker.process_id
    assert process is not None

    def deaf(head: dict[str, Any]) -> None:
        os.kill(process, signal.SIGSTOP)  # neither reads nor works any more
        worker.stop("long")
        worker.kill_after_grace(lambda: True)

    try:
        assert worker.run(_asked("long", samples=20_000), deaf) is None
        after = worker.run(_asked("next"), lambda head: None)
        assert after is not None
        assert after.head["is"] == "done"
        assert worker.process_id != process
    finally:
        worker.close()


def test_the_worker_goes_with_the_server() -> None:
    """Its input closes when the server dies, however it dies; it must not go on with a plan nobody waits for."""
    with subprocess.Popen(
        [sys.executable, "-m", "boostwright.web.worker"], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        send(process.stdin, {"do": "run", **_asked("long", samples=20_000)})  # type: ignore[arg-type]
        while (message := receive(process.stdout)) is not None and not message.head["done"]:  # type: ignore[arg-type]
            pass
        drain = threading.Thread(target=process.stdout.read)
        drain.start()
        process.stdin.close()
        assert process.wait(10.0) == 0
        drain.join()
