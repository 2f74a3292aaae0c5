"""What a check of a build found, in a few lines; the faults themselves are printed as they are."""

from __future__ import annotations

from boostwright.report.prose import assumptions, counted
from boostwright.tasks.check_build import CheckResult

__all__ = ["check_text"]

_WIDEST = 110


def check_text(result: CheckResult, width: int) -> str:
    """The counts, and what is assumed because nobody has written it down, by the status of the assumption.

    width  characters on a line
    Returns text that ends with a newline.
    """
    faults, warnings = counted(len(result.faults), "fault"), counted(len(result.warnings), "warning")
    lines = [f"{result.folder}: {faults}, {warnings}."]
    if result.defaults_used:
        count = counted(len(result.defaults_used), "value")
        lines.append(f"Left to their default, confirmed by nobody: {count}.")
        entries = ((default.key, default.value, default.status) for default in result.defaults_used)
        lines += assumptions(entries, min(width, _WIDEST))
    return "\n".join(lines) + "\n"
