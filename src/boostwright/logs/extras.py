"""How to install a library that only some logs need, into the very environment the program runs in."""

from __future__ import annotations

import sys
from pathlib import Path

__all__ = ["install_command"]


def install_command(*extras: str) -> str:
    """The command that installs some extras, by this Python: another one's pip would put them where nobody looks.

    extras  names in pyproject.toml, such as ``mdf``
    """
    python = Path(sys.executable)
    here = Path.cwd()
    shown = python.relative_to(here) if python.is_relative_to(here) else python
    return f'{shown} -m pip install "boostwright[{",".join(extras)}]"'
