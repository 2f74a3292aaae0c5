"""The part cards a build names: whether they can be used, and what a wastegate's and a probe's fill in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from boostwright.build.build import Value
from boostwright.build.faults import Report
from boostwright.build.parameter import Parameter
from boostwright.build.schema import probe, wastegate
from boostwright.errors import CardError, UnknownPart

__all__ = ["CARD_KEYS", "read_cards"]

CARD_KEYS: tuple[tuple[str, str], ...] = (
    ("fuel", "fuel"),
    ("compressor", "compressor"),
    ("turbine", "turbine"),
    ("wastegate", "wastegate"),
    ("probe", "sensor"),
)
"""(section, kind of card) wherever a section's ``card`` names one."""

_SECOND_CARDS: tuple[tuple[str, str, str], ...] = (
    ("fuel", "blend_card", "fuel"),
    ("exhaust_manifold", "material", "material"),
    ("rods", "material", "material"),
    ("rods", "believed_fuel", "fuel"),
)
"""(section, key, kind of card) of the cards that another key names."""


def read_cards(data: Mapping[str, Any], folder: Path, report: Report) -> dict[str, dict[str, Value]]:
    """Look up every card the build names; return what cards fill in, by section.

    data    the raw values of the file
    folder  the build's folder, whose cards/ is searched first
    A card that is not there, or is faulty, is a fault of the build.
    """
    filled: dict[str, dict[str, Value]] = {}
    for section, kind in CARD_KEYS:
        given = data.get(section)
        name = given.get("card") if isinstance(given, dict) else None
        if not isinstance(name, str) or not name.strip():
            continue
        if section == "wastegate" and isinstance(given, dict) and given.get("kind") == "none":
            continue
        card = _found(kind, name, folder, (section, "card"), report)
        if card is not None and section == "wastegate":
            filled[section] = _from_wastegate(card, given or {}, report)
        if card is not None and section == "probe":
            filled[section] = _from_probe(card, name, report)
    for section, key, kind in _SECOND_CARDS:
        given = data.get(section)
        name = given.get(key) if isinstance(given, dict) else None
        if isinstance(name, str) and name.strip():
            card = _found(kind, name, folder, (section, key), report)
            if kind == "material" and card is not None and not card.has("yield_strength"):
                message = "is the card of a material that has no yield_strength: it breaks before it yields."
                report.fault(
                    (section, key), name, message, "a card with yield_strength, for example steel-c70s6"
                )
    return filled


def _found(kind: str, name: str, folder: Path, path: tuple[str, str], report: Report) -> Any:
    """The card, or None with a fault."""
    from boostwright.cards.look_up import find_card  # reads tables, so only when a card is named

    try:
        card = find_card(kind, name, folder)
    except UnknownPart as error:
        report.fault(
            path, name, str(error), remedy="Take one of those, or put your own into the build's cards/."
        )
        return None
    except CardError as error:
        report.fault(
            path, name, f"names a card that cannot be used; {len(error.faults)} faults in it follow."
        )
        report.faults.extend(error.faults)
        return None
    report.warnings.extend(replace(warning, severity="warning") for warning in card.warnings)
    return card


def _from_wastegate(card: Any, given: Mapping[str, Any], report: Report) -> dict[str, Value]:
    """The values of a wastegate's card under the keys of the section."""
    kind = given.get("kind")
    if isinstance(kind, str) and kind in ("poppet", "flap") and card.text("kind") != kind:
        message = f"is the card of a {card.text('kind')}, but kind says {kind}."
        report.fault(("wastegate", "card"), given.get("card"), message)
    return {
        parameter.name: value
        for parameter in wastegate.SECTION.parameters
        if parameter.name not in ("kind", "card") and (value := _value(card, parameter.name, parameter))
    }


def _from_probe(card: Any, name: str, report: Report) -> dict[str, Value]:
    """The values of a thermocouple's card under the keys of the section."""
    if card.text("signal") != "thermocouple-k":
        message = f"is the card of a sensor for {card.text('measures')} that is no thermocouple."
        remedy = "Take for example thermocouple-k-3mm."
        report.fault(("probe", "card"), name, message, "a card with signal thermocouple-k", remedy)
        return {}
    ends = [key for key in ("temperature_high", "body_temperature_limit") if card.has(key)]
    from_card = {"diameter": "diameter", "emissivity": "emissivity", "time_constant": "time_constant"}
    if ends:
        from_card["highest_temperature"] = min(ends, key=card.si)
    found = {key: _value(card, of, probe.SECTION.find(key)) for key, of in from_card.items()}
    return {key: value for key, value in found.items() if value is not None}


def _value(card: Any, name: str, parameter: Parameter) -> Value | None:
    """One value of a card as the value of a key; None where the card has no number of that name."""
    if not card.has(name) or card.values[name].quantity is None:
        return None
    quantity = card.values[name].quantity
    return Value(
        parameter,
        quantity.text,
        "card",
        si=quantity.value_si,
        unit=quantity.unit,
        basis=quantity.basis or parameter.stored_basis or None,
    )
