"""Two answers that are the same but for rounding."""

from __future__ import annotations

from typing import Any

import pytest

__all__ = ["assert_like"]


def assert_like(found: Any, wanted: Any, where: str = "answer", relative: float = 1e-9) -> None:
    """Same keys, same lengths, same words; numbers to ``relative``.

    Two processes may hold a table of closed cycles that one fitted and the other read from the disk, fitted with
    another number of threads: its last digits differ.
    """
    if isinstance(wanted, dict):
        assert isinstance(found, dict), where
        assert list(found) == list(wanted), where
        for key in wanted:
            assert_like(found[key], wanted[key], f"{where}.{key}", relative)
    elif isinstance(wanted, list):
        assert isinstance(found, list), where
        assert len(found) == len(wanted), where
        for index, (one, other) in enumerate(zip(found, wanted, strict=True)):
            assert_like(one, other, f"{where}[{index}]", relative)
    elif isinstance(wanted, float) and isinstance(found, float | int):
        assert found == pytest.approx(wanted, rel=relative, abs=1e-12, nan_ok=True), where
    else:
        assert found == wanted, where
