"""The sheets of a plan, from the folder it was made from."""

from __future__ import annotations

from pathlib import Path

from boostwright.build import read_build
from boostwright.tasks.plan_result import Plan
from boostwright.tasks.sheets.sheets import Sheets, sheets_of

__all__ = ["sheets_of_plan"]


def sheets_of_plan(folder: Path, plan: Plan) -> Sheets:
    """Order sheet, go / no-go, dyno card and pocket card of a plan, the build read again with the plan's settings.

    Raises BuildError where the build cannot be run as the sheets want it.
    """
    return sheets_of(read_build(folder, plan.settings), plan)
