"""No test lies where the test runner walks past it."""

from __future__ import annotations

from fnmatch import fnmatch
from pathlib import Path

import pytest

TESTS = Path(__file__).resolve().parents[1]


def test_every_folder_with_tests_is_walked_into(pytestconfig: pytest.Config) -> None:
    passed_by = pytestconfig.getini("norecursedirs")
    folders = {path.parent for path in TESTS.rglob("test_*.py")}
    assert TESTS / "unit" / "build" in folders
    missed = {
        folder
        for folder in folders
        for part in folder.relative_to(TESTS).parts
        if any(fnmatch(part, pattern) for pattern in passed_by)
    }
    assert not missed
