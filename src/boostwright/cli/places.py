"""Places the user names: a build folder, or by habit the file in it."""

from __future__ import annotations

from pathlib import Path

__all__ = ["BUILD_FILE", "build_folder"]

BUILD_FILE = "build.toml"


def build_folder(named: Path) -> Path:
    """The folder of a build, also where its ``build.toml`` was named; it need not exist."""
    return named.parent if named.name == BUILD_FILE and not named.is_dir() else named
