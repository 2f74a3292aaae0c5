"""Docstrings, public names, sizes and forbidden calls."""

from __future__ import annotations

import ast
import re
from pathlib import Path

from tests.architecture.exceptions import FILE_LIMIT, FUNCTION_LIMIT, LONG_FILES, LONG_FUNCTIONS
from tests.architecture.source_files import ROOT, Source, sources

FORBIDDEN_CALLS = {"eval": "runs text", "exec": "runs text", "breakpoint": "is for a debugger"}
FORBIDDEN_RAISES = ("RuntimeError", "Exception", "AssertionError", "NotImplementedError", "BaseException")


def _public(node: ast.AST) -> bool:
    """True for a definition whose name does not begin with an underscore."""
    return isinstance(
        node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef
    ) and not node.name.startswith("_")


def _exported(source: Source) -> list[str] | None:
    """The names in __all__; None when the file has none."""
    for node in source.tree.body:
        targets = node.targets if isinstance(node, ast.Assign) else [getattr(node, "target", None)]
        if any(isinstance(target, ast.Name) and target.id == "__all__" for target in targets):
            return list(ast.literal_eval(node.value))  # type: ignore[attr-defined]
    return None


def test_every_file_and_public_thing_has_a_docstring() -> None:
    wrong = []
    for source in sources():
        if not ast.get_docstring(source.tree):
            wrong.append(f"{source.where}: the file")
        for node in ast.walk(source.tree):
            if _public(node) and not ast.get_docstring(node):  # type: ignore[arg-type]
                parent_is_private = isinstance(node, ast.FunctionDef) and _inside_a_function(source, node)
                if not parent_is_private:
                    wrong.append(f"{source.where}:{node.lineno} {node.name}")  # type: ignore[attr-defined]
    assert not wrong, "\n".join(wrong)


def _inside_a_function(source: Source, node: ast.FunctionDef) -> bool:
    """True for a function defined within another, which nobody outside can see."""
    return any(node in ast.walk(outer) for outer in source.functions() if outer is not node)


def test_every_file_says_what_it_exports() -> None:
    wrong = []
    for source in sources():
        names = _exported(source)
        if names is None:
            if source.path.name != "__init__.py":
                wrong.append(f"{source.where} has no __all__")
            continue
        if len(set(names)) != len(names):
            wrong.append(f"{source.where}: a name stands twice in __all__")
        if names != _in_order(names):
            wrong.append(f"{source.where}: __all__ is not sorted")
        defined = {node.name for node in source.tree.body if _public(node)}  # type: ignore[attr-defined]
        if missing := defined - set(names):
            wrong.append(f"{source.where}: {sorted(missing)} is public but not in __all__; begin it with _")
    assert not wrong, "\n".join(wrong)


def _in_order(names: list[str]) -> list[str]:
    """CONSTANTS, then Classes, then functions, each by the alphabet: the order the linter keeps."""

    def rank(name: str) -> tuple[int, list[tuple[int, str]]]:
        group = 0 if name.isupper() else 1 if name.lstrip("_")[:1].isupper() else 2
        return group, [(int(part), "") if part.isdigit() else (0, part) for part in re.split(r"(\d+)", name)]

    return sorted(names, key=rank)


def test_exported_names_exist() -> None:
    import importlib

    for source in sources():
        for name in _exported(source) or []:
            assert hasattr(importlib.import_module(source.module), name), f"{source.where}: {name}"


def test_files_are_small() -> None:
    long = {s.where for s in sources() if s.text.count("\n") > FILE_LIMIT}
    assert long == set(LONG_FILES), f"over {FILE_LIMIT} lines without a reason, or a reason not needed"


def test_functions_are_small() -> None:
    """Lines from the first to the last, the docstring not counted."""
    long = set()
    for source in sources():
        for node in source.functions():
            lines = (node.end_lineno or 0) - node.lineno + 1
            if ast.get_docstring(node):
                first = node.body[0]
                lines -= (first.end_lineno or 0) - first.lineno + 1
            if lines > FUNCTION_LIMIT:
                long.add(f"{source.module}:{node.name}")
    assert long == set(LONG_FUNCTIONS), (
        f"over {FUNCTION_LIMIT} lines without a reason, or a reason not needed"
    )


def test_nothing_forbidden_is_called() -> None:
    wrong = []
    for source in sources():
        for node in ast.walk(source.tree):
            where = f"{source.where}:{getattr(node, 'lineno', 0)}"
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                if node.func.id in FORBIDDEN_CALLS:
                    wrong.append(f"{where} {node.func.id} {FORBIDDEN_CALLS[node.func.id]}")
                if node.func.id == "print" and source.package != "cli":
                    wrong.append(f"{where} print below cli")
            if isinstance(node, ast.ExceptHandler) and node.type is None:
                wrong.append(f"{where} bare except")
            if isinstance(node, ast.Assert):
                wrong.append(f"{where} assert disappears under -O; raise one of errors.py")
            if isinstance(node, ast.Raise) and _raised(node) in FORBIDDEN_RAISES:
                wrong.append(f"{where} raises {_raised(node)}; use one of errors.py")
    assert not wrong, "\n".join(wrong)


def _raised(node: ast.Raise) -> str:
    """Name of the exception that is raised."""
    made = node.exc.func if isinstance(node.exc, ast.Call) else node.exc
    return made.id if isinstance(made, ast.Name) else ""


def test_every_physics_argument_is_described() -> None:
    """The docstring of a relation names each argument with its unit in square brackets, and its source."""
    import importlib

    from boostwright.physics.relation import REGISTRY

    for source in sources():
        if source.package == "physics":
            importlib.import_module(source.module)
    assert REGISTRY
    wrong = []
    for name, relation in REGISTRY.items():
        lines = (relation.__doc__ or "").splitlines()
        for argument in relation.signature.parameters:
            if not any(argument in line and "[" in line.partition(argument)[2] for line in lines):
                wrong.append(f"{name}: {argument} has no line with a unit")
        if "Returns" not in (relation.__doc__ or ""):
            wrong.append(f"{name}: says not what it returns")
        if "Source" not in (relation.__doc__ or ""):
            wrong.append(f"{name}: names no source")
    assert not wrong, "\n".join(wrong)


def test_the_command_line_starts_without_the_heavy_libraries() -> None:
    """Help, check and new import neither the compiler nor the plotting library."""
    import subprocess
    import sys

    heavy = "('numba', 'scipy', 'matplotlib', 'pyarrow')"
    code = f"import sys, boostwright.cli.main; print([m for m in {heavy} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == "[]"


def test_studies_say_what_they_are() -> None:
    for folder in (ROOT / "studies").iterdir():
        if folder.is_dir() and folder.name != "__pycache__":
            assert Path(folder / "README.md").is_file(), f"{folder.name} has no README.md"
