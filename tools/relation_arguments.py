"""The page of docs/reference that lists every argument of the published relations, from their docstrings."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

__all__ = ["Argument", "arguments", "arguments_page"]

_PHYSICS = Path(__file__).resolve().parent.parent / "src" / "boostwright" / "physics"
_ROW = re.compile(r"^ *(?P<names>[a-z][\w]*(?:, [a-z]\w*)*) +\([^)]*\) +\[(?P<unit>[^\]]+)\] *(?P<words>.*)$")
_HEAD = """# Arguments of the published relations

Made from the docstrings of `boostwright.physics` by `make reference`. One name has one unit wherever it stands;
`[-]` is a plain number. Every relation takes floats or arrays; what it means by an argument stands in its docstring,
and where the name is a quantity of a prediction it is that of [names](names.md).

| argument | unit | relations |
|---|---|---|
"""


@dataclass(frozen=True)
class Argument:
    """One argument of one public function: its name, the unit its docstring gives (empty: none), and the function."""

    name: str
    unit: str
    function: str


def _units_of(docstring: str) -> dict[str, str]:
    """Unit by argument, of the rows ``name  (shape)  [unit]  words``; several names may share a row."""
    units = {}
    for line in docstring.splitlines():
        if row := _ROW.match(line):
            units.update(dict.fromkeys(row["names"].split(", "), row["unit"]))
    return units


def arguments() -> Iterator[Argument]:
    """Every argument of every public function of the physics, in the order of files and functions."""
    for path in sorted(_PHYSICS.rglob("*.py")):
        if path.parent == _PHYSICS:
            continue  # the machinery around the relations, not physics
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if not isinstance(node, ast.FunctionDef) or node.name.startswith("_"):
                continue
            units = _units_of(ast.get_docstring(node) or "")
            for argument in (*node.args.args, *node.args.kwonlyargs):
                yield Argument(argument.arg, units.get(argument.arg, ""), f"{path.stem}.{node.name}")


def arguments_page() -> str:
    """The page as Markdown."""
    gathered: dict[str, list[Argument]] = {}
    for argument in arguments():
        gathered.setdefault(argument.name, []).append(argument)
    rows = []
    for name in sorted(gathered):
        units = " or ".join(dict.fromkeys(f"[{argument.unit}]" for argument in gathered[name]))
        functions = ", ".join(f"`{argument.function}`" for argument in gathered[name])
        rows.append(f"| `{name}` | {units} | {functions} |")
    return _HEAD + "\n".join(rows) + "\n"
