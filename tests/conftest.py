"""What holds for every test.

The algebra library takes one thread, as the installed command has it: it is told when numpy is first imported. Matrices
here are small; with two threads in each of two processes on two cores they wait for one another, up to nine times as
long as the work itself.
"""

from __future__ import annotations

import gc
import os
import sys

if "numpy" not in sys.modules:
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def pytest_collection_finish() -> None:
    """Leave what thirteen thousand tests are made of out of every later search for garbage.

    A full search goes through all of it, about a second each time, and reading a measurement file asks for one.
    """
    gc.collect()
    gc.freeze()
