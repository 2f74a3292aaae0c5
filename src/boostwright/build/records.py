"""Lists of small tables: the days a plan must hold on, and the parts it may be given."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from boostwright.build.build import PlanDaySetting, PlanPart, Value
from boostwright.build.faults import Report, nearest
from boostwright.build.parameter import Parameter
from boostwright.build.settings import split_setting
from boostwright.build.toml_text import KeyPath, as_written

__all__ = ["RECORD_KINDS", "read_records"]

RECORD_KINDS = ("days", "parts", "own-limits")  # the last is read by ``own_limits``

_PRICE = re.compile(r"\s*(?P<number>\d+(?:\.\d+)?)\s+(?P<currency>[A-Za-z]{3})\s*")
_KEYS = {"days": ("name", "settings", "spike"), "parts": ("name", "settings", "price")}
_ALLOWED = {
    "days": '[{ name = "...", settings = ["section.key=value", ...], spike = "5 %" }, ...]; spike may be left out',
    "parts": '[{ name = "...", settings = ["section.key=value", ...], price = "240 EUR" }, ...]; price may be left out',
}


@dataclass(frozen=True)
class _Place:
    """Where a fault belongs: the key, and which entry of its list."""

    path: KeyPath
    kind: str
    index: int
    report: Report

    def fault(self, raw: Any, message: str, remedy: str = "") -> None:
        """Refuse the entry."""
        where = f"entry {self.index}: {message}"
        self.report.fault(self.path, raw, where, _ALLOWED[self.kind], remedy)


def read_records(parameter: Parameter, raw: Any, path: KeyPath, report: Report) -> Value | None:
    """A list of days or of parts, or None when it has faults.

    Settings are looked at as far as they name a section and a key; what they say is checked with the whole build when
    the plan lays them over it.
    """
    kind = parameter.kind
    if not isinstance(raw, list):
        report.fault(
            path, raw, "is no list.", _ALLOWED[kind], f"Write {parameter.name} = {parameter.example}."
        )
        return None
    before = len(report.faults)
    found: list[PlanDaySetting | PlanPart] = []
    for index, item in enumerate(raw, start=1):
        place = _Place(path, kind, index, report)
        entry = _entry(item, place)
        if entry is not None and any(entry.name == other.name for other in found):
            place.fault(item, f'the name "{entry.name}" stands twice.', "Give each its own name.")
        elif entry is not None:
            found.append(entry)
    if len(report.faults) > before:
        return None
    return Value(parameter, as_written(raw), "file", records=tuple(found), line=report.line(path))


def _entry(item: Any, place: _Place) -> PlanDaySetting | PlanPart | None:
    """One day or part."""
    if not isinstance(item, dict):
        place.fault(item, "is no table in braces.")
        return None
    keys = _KEYS[place.kind]
    for key in item:
        if key not in keys:
            near = nearest(key, keys)
            place.fault(item, f"{key} is no key of it.", f"Did you mean {near}?" if near else "")
            return None
    name = item.get("name")
    if not isinstance(name, str) or not name.strip():
        place.fault(item, "has no name.")
        return None
    settings = _settings(item, place)
    if settings is None:
        return None
    if place.kind == "days":
        spike = _share(item, place)
        return None if spike is None else PlanDaySetting(name.strip(), settings, spike)
    price = _price(item, place)
    return None if price is None else PlanPart(name.strip(), settings, *price)


def _settings(item: Mapping[str, Any], place: _Place) -> tuple[str, ...] | None:
    """What the entry lays over the build."""
    raw = item.get("settings", [])
    if place.kind == "parts" and not raw:
        place.fault(item, "changes nothing: it has no settings.")
        return None
    if not isinstance(raw, list) or not all(isinstance(setting, str) for setting in raw):
        place.fault(
            item, "settings is no list of texts.", 'Write settings = ["wastegate.valve_diameter=50 mm"].'
        )
        return None
    for setting in raw:
        try:
            path, _ = split_setting(setting)
        except ValueError as error:
            place.fault(item, f'the setting "{setting}" {error}', 'Write "section.key=value".')
            return None
        if len(path) != 2:
            place.fault(item, f'the setting "{setting}" names no section.', 'Write "section.key=value".')
            return None
        if path[0] == "plan":
            place.fault(
                item, f'the setting "{setting}" would change the plan itself.', "Set keys of other sections."
            )
            return None
    return tuple(raw)


def _share(item: Mapping[str, Any], place: _Place) -> float | None:
    """A spike, 0.05 or "5 %"."""
    raw = item.get("spike", 0.0)
    value: float | None = None
    if isinstance(raw, str):
        match = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*%\s*", raw)
        value = float(match.group(1)) / 100.0 if match else None
    elif isinstance(raw, int | float) and not isinstance(raw, bool):
        value = float(raw)
    if value is None or not 0.0 <= value <= 0.5:
        place.fault(item, "the spike is no share from 0 to 0.5.", 'Write spike = "5 %".')
        return None
    return value


def _price(item: Mapping[str, Any], place: _Place) -> tuple[float | None, str] | None:
    """Number and currency; (None, '') where no price is given."""
    raw = item.get("price")
    if raw is None:
        return None, ""
    match = _PRICE.fullmatch(raw) if isinstance(raw, str) else None
    if match is None or float(match.group("number")) <= 0.0:
        place.fault(
            item,
            "the price is no number above 0 with its currency.",
            'Write price = "240 EUR": a decimal point, no thousands mark, the currency in three letters (ISO 4217).',
        )
        return None
    return float(match.group("number")), match.group("currency").upper()
