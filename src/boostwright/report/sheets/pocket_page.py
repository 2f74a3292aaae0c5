"""The pocket card as a page, and as JSON."""

from __future__ import annotations

import math
from typing import Any

from boostwright import __version__
from boostwright.report.sheets.dyno_page import reading
from boostwright.report.sheets.numbers import cell, listed, number, rpm
from boostwright.report.sheets.page import Column, Page, Pairs, Prose, Table
from boostwright.tasks.sheets.pocket_card import BaroRow, PocketCard

__all__ = ["pocket_card_document", "pocket_card_page"]

_CAUTIONS = (
    "A prediction is no proof that an engine will survive. More power needs brakes and tyres that match it; after a "
    "hard run let it cool on light load before stopping: oil on a glowing turbine burns.",
)


def pocket_card_page(card: PocketCard) -> Page:
    """The card as a page."""
    lines = [f"Air {card.temperature_amb - 273.15:.0f} degC at every barometer. Absolute counts."]
    if card.settings:
        lines.append(f"Set for this run: {'; '.join(card.settings)}.")
    lines.append(f"Values: {card.provenance}.")
    limit = f"{rpm(card.shaft_limit)}: {card.shaft_limit_source}"
    lift = tuple(
        (stop.words, f"{stop.side} {reading(stop, stop.value)}" if stop.quantity != "knock" else stop.source)
        for stop in card.lift_if
        if stop.quantity == "knock" or math.isfinite(stop.value)
    )
    blocks = (
        _rows(card),
        _tables(card),
        Pairs("Shaft speed", (("limit", limit),)),
        Pairs("Lift if", lift),
        Prose("Ask yourself", card.asks),
    )
    return Page("Pocket card", card.build, tuple(lines), blocks, _CAUTIONS)


def _down(row: BaroRow) -> str:
    if math.isnan(row.cap):
        return "no boost inside the limits"
    if not row.lowered:
        return "the table as it is"
    return f"{row.lowered / 1e3:.0f} kPa down at {rpm(row.speed)}: {row.binding.replace('-', ' ')}"


def _rows(card: PocketCard) -> Table:
    columns = (
        Column("barometer", "kPa"),
        Column("about", "m"),
        Column("boost cap", "kPa absolute"),
        Column("gauge", "kPa"),
        Column("shaft", "1000 rpm"),
        Column("charge", "degC"),
        Column("power", "kW"),
        Column("the table", "at this barometer", left=True, share=1.6),
    )
    rows = tuple(
        (
            cell(row.pressure_amb / 1e3, 1),
            cell(row.altitude, 0),
            cell(row.cap / 1e3, 0),
            cell((row.cap - row.pressure_amb) / 1e3, 0),
            cell(row.shaft_speed * 30e-3 / math.pi, 1),
            cell(row.temperature_im - 273.15, 0),
            cell(row.power / 1e3, 0),
            _down(row),
        )
        for row in card.rows
    )
    return Table("Boost cap by barometer", columns, rows)


def _tables(card: PocketCard) -> Table:
    """The table at every barometer, by engine speed."""
    columns = (
        Column("engine", "rpm"),
        *(Column(cell(row.pressure_amb / 1e3, 1), "kPa absolute") for row in card.rows),
    )
    rows = tuple(
        (cell(speed * 30.0 / math.pi, 0), *(cell(float(row.target[index]) / 1e3, 0) for row in card.rows))
        for index, speed in enumerate(card.speeds)
    )
    return Table("The table at each barometer", columns, rows)


def pocket_card_document(card: PocketCard) -> dict[str, Any]:
    """The card as plain dicts, lists, texts, numbers in SI and None."""
    return {
        "program": "boostwright",
        "version": __version__,
        "sheet": "pocket-card",
        "build": card.build,
        "provenance": card.provenance,
        "settings": list(card.settings),
        "temperature_amb": number(card.temperature_amb),
        "engine_speed": listed(card.speeds),
        "shaft_limit": {"value": number(card.shaft_limit), "source": card.shaft_limit_source},
        "rows": [
            {
                "pressure_amb": number(row.pressure_amb),
                "altitude": number(row.altitude),
                "target": listed(row.target),
                "cap": number(row.cap),
                "lowered": number(row.lowered),
                "speed": number(row.speed),
                "binding": row.binding,
                "shaft_speed": number(row.shaft_speed),
                "temperature_im": number(row.temperature_im),
                "temperature_em": number(row.temperature_em),
                "power": number(row.power),
            }
            for row in card.rows
        ],
        "lift_if": [
            {
                "quantity": s.quantity,
                "words": s.words,
                "side": s.side,
                "value": number(s.value),
                "unit": s.unit,
            }
            for s in card.lift_if
        ],
        "asks": list(card.asks),
        "cautions": list(_CAUTIONS),
    }
