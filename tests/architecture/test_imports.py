"""Who may import whom: data flows one way, and each third-party library has its place."""

from __future__ import annotations

import sys

import pytest

from tests.architecture.source_files import PACKAGE, imports, sources

_GROUND = {"errors", "saving", "units", "provenance"}
_MODEL = {"numerics", "physics", "cards", "build", "components"}

ALLOWED: dict[str, set[str]] = {
    "errors": set(),
    "saving": set(),
    "units": {"errors"},
    "provenance": {"errors"},
    "numerics": {"errors"},
    "physics": {"numerics", "provenance", "errors"},
    "cards": _GROUND,
    "build": _GROUND | {"cards"},
    "drawing": _GROUND,
    "components": _GROUND | {"numerics", "physics", "cards", "build"},
    "solve": _GROUND | _MODEL,
    "unsteady": _GROUND | _MODEL,
    "logs": _GROUND | _MODEL,
    "make": _GROUND | _MODEL | {"drawing"},
    "findings": _GROUND | _MODEL | {"solve", "logs"},
    "fit": _GROUND | _MODEL | {"solve", "logs"},
    "proof": _GROUND | _MODEL | {"solve"},
    "tasks": _GROUND | _MODEL | {"solve", "unsteady", "logs", "make", "findings", "fit", "proof"},
    "report": {"tasks", "drawing", "units", "provenance", "saving", "errors"},
    "cli": {"tasks", "report", "units", "errors", "web"},  # a command starts the server
    "web": {"tasks", "report", "units", "errors"},
}
"""Package -> packages it may import, besides itself. A package that is not here must be given a place."""

RESULT_TYPES = {
    "boostwright.proof.case": {"report", "cli"},
    "boostwright.solve.operating_point": {"report", "cli"},
}
"""Files of plain frozen results -> packages above the tasks that may name the types in them."""

THIRD_PARTY: dict[str, set[str]] = {
    "numpy": set(ALLOWED) - {"errors", "provenance", "saving", "cli"},
    "scipy": {"numerics", "solve", "fit", "logs"},
    "numba": {"numerics"},
    "llvmlite": {"numerics"},
    "matplotlib": {"report"},
    "tomlkit": {"cards", "build"},
    "PIL": {"cards"},
    "typer": {"cli"},
    "typst": {"report"},
    "fastapi": {"web"},
    "starlette": {"web"},
    "uvicorn": {"web"},
    "pydantic": {"web"},
    "pydantic_core": {"web"},
    "pyarrow": {"logs"},
    "charset_normalizer": {"logs"},
    "asammdf": {"logs"},
    "cantools": {"logs"},
}
"""Library -> packages that may import it. A library that is not here is not used."""


def _top(name: str) -> tuple[str, str]:
    """The library a dotted name belongs to and, for our own, the package."""
    parts = name.split(".")
    return parts[0], parts[1] if len(parts) > 1 else ""


def test_every_package_has_a_place() -> None:
    names = {path.name for path in PACKAGE.iterdir() if path.is_dir() and any(path.rglob("*.py"))}
    names |= {path.stem for path in PACKAGE.glob("*.py") if path.stem != "__init__"}
    assert names <= set(ALLOWED), "give the new package a line in ALLOWED"


def test_no_import_points_upward() -> None:
    wrong = []
    for source in sources():
        if not source.package:
            continue
        allowed = ALLOWED[source.package] | {source.package, "__version__"}
        for line, name in imports(source):
            library, package = _top(name)
            if source.package in RESULT_TYPES.get(name.rpartition(".")[0], set()):
                continue
            if library == "boostwright" and package not in allowed:
                wrong.append(f"{source.where}:{line} imports {name}")
    assert not wrong, "\n".join(wrong)


def test_third_party_stays_in_its_place() -> None:
    wrong = []
    for source in sources():
        for line, name in imports(source):
            library, _ = _top(name)
            if library == "boostwright" or library in sys.stdlib_module_names:
                continue
            if source.package not in THIRD_PARTY.get(library, set()):
                wrong.append(f"{source.where}:{line} imports {name}")
    assert not wrong, "\n".join(wrong)


def test_result_types_are_nothing_else() -> None:
    """A file that the upper levels may name holds classes only: nothing there can be called to compute."""
    import ast

    for source in sources():
        if source.module in RESULT_TYPES:
            functions = [n.name for n in source.tree.body if isinstance(n, ast.FunctionDef)]
            assert not functions, f"{source.where} holds {functions}"


def test_packages_do_not_go_round_in_circles() -> None:
    """ALLOWED itself has no cycle, so neither have the imports."""
    rest = {package: set(uses) for package, uses in ALLOWED.items()}
    while rest:
        free = {package for package, uses in rest.items() if not uses & set(rest)}
        assert free, f"a cycle among {sorted(rest)}"
        rest = {package: uses for package, uses in rest.items() if package not in free}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("import scipy.optimize", "scipy.optimize"),
        ("def f():\n    from boostwright.cli import main", "boostwright.cli.main"),
        ("from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    import numba", "numba"),
        ("from . import card", "boostwright.cards.card"),
        ("from .. import tasks", "boostwright.tasks"),
        ("import importlib\nimportlib.import_module(f'boostwright.web.{x}')", "boostwright.web."),
    ],
)
def test_the_reading_of_imports_misses_none(text: str, expected: str) -> None:
    import ast

    from tests.architecture.source_files import Source

    source = Source(PACKAGE / "cards" / "made_up.py", "boostwright.cards.made_up", text, ast.parse(text))
    assert expected in [name for _, name in imports(source)]
