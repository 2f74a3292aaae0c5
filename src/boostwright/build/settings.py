"""Settings for one run: ``section.key=value`` laid over what the file says, the file left as it is."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from boostwright.build.bands import split_band
from boostwright.build.parameter import NUMBER_KINDS, Parameter
from boostwright.build.schema import SECTIONS, TOP_LEVEL
from boostwright.build.toml_text import KeyPath, has_giant
from boostwright.errors import Fault
from boostwright.units import BASIS_WORDS

__all__ = ["Applied", "apply_settings", "split_setting"]


@dataclass
class Applied:
    """The data with the settings in it.

    data      nested values, a copy
    settings  path of each key that was set -> the setting as it was given
    removed   paths taken out by an empty setting
    faults    settings that are none
    """

    data: dict[str, Any]
    settings: dict[KeyPath, str] = field(default_factory=dict)
    removed: set[KeyPath] = field(default_factory=set)
    faults: list[Fault] = field(default_factory=list)


def apply_settings(data: Mapping[str, Any], settings: Iterable[str]) -> Applied:
    """Lay settings over the data; later ones win. An empty value takes the key out.

    data      nested values of a file; not changed
    settings  each ``section.key=value``, value as in the file, the quotes may be left out
    """
    result = Applied(copy.deepcopy(dict(data)))
    for setting in settings:
        try:
            path, text = split_setting(setting)
        except ValueError as error:
            result.faults.append(Fault(f"--set {setting}", "", "", str(error), "section.key=value"))
            continue
        _put(result, path, text, setting)
    return result


def split_setting(setting: str) -> tuple[KeyPath, str]:
    """Path and text of ``section.key=value``; raises ValueError with the reason."""
    name, equals, text = setting.partition("=")
    path = tuple(part.strip() for part in name.split("."))
    if not equals:
        raise ValueError("has no equals sign.")
    if not all(path):
        raise ValueError("names no key.")
    return path, text.strip()


def _put(result: Applied, path: KeyPath, text: str, setting: str) -> None:
    """One setting into the data."""
    place = result.data
    for depth, name in enumerate(path[:-1], start=1):
        inner = place.setdefault(name, {})
        if not isinstance(inner, dict):
            above = ".".join(path[:depth])
            message = f"cannot be set: {above} is a value, not a section or a curve."
            result.faults.append(Fault(f"--set {setting}", ".".join(path), text, message))
            return
        place = inner
    if not text:
        place.pop(path[-1], None)
        result.removed.add(path)
        return
    parameter = _declared(path)
    place[path[-1]] = _typed(parameter, text)
    result.settings[path] = setting
    _drop_old_basis(parameter, path, text, place, result)


def _typed(parameter: Parameter | None, text: str) -> Any:
    """The text as the key's kind would have it: names stay text, numbers and curves are read as TOML."""
    if text[0] in "\"'[{":
        return _toml(text)
    if parameter is None or parameter.kind in NUMBER_KINDS:
        return _toml(text)
    return text


def _toml(text: str) -> Any:
    """The text as a TOML value, or as plain text when it is none."""
    try:
        value = tomllib.loads(f"value = {text}")["value"]
    except (ValueError, RecursionError):
        return text
    return text if has_giant(value) else value


def _drop_old_basis(
    parameter: Parameter | None, path: KeyPath, text: str, place: dict[str, Any], result: Applied
) -> None:
    """A new value that says its own basis must not meet the file's old one."""
    if parameter is None or not parameter.basis_key:
        return
    beside = (*path[:-1], parameter.basis_key)
    value, _ = split_band(text)
    if value.split()[-1].strip("\"'") in BASIS_WORDS and beside not in result.settings:
        place.pop(parameter.basis_key, None)


def _declared(path: KeyPath) -> Parameter | None:
    """The declaration of a key, None for one inside a value or unknown."""
    sections = {section.name: section for section in SECTIONS}
    schema = TOP_LEVEL if len(path) == 1 else sections.get(path[0])
    if schema is None or len(path) > 2:
        return None
    try:
        return schema.find(path[-1])
    except KeyError:
        return None
