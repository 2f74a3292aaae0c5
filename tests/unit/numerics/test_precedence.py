"""Quick work goes before the pieces of long work, and never stops it for ever."""

from __future__ import annotations

import threading
import time

from boostwright.numerics.precedence import first, is_first, let_pass


def test_nobody_waits_where_nothing_goes_first() -> None:
    began = time.perf_counter()
    for _ in range(1000):
        let_pass()
    assert time.perf_counter() - began < 1.0


def test_a_piece_waits_until_what_goes_first_is_done() -> None:
    order: list[str] = []
    inside = threading.Event()

    def quick() -> None:
        with first():
            inside.set()
            time.sleep(0.02)
            order.append("quick")

    thread = threading.Thread(target=quick)
    thread.start()
    assert inside.wait(10.0)
    let_pass()
    order.append("piece")
    thread.join()
    assert order == ["quick", "piece"]


def test_a_piece_does_not_wait_for_ever() -> None:
    with first():
        done = threading.Event()
        threading.Thread(target=lambda: (let_pass(), done.set())).start()
        assert done.wait(10.0)


def test_a_thread_knows_whether_it_goes_first() -> None:
    found: list[bool] = []
    assert not is_first()
    with first():
        assert is_first()
        with first():
            pass
        assert is_first()
        other = threading.Thread(target=lambda: found.append(is_first()))
        other.start()
        other.join()
    assert not is_first()
    assert found == [False]
