"""The package's own source, parsed once, for the tests of this folder."""

from __future__ import annotations

import ast
import functools
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "boostwright"


@dataclass(frozen=True)
class Source:
    """One file: its path, dotted module name, text and syntax tree."""

    path: Path
    module: str
    text: str
    tree: ast.Module

    @property
    def package(self) -> str:
        """Name of the package below boostwright, or of the file itself when it lies at the top."""
        parts = self.module.split(".")
        return parts[1] if len(parts) > 1 else ""

    @property
    def where(self) -> str:
        """Path from the project's folder, for messages."""
        return self.path.relative_to(ROOT).as_posix()

    def functions(self) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
        """Every function and method, at any depth."""
        for node in ast.walk(self.tree):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                yield node


@functools.cache
def sources() -> tuple[Source, ...]:
    """All files of the package."""
    found = []
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
        module = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        text = path.read_text(encoding="utf-8")
        found.append(Source(path, module, text, ast.parse(text)))
    return tuple(found)


def imports(source: Source) -> Iterator[tuple[int, str]]:
    """Line and full dotted name of all that a file imports: at the top, in a function, or only for types."""
    for node in ast.walk(source.tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node.lineno, alias.name
        elif isinstance(node, ast.ImportFrom):
            base = node.module or ""
            if node.level:
                parts = source.module.split(".")
                keep = len(parts) - node.level + (source.path.name == "__init__.py")
                base = ".".join([*parts[:keep], *([base] if base else [])])
            for alias in node.names:
                yield node.lineno, f"{base}.{alias.name}"
        elif isinstance(node, ast.Call) and getattr(node.func, "attr", getattr(node.func, "id", "")) in (
            "import_module",
            "__import__",
        ):
            yield node.lineno, _dynamic(node)


def _dynamic(call: ast.Call) -> str:
    """The constant beginning of a name that is imported by a call."""
    argument = call.args[0] if call.args else None
    if isinstance(argument, ast.JoinedStr):
        first = argument.values[0] if argument.values else None
        argument = first if isinstance(first, ast.Constant) else None
    return str(argument.value) if isinstance(argument, ast.Constant) else "boostwright.?"
