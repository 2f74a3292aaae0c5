"""What holds for every test.

The algebra library takes one thread, as the installed command has it: it is told when numpy is first imported. Matrices
here are small; with two threads in each of two processes on two cores they wait for one another, up to nine times as
long as the work itself.
"""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Generator

import pytest

if "numpy" not in sys.modules:
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """Gather the tests without looking for garbage, and leave what they are made of out of every later search for it.

    There are thirteen thousand. Searches take a third of the time to gather them, and a full one afterwards would take
    a second; reading a measurement file asks for one.
    """
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()
