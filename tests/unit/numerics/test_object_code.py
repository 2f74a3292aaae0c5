"""Object files: what goes in comes out, what cannot stand alone is refused, a damaged file is not loaded."""

from __future__ import annotations

import ctypes
import math
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from boostwright.numerics.compiler import as_array, c_function, compiled, scratch
from boostwright.numerics.object_code import (
    Library,
    NotSelfContained,
    make_object,
    object_path,
    read_object,
    save_object,
    supported,
)

pytestmark = pytest.mark.skipif(not supported(), reason="the compiler's own cache serves on this system")

ADDRESS, SIZE = ctypes.c_void_p, ctypes.c_ssize_t


@compiled
def _halves(values: Any) -> None:
    work = scratch(2)
    for i in range(values.size):
        work[0] = math.exp(values[i])
        work[1] += work[0]
        values[i] = 0.5 * work[0]


@compiled
def _allocates(values: Any) -> None:
    copy = np.empty(values.size)
    for i in range(values.size):
        copy[i] = values[values.size - 1 - i]
    for i in range(values.size):
        values[i] = copy[i]


def _halves_entry(values: Any, count: int) -> None:
    _halves(as_array(values, (count,)))


def _allocates_entry(values: Any, count: int) -> None:
    _allocates(as_array(values, (count,)))


def test_a_loaded_function_computes_what_it_should() -> None:
    code = make_object({"halves": c_function(_halves_entry, (float, int))})
    library = Library(code, {"halves": (ADDRESS, SIZE)})
    values = np.linspace(-1.0, 2.0, 7)
    expected = 0.5 * np.exp(values)
    library.call("halves", values.ctypes.data, values.size)
    np.testing.assert_allclose(values, expected, rtol=1e-15)


def test_code_that_allocates_is_refused() -> None:
    with pytest.raises(NotSelfContained, match="NRT_"):
        make_object({"allocates": c_function(_allocates_entry, (float, int))})


def test_a_file_is_read_only_when_it_is_whole(tmp_path: Path) -> None:
    path = tmp_path / "new folder" / "some.code"
    assert read_object(path) is None
    save_object(path, b"machine code")
    assert read_object(path) == b"machine code"
    path.write_bytes(path.read_bytes()[:-1])
    assert read_object(path) is None
    path.write_bytes(b"")
    assert read_object(path) is None
    assert [p.name for p in path.parent.iterdir()] == ["some.code"]


def test_the_name_of_the_file_depends_on_the_processor(monkeypatch: pytest.MonkeyPatch) -> None:
    here = object_path("kernel")
    monkeypatch.setattr("llvmlite.binding.get_host_cpu_name", lambda: "another")
    assert object_path("kernel") != here
    assert object_path("kernel").parent == here.parent


def test_scratch_is_zero_every_time() -> None:
    @compiled
    def sums(n: int) -> float:
        total = 0.0
        for _ in range(n):
            total += _once()
        return total

    assert sums(5) == 5.0


@compiled
def _once() -> float:
    work = scratch(3)
    work[2] += 1.0
    return work[0] + work[1] + work[2]


def test_a_cache_that_cannot_be_written_keeps_nothing_anywhere(tmp_path: Path) -> None:
    """Not even beside the source, where code of an older source could be taken for current."""
    module = tmp_path / "kernel_of_a_test.py"
    module.write_text(
        "from boostwright.numerics.compiler import compiled\n"
        "@compiled\n"
        "def twice(x):\n"
        "    return 2.0 * x\n"
        "print(twice(1.5))\n"
    )
    (tmp_path / "file").write_text("in the way")
    environment = {**os.environ, "BOOSTWRIGHT_CACHE": str(tmp_path / "file")}
    run = subprocess.run(
        [sys.executable, module], capture_output=True, text=True, check=True, env=environment
    )
    assert run.stdout == "3.0\n"
    assert not list(tmp_path.rglob("*.nbi"))
