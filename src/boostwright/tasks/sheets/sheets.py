"""All sheets of a build and its plan, from one call."""

from __future__ import annotations

from dataclasses import dataclass

from boostwright.build import Build
from boostwright.tasks.plan_result import Plan
from boostwright.tasks.sheets.answer import GoNoGo
from boostwright.tasks.sheets.dyno_card import DynoCard, dyno_card_of
from boostwright.tasks.sheets.go_no_go import go_no_go_of
from boostwright.tasks.sheets.guesses import guesses_of
from boostwright.tasks.sheets.order_sheet import OrderSheet, order_sheet_of
from boostwright.tasks.sheets.pocket_card import PocketCard, pocket_card_of

__all__ = ["Sheets", "sheets_of"]


@dataclass(frozen=True)
class Sheets:
    """What leaves the desk: what to buy, whether to go on, what to do on the dyno, what to keep in the pocket."""

    order: OrderSheet
    go_no_go: GoNoGo
    dyno: DynoCard
    pocket: PocketCard


def sheets_of(build: Build, plan: Plan) -> Sheets:
    """The sheets of a plan. Raises BuildError where the build cannot be run as the sheets want it."""
    return Sheets(
        order=order_sheet_of(build, plan, guesses_of(build, plan)),
        go_no_go=go_no_go_of(build, plan),
        dyno=dyno_card_of(build, plan),
        pocket=pocket_card_of(build, plan),
    )
