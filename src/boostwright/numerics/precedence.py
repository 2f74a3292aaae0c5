"""Who goes first where threads share the cores: long work in pieces lets quick work pass between them.

Quick work says ``with first():``; long work calls ``let_pass`` between two pieces and waits there while quick work is
under way, though never long: a hand that never rests must not stop the long work for ever.
"""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Iterator

__all__ = ["first", "is_first", "let_pass"]

_LONGEST = 0.1  # s that a piece waits at most
_change = threading.Condition()
_under_way = 0
_own = threading.local()


@contextlib.contextmanager
def first() -> Iterator[None]:
    """What is done inside goes before the pieces of other threads."""
    global _under_way
    with _change:
        _under_way += 1
    before, _own.goes_first = is_first(), True
    try:
        yield
    finally:
        _own.goes_first = before
        with _change:
            _under_way -= 1
            _change.notify_all()


def is_first() -> bool:
    """Whether this thread goes first; ask before work is handed to a pool, whose threads do not know."""
    return bool(getattr(_own, "goes_first", False))


def let_pass() -> None:
    """Wait while something goes first, at most a tenth of a second."""
    if _under_way:  # read without the lock: the next piece sees what this one missed
        with _change:
            _change.wait_for(lambda: _under_way == 0, _LONGEST)
