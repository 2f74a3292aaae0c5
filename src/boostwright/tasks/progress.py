"""How far a long task is, told to whoever waits for it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

__all__ = ["HUNDRED", "Report", "Share"]

Report = Callable[[int, int, str], None]
"""Called with so much done, of so much, and what is being done, in words. What it raises ends the task."""

HUNDRED = 100
"""What a task is counted in where its steps cannot be counted beforehand."""


@dataclass(frozen=True)
class Share:
    """A part of a task, from one share of the whole to another.

    report       where it is told; None tells nobody
    first, last  [-] shares of the whole at which this part begins and ends
    """

    report: Report | None = None
    first: float = 0.0
    last: float = 1.0

    def at(self, share: float, words: str) -> None:
        """Tell that this share [-] of the part is done, and what comes now."""
        if self.report is not None:
            done = self.first + min(max(share, 0.0), 1.0) * (self.last - self.first)
            self.report(round(HUNDRED * done), HUNDRED, words)

    def part(self, first: float, last: float) -> Share:
        """The part of this part between two shares [-] of it."""
        width = self.last - self.first
        return Share(self.report, self.first + first * width, self.first + last * width)
