"""What the exit code of a command says; listed for users in docs/reference/cli.md."""

from __future__ import annotations

from enum import IntEnum

__all__ = ["ExitCode"]


class ExitCode(IntEnum):
    """Exit codes of every command; a wrong option gives 2 as well, an interrupt from the keyboard 130."""

    DONE = 0
    """The question was answered. Points without a steady state are part of an answer."""
    DEVIATES = 1
    """``proof`` found a value outside its tolerance."""
    BAD_INPUT = 2
    """The build, a card, a log, an option or a place to write to cannot be used; nothing was changed."""
    NOTHING_SOLVED = 3
    """A prediction has no point at all with a steady state; the reasons are printed."""
    INTERNAL = 4
    """The program itself failed."""
