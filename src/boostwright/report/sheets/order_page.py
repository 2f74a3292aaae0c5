"""The order sheet as a page, and as JSON."""

from __future__ import annotations

from typing import Any

from boostwright import __version__
from boostwright.report.sheets.page import Column, Page, Prose, Table
from boostwright.tasks.sheets.order_sheet import OrderSheet

__all__ = ["order_sheet_document", "order_sheet_page"]

_CAUTIONS = (
    "A prediction is no proof: order what can be changed last, and weld last what cannot be ordered twice.",
)


def order_sheet_page(sheet: OrderSheet) -> Page:
    """The sheet as a page."""
    lines = [f"For {sheet.asks}, on a day of {sheet.day}."]
    if sheet.settings:
        lines.append(f"Set for this run: {'; '.join(sheet.settings)}.")
    lines.append(
        f"Values: {sheet.provenance}. {sheet.unconfirmed} values stand at a default that nobody has confirmed."
    )
    columns = (
        Column("part", left=True, share=0.7),
        Column("what to order", left=True, share=2.2),
        Column("how it is known", left=True, share=0.9),
    )
    parts = Table("Order", columns, tuple((line.part, line.what, line.known) for line in sheet.lines))
    return Page(
        "Order sheet", sheet.build, tuple(lines), (parts, *_guesses(sheet), *_remarks(sheet)), _CAUTIONS
    )


def _guesses(sheet: OrderSheet) -> tuple[Table, ...]:
    if not sheet.guesses:
        return ()
    heading = "The guesses that matter, ranked" if sheet.ranked else "Guesses nobody has confirmed"
    moves = "what it moves" if sheet.ranked else "status"
    headings = (("guess", 1.25), ("value and band", 1.0), (moves, 1.0), ("to know it better", 1.6))
    columns = tuple(Column(name, left=True, share=share) for name, share in headings)
    rows = tuple((guess.what, guess.value, guess.moves, guess.measure) for guess in sheet.guesses)
    return (Table(heading, columns, rows),)


def _remarks(sheet: OrderSheet) -> tuple[Prose, ...]:
    first = next((guess.measure for guess in sheet.guesses if guess.measure), "") if sheet.ranked else ""
    lines = [*(f"{remark[:1].upper()}{remark[1:]}." for remark in sheet.remarks)]
    if first:
        lines.insert(0, f"To know first: {first}.")
    return (Prose("Before you order", tuple(lines)),) if lines else ()


def order_sheet_document(sheet: OrderSheet) -> dict[str, Any]:
    """The sheet as plain dicts, lists and texts."""
    return {
        "program": "boostwright",
        "version": __version__,
        "sheet": "order-sheet",
        "build": sheet.build,
        "provenance": sheet.provenance,
        "settings": list(sheet.settings),
        "day": sheet.day,
        "asks": sheet.asks,
        "lines": [{"part": line.part, "what": line.what, "known": line.known} for line in sheet.lines],
        "ranked": sheet.ranked,
        "guesses": [
            {"what": guess.what, "value": guess.value, "moves": guess.moves, "measure": guess.measure}
            for guess in sheet.guesses
        ],
        "unconfirmed": sheet.unconfirmed,
        "remarks": list(sheet.remarks),
        "cautions": list(_CAUTIONS),
    }
