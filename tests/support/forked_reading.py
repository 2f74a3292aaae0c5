"""Reading of measurement files in a process of its own, forked from one that has the library in it already.

The program starts a fresh Python for each file; the library takes half a second to import, over and over. A fork holds
a fall or a hang of the library just as well, and runs the same ``main``.
"""

from __future__ import annotations

import faulthandler
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from typing import Any

import pytest

from boostwright.logs.store import apart


def forks_for_readings(monkeypatch: pytest.MonkeyPatch) -> None:
    """From here to the end of the test; nothing changes where a system cannot fork."""
    if hasattr(os, "fork"):
        import asammdf  # noqa: F401  the child has it then

        monkeypatch.setattr(apart.subprocess, "run", _run)


def _run(
    command: Sequence[str],
    *,
    capture_output: bool,
    timeout: float,
    env: Mapping[str, str],
    check: bool,
) -> subprocess.CompletedProcess[bytes]:
    """What ``subprocess.run`` gives for ``python -m boostwright.logs.store.apart ...``."""
    assert capture_output
    assert not check
    assert env["PYTHONPATH"]
    python, module, name, *arguments = command
    assert (python, module, name) == (sys.executable, "-m", apart.__name__)
    with tempfile.TemporaryFile() as out:
        child = os.fork()
        if child == 0:
            _be_the_child(out, [name, *arguments])
        status = _waited(child, timeout, command)
        out.seek(0)
        return subprocess.CompletedProcess(command, status, out.read(), b"")


def _be_the_child(out: Any, arguments: list[str]) -> None:
    """Never comes back."""
    code = 1
    try:
        faulthandler.disable()  # a fall is what is looked for, not to be reported
        os.dup2(out.fileno(), 1)
        os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
        sys.argv = arguments
        apart.main()
        code = 0
    finally:
        os._exit(code)


def _waited(child: int, timeout: float, command: Sequence[str]) -> int:
    """Exit status of the child; below 0 the signal that ended it. Raises TimeoutExpired as the library does."""
    end = time.monotonic() + timeout
    while time.monotonic() < end:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            return os.waitstatus_to_exitcode(status)
        time.sleep(0.002)
    os.kill(child, 9)
    os.waitpid(child, 0)
    raise subprocess.TimeoutExpired(command, timeout)
