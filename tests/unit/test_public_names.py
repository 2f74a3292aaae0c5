"""The public interface: every name loads, is what its home says, and importing the package loads nothing heavy."""

from __future__ import annotations

import subprocess
import sys

import pytest

import boostwright


@pytest.mark.parametrize("name", boostwright.__all__)
def test_every_public_name_loads(name: str) -> None:
    assert getattr(boostwright, name) is not None


def test_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'guess'"):
        boostwright.guess  # noqa: B018


def test_importing_the_package_loads_nothing_heavy() -> None:
    code = "import sys, boostwright; print(sorted({'numpy','numba','scipy','matplotlib'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
