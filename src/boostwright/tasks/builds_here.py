"""Which builds lie below a folder, and a new one among them. A name from outside never becomes a path by itself."""

from __future__ import annotations

import os
import re
from dataclasses import dataclass
from pathlib import Path

from boostwright.build.reader import BUILD_FILE
from boostwright.errors import BuildError, Fault, UnknownPart
from boostwright.tasks.new_build import example_names, new_build

__all__ = ["HERE", "BuildHere", "build_named", "builds_below", "new_build_below", "still_there"]

HERE = "."
"""Name of the build in the folder itself."""

_DEEPEST = 3
_MOST_FOLDERS = 2000
_MOST_BUILDS = 200
_NAME = re.compile(r"[^\W_][\w .+-]{0,63}", re.UNICODE)
_NO_NAMES = {"con", "prn", "aux", "nul"} | {f"{word}{n}" for word in ("com", "lpt") for n in range(1, 10)}
_PASSED_BY = {"cards", "node_modules", "site-packages", "__pycache__"}


@dataclass(frozen=True)
class BuildHere:
    """A build below a folder.

    name  its folder from there, parts divided by "/"; ``HERE`` for the folder itself
    path  its folder
    """

    name: str
    path: Path


def builds_below(root: Path) -> tuple[BuildHere, ...]:
    """Builds in a folder and three levels below, by name; hidden folders and symbolic links are passed by."""
    found: list[BuildHere] = []
    level, seen = [(HERE, root)], 0
    for _ in range(_DEEPEST + 1):
        below: list[tuple[str, Path]] = []
        for name, folder in level:
            entries = _entries(folder)
            if any(entry.name == BUILD_FILE and entry.is_file(follow_symlinks=False) for entry in entries):
                found.append(BuildHere(name, folder))
            below += [
                (entry.name if name == HERE else f"{name}/{entry.name}", Path(entry.path))
                for entry in entries
                if entry.is_dir(follow_symlinks=False) and not _passed_by(entry.name)
            ]
        seen += len(below)
        if seen > _MOST_FOLDERS or len(found) > _MOST_BUILDS:
            break
        level = below
    return tuple(sorted(found[:_MOST_BUILDS], key=lambda build: build.name))


def build_named(root: Path, name: str | None) -> Path:
    """Folder of the build of that name, one of ``builds_below``; raises UnknownPart with those there are."""
    if name is None:
        raise UnknownPart("No build is open. Open one first.")
    builds = {build.name: build.path for build in builds_below(root)}
    if name not in builds:
        there = ", ".join(list(builds)[:20]) or "none"
        raise UnknownPart(f"There is no build '{name[:200]}' here. There are: {there}.")
    return builds[name]


def still_there(folder: Path) -> bool:
    """Whether a folder that ``build_named`` gave still holds a build, and is itself no link."""
    return (
        not folder.is_symlink() and (folder / BUILD_FILE).is_file() and not (folder / BUILD_FILE).is_symlink()
    )


def new_build_below(root: Path, name: str, example: str | None) -> BuildHere:
    """Make a build in a new folder right below ``root``.

    name     of the folder: letters, digits, space, dot, dash, plus and underscore, beginning with a letter or digit
    example  name of an example to copy; None gives a file to fill in
    Raises BuildError when the name is none, is taken, or cannot be written; nothing that was there is changed.
    """
    plain = name.strip()
    allowed = "letters, digits, spaces, dots, dashes and underscores, 64 at most, a letter or a digit first"
    if not _NAME.fullmatch(plain) or plain.endswith(".") or plain.split(".")[0].lower() in _NO_NAMES:
        raise BuildError([Fault("", "name", name[:80], "cannot be the name of a folder.", allowed)])
    folder = root / plain
    if os.path.lexists(folder):
        remedy = "Choose another name; nothing was changed."
        raise BuildError([Fault("", "name", plain, "is there already.", "a name that is free", remedy)])
    if example is not None and example.replace("-", "_") not in example_names():
        raise BuildError([Fault("", "from", example[:80], "is no example.", ", ".join(example_names()))])
    made = new_build(folder, example=example)
    return BuildHere(plain, made.folder)


def _passed_by(name: str) -> bool:
    """Folders in which nobody keeps a build."""
    return name.startswith(".") or name in _PASSED_BY


def _entries(folder: Path) -> list[os.DirEntry[str]]:
    """What lies in a folder; nothing where it may not be read."""
    try:
        with os.scandir(folder) as entries:
            return list(entries)
    except OSError:
        return []
