"""The dyno card as a page, and as JSON."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from boostwright import __version__
from boostwright.report.display import shown_text
from boostwright.report.sheets.numbers import cell, listed, number, rpm
from boostwright.report.sheets.page import Column, Page, Pairs, Prose, Table
from boostwright.tasks.sheets.dyno_card import DynoCard, PullStep
from boostwright.tasks.sheets.stop_values import StopValue

__all__ = ["dyno_card_document", "dyno_card_page", "reading"]

_CAUTIONS = (
    "A plan is no proof that an engine will survive: raise boost in steps, the log read between, and stop at the first "
    "thing you cannot explain.",
    "Exhaust parts glow and the wheel turns beyond 100 000 rpm: nobody beside the car or in the plane of the "
    "turbocharger's wheels; extinguisher and stop in reach; exhaust led out.",
)


def dyno_card_page(card: DynoCard) -> Page:
    """The card as a page."""
    lines = [
        f"Barometer {card.pressure_amb / 1e3:.1f} kPa, air {card.temperature_amb - 273.15:.0f} degC. Absolute counts; "
        "gauge holds for this barometer only. Torque is raw.",
        f"Knock: {card.knock}" if card.knock else "",
        f"Set for this run: {'; '.join(card.settings)}." if card.settings else "",
        f"Values: {card.provenance}.",
    ]
    blocks = (
        _table(card),
        _spring(card),
        _stops(card),
        Prose("Before the first pull", card.warm_up, numbered=True),
        _pulls(card),
    )
    return Page("Dyno card", card.build, tuple(line for line in lines if line), blocks, _CAUTIONS)


def _table(card: DynoCard) -> Table:
    """The boost table with what goes with it; a column without a single value is left out."""
    wanted = (
        (Column("engine", "rpm"), card.speeds * 30.0 / math.pi, 0),
        (Column("table", "kPa absolute"), card.target / 1e3, 0),
        (Column("gauge", "kPa"), card.target_gauge / 1e3, 0),
        (Column("spring alone", "kPa absolute"), card.spring_alone / 1e3, 0),
        (Column("base duty", f"%, {card.plumbing}"), card.duty * 100.0, 0),
        (Column("torque", "Nm"), card.torque, 0),
        (Column("at wheels", "Nm"), card.wheel_torque, 0),
        (Column("lambda"), card.lambda_target, 2),
        (Column("lean", "lift at"), card.lambda_target + card.lean, 2),
        (Column("EGT reading", "degC"), card.egt_reading - 273.15, 0),
        (Column("shaft", "1000 rpm"), card.shaft_speed * 30e-3 / math.pi, 1),
    )
    kept = [(column, values, decimals) for column, values, decimals in wanted if np.isfinite(values).any()]
    binds = [
        f"{what.replace('-', ' ')}{f' ({day})' if day else ''}"
        for what, day in zip(card.binding, card.binding_day, strict=True)
    ]
    cells = [tuple(cell(float(value), decimals) for value in values) for _, values, decimals in kept]
    rows = tuple(zip(*cells, binds, strict=True))
    columns = (*(column for column, _, _ in kept), Column("what binds", "on which day", left=True))
    return Table("Boost table", columns, rows)


def _spring(card: DynoCard) -> Pairs:
    if not math.isfinite(card.spring):
        return Pairs("Spring", (("no gate", card.spring_words),))
    rating = f"{card.spring / 1e5:.2f} bar gauge, {card.spring_basis}"
    return Pairs("Spring", ((rating, card.spring_words),))


def reading(stop: StopValue, value: float) -> str:
    """A value as it is read on the day."""
    if stop.quantity in ("oil_pressure", "injector_pressure_difference"):
        return f"{value / 1e3:.0f} kPa {stop.basis}".rstrip()
    if stop.quantity == "lambda_error":
        return f"{value:.2f}"
    if stop.quantity == "temperature_coolant":
        return f"{value - 273.15:.0f} degC"
    return shown_text(stop.quantity, value, stop.unit)


def _stops(card: DynoCard) -> Pairs:
    rows = []
    for stop in card.stops:
        if stop.quantity == "knock":
            rows.append((stop.words, stop.source))
            continue
        value = "________ (write one in)" if not math.isfinite(stop.value) else reading(stop, stop.value)
        text = f"{stop.side} {value}"
        if math.isfinite(stop.expected) and stop.quantity != "lambda_error":
            text += f"; planned {reading(stop, stop.expected)}"
        rows.append((stop.words, f"{text} [{stop.source}]"))
    return Pairs("Lift and stop at", tuple(rows))


def _pulls(card: DynoCard) -> Pairs:
    return Pairs(
        "Order of pulls",
        tuple(_pull(number, step) for number, step in enumerate(card.pulls, start=1)),
        boxes=True,
    )


def _pull(number: int, step: PullStep) -> tuple[str, str]:
    label = f"{number}"
    if math.isfinite(step.cap):
        label += f"  up to {step.cap / 1e3:.0f} kPa absolute"
    if math.isfinite(step.until):
        label += f", {rpm(step.until)}"
    return label, step.words


def dyno_card_document(card: DynoCard) -> dict[str, Any]:
    """The card as plain dicts, lists, texts, numbers in SI and None."""
    return {
        "program": "boostwright",
        "version": __version__,
        "sheet": "dyno-card",
        "build": card.build,
        "provenance": card.provenance,
        "settings": list(card.settings),
        "pressure_amb": number(card.pressure_amb),
        "temperature_amb": number(card.temperature_amb),
        "engine_speed": listed(card.speeds),
        "target": listed(card.target),
        "target_gauge": listed(card.target_gauge),
        "spring_alone": listed(card.spring_alone),
        "duty": {"plumbing": card.plumbing, "values": listed(card.duty)},
        "torque": listed(card.torque),
        "torque_wheel": listed(card.wheel_torque),
        "lambda": listed(card.lambda_target),
        "egt_reading": listed(card.egt_reading),
        "shaft_speed": listed(card.shaft_speed),
        "binding": list(card.binding),
        "binding_day": list(card.binding_day),
        "spring": {"rating": number(card.spring), "basis": card.spring_basis, "words": card.spring_words},
        "knock": card.knock,
        "stops": [
            {
                "quantity": stop.quantity,
                "words": stop.words,
                "side": stop.side,
                "value": number(stop.value),
                "expected": number(stop.expected),
                "unit": stop.unit,
                "basis": stop.basis,
                "source": stop.source,
            }
            for stop in card.stops
        ],
        "warm_up": list(card.warm_up),
        "pulls": [
            {"words": step.words, "cap": number(step.cap), "until": number(step.until)} for step in card.pulls
        ],
        "cautions": list(_CAUTIONS),
    }
