"""The worker: a process of its own that runs one long task at a time, so that the page stays quick beside it and a
task can be stopped whatever it is doing.

    python -m boostwright.web.worker         reads what to do from standard input, answers on standard output

It ends with the server: when its input closes.
"""

from __future__ import annotations

import _thread
import os
import queue
import sys
import threading
import traceback
from pathlib import Path
from typing import Any, BinaryIO

from boostwright.errors import BoostwrightError, Fault, FaultyInput
from boostwright.web.long_tasks import LongTasks
from boostwright.web.messages import Message, receive, send

__all__ = ["main"]

_YIELDING = 5  # steps down in priority: the page's live curves come first


class _Worker:
    """Runs what it is told, in the main thread; another one listens."""

    def __init__(self, words_in: BinaryIO, words_out: BinaryIO) -> None:
        """From where it is told, and where it answers."""
        self._in, self._out = words_in, words_out
        self._lock = threading.Lock()
        self._waiting: queue.SimpleQueue[Message] = queue.SimpleQueue()
        self._current, self._stopped = "", ""
        self._tasks = LongTasks()

    def listen(self) -> None:
        """Hand on what is asked; interrupt the task that is to stop; end with the server."""
        while (message := receive(self._in)) is not None:
            if message.head["do"] == "run":
                self._waiting.put(message)
                continue
            with self._lock:
                self._stopped = message.head["job"]
                if self._stopped == self._current:
                    _thread.interrupt_main()
        os._exit(0)

    def work(self) -> None:
        """One task after the other, for ever."""
        while True:
            try:
                self._one(self._waiting.get().head)
            except KeyboardInterrupt:  # it came as the task ended
                continue

    def _one(self, asked: dict[str, Any]) -> None:
        job = str(asked["job"])

        def told(done: int, of: int, words: str) -> None:
            send(self._out, {"job": job, "is": "progress", "done": done, "of": of, "words": words})

        try:
            with self._lock:
                self._current = job
                if self._stopped == job:  # before it was begun
                    raise KeyboardInterrupt
            answer, blocks = self._answer(asked, told)
            with self._lock:
                self._current = ""
        except KeyboardInterrupt:
            self._current = ""
            answer, blocks = {"is": "stopped"}, {}
        send(self._out, {"job": job, **answer}, blocks)

    def _answer(self, asked: dict[str, Any], told: Any) -> tuple[dict[str, Any], dict[str, bytes]]:
        folder, options = Path(asked["folder"]), asked["options"]
        try:
            blocks = self._tasks.run(asked["kind"], folder, asked["settings"], options, told)
        except FaultyInput as error:
            return {"is": "failed", "faults": [vars(fault) for fault in error.faults]}, {}
        except BoostwrightError as error:
            return {"is": "failed", "faults": [vars(Fault("", "", "", str(error)))]}, {}
        except OSError as error:
            message = f"The disk refused: {error.strerror or type(error).__name__}."
            return {"is": "failed", "faults": [vars(Fault(str(error.filename or ""), "", "", message))]}, {}
        except Exception as error:  # noqa: BLE001  the last line of defence: the page gets words, not a dead worker
            if os.environ.get("BOOSTWRIGHT_TRACEBACK"):
                traceback.print_exc()
            return {"is": "failed", "faults": [vars(_inside(error))]}, {}
        return {"is": "done"}, blocks


def _inside(error: Exception) -> Fault:
    message = f"An error inside the program, not in your input: {type(error).__name__}: {str(error)[:160]}"
    remedy = "Nothing was changed. With BOOSTWRIGHT_TRACEBACK=1 set, the server says where it came from."
    return Fault("", "", "", message, remedy=remedy)


def main() -> None:
    """Run until the server is gone."""
    words_in = os.fdopen(os.dup(0), "rb")
    words_out = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)  # whatever prints must not get between the answers
    sys.stdout = sys.stderr
    if hasattr(os, "nice"):
        os.nice(_YIELDING)
    worker = _Worker(words_in, words_out)
    threading.Thread(target=worker.listen, daemon=True).start()
    worker.work()


if __name__ == "__main__":
    main()
