"""Faults of a wheel that show only when it is worked out, put where the user wrote its dimensions."""

from __future__ import annotations

from dataclasses import replace

from boostwright.build.build import Section
from boostwright.errors import Fault

__all__ = ["fault_in_section"]

_FILE = "build.toml"


def fault_in_section(section: Section, fault: Fault) -> Fault:
    """The fault with its place in build.toml and the dotted key, where the section has that key."""
    if not section.has(fault.key):
        return replace(fault, place=f"{_FILE}, [{section.name}]", key="")
    value = section.values[fault.key]
    place, line = f"{_FILE}, [{section.name}]", 0
    if value.origin == "set":
        place = "--set"
    elif value.line:
        place, line = f"{_FILE}, line {value.line}", value.line
    return replace(fault, place=place, line=line, key=f"{section.name}.{fault.key}", value=value.written)
