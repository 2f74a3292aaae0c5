"""A what-if written once: the small file ``whatif.toml`` beside a build, or any file of that form."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from boostwright.build.encoding import LARGEST_FILE, decode
from boostwright.build.faults import nearest
from boostwright.build.settings import split_setting
from boostwright.cards.toml_lines import TomlFault, read_toml
from boostwright.errors import Fault
from boostwright.tasks.whatif_result import Case
from boostwright.tasks.whatif_spec import Choice, Option, WhatIfError

__all__ = ["WHATIF_FILE", "WrittenWhatIf", "read_whatif_file"]

WHATIF_FILE = "whatif.toml"
"""Name of the file in a build's folder that is read when nothing else is asked for."""

_KEYS = ("vary", "cards", "one_at_a_time", "rank_by", "between", "creep_floor", "compare", "choice", "case")
_TEXTS = ("rank_by", "between", "creep_floor")
_LISTS = ("vary", "cards", "one_at_a_time", "compare")
_PRICE = re.compile(r"\s*(?P<number>\d+(?:\.\d+)?)\s+(?P<currency>[A-Za-z]{3})\s*")


@dataclass(frozen=True)
class WrittenWhatIf:
    """What a file asks for, as written: texts of options and the choices and cases with their prices."""

    vary: tuple[str, ...] = ()
    cards: tuple[str, ...] = ()
    one_at_a_time: tuple[str, ...] = ()
    compare: tuple[str, ...] = ()
    rank_by: str = ""
    between: str = ""
    creep_floor: str = ""
    choices: tuple[Choice, ...] = ()
    cases: tuple[Case, ...] = ()


@dataclass
class _Reader:
    """Collects every fault of one file."""

    file: str
    lines: Mapping[Any, int]
    faults: list[Fault] = field(default_factory=list)

    def _line(self, path: tuple[str, ...]) -> int:
        """Line of a key or of the nearest table above it; 0 when there is none."""
        known = _as_in_file(path)
        return next((self.lines[known[:n]] for n in range(len(known), 0, -1) if known[:n] in self.lines), 0)

    def fault(self, key: str, value: Any, message: str, allowed: str = "", remedy: str = "") -> None:
        line = self._line(tuple(key.split(".")))
        place = f"{self.file}, line {line}" if line else self.file
        self.faults.append(
            Fault(place, key, "" if value is None else str(value), message, allowed, remedy, line)
        )


def _as_in_file(path: tuple[str, ...]) -> tuple[str, ...]:
    """Entries are counted from 1 for people and from 0 in the file."""
    return tuple(str(int(part) - 1) if part.isdigit() else part for part in path)


def read_whatif_file(path: Path) -> WrittenWhatIf:
    """Read a file of choices and cases. Raises WhatIfError with every fault found."""
    reader = _Reader(path.name, {})
    data = _data(path, reader)
    for key in data:
        if key not in _KEYS:
            near = nearest(key, _KEYS)
            reader.fault(
                key,
                None,
                "is no key of a what-if.",
                ", ".join(_KEYS),
                f"Did you mean {near}?" if near else "",
            )
    texts = {key: _text(data, key, reader) for key in _TEXTS}
    lists = {key: _list(data, key, reader) for key in _LISTS}
    choices = tuple(
        _choice(item, index, reader) for index, item in enumerate(_tables(data, "choice", reader), 1)
    )
    options = [
        _option(item, f"case.{index}", reader) for index, item in enumerate(_tables(data, "case", reader), 1)
    ]
    cases = tuple(Case(option.words, option.settings, option.price, option.currency) for option in options)
    _unlike([case.name for case in cases], "case", reader)
    _unlike([choice.name for choice in choices], "choice", reader)
    if reader.faults:
        raise WhatIfError(reader.faults)
    return WrittenWhatIf(
        vary=lists["vary"],
        cards=lists["cards"],
        one_at_a_time=lists["one_at_a_time"],
        compare=lists["compare"],
        rank_by=texts["rank_by"],
        between=texts["between"],
        creep_floor=texts["creep_floor"],
        choices=choices,
        cases=cases,
    )


def _data(path: Path, reader: _Reader) -> Mapping[str, Any]:
    try:
        if path.is_file() and path.stat().st_size > LARGEST_FILE:
            raise WhatIfError([Fault(str(path), "", "", "is far too large for a list of cases.")])
        raw = path.read_bytes()
    except OSError as error:
        raise WhatIfError([Fault(str(path), "", "", f"cannot be read ({error.strerror}).")]) from error
    text, faults = decode(raw, path.name)
    reader.faults += faults
    try:
        data, reader.lines = read_toml(text)
    except TomlFault as error:
        place = f"{path.name}, line {error.line}" if error.line else path.name
        message = f"is no TOML: {error.what}."
        raise WhatIfError([*faults, Fault(place, "", "", message, line=error.line)]) from error
    if not data and not reader.faults:
        reader.fault("", None, "is empty.", "choices, cases or keys to vary")
    return data


def _text(data: Mapping[str, Any], key: str, reader: _Reader) -> str:
    found = data.get(key, "")
    if not isinstance(found, str):
        reader.fault(key, found, "is no text.", "text in quotes")
        return ""
    return found


def _list(data: Mapping[str, Any], key: str, reader: _Reader) -> tuple[str, ...]:
    found = data.get(key, [])
    if not isinstance(found, list) or not all(isinstance(item, str) for item in found):
        reader.fault(key, found, "is no list of texts.", f'{key} = ["...", "..."]')
        return ()
    return tuple(found)


def _tables(data: Mapping[str, Any], key: str, reader: _Reader) -> Sequence[Mapping[str, Any]]:
    found = data.get(key, [])
    if not isinstance(found, list) or not all(isinstance(item, dict) for item in found):
        reader.fault(key, found, "is no list of tables.", f"[[{key}]] on a line of its own for each")
        return []
    return found


def _choice(item: Mapping[str, Any], index: int, reader: _Reader) -> Choice:
    place = f"choice.{index}"
    _known(item, ("name", "options"), place, reader)
    name, options = item.get("name"), item.get("options")
    if not isinstance(name, str) or not name.strip():
        reader.fault(place, None, "has no name.", 'name = "housing"')
    if (
        not isinstance(options, list)
        or not options
        or not all(isinstance(option, dict) for option in options)
    ):
        example = (
            'options = [{ name = "50 mm", settings = ["wastegate.valve_diameter=50 mm"], price = "240 EUR" }]'
        )
        reader.fault(place, None, "has no options.", example)
        options = []
    found = tuple(_option(option, f"{place}.{number}", reader) for number, option in enumerate(options, 1))
    _unlike([option.words for option in found], place, reader)
    return Choice(str(name), found)


def _option(item: Mapping[str, Any], place: str, reader: _Reader) -> Option:
    """One option or case; no settings mean that nothing is changed."""
    _known(item, ("name", "settings", "price"), place, reader)
    name, settings, price = item.get("name"), item.get("settings", []), item.get("price")
    if not isinstance(name, str) or not name.strip():
        reader.fault(place, None, "has no name.", 'name = "50 mm gate"')
    if not isinstance(settings, list) or not all(isinstance(setting, str) for setting in settings):
        reader.fault(place, settings, "has settings that are no list of texts.", '["section.key=value"]')
        settings = []
    for setting in settings:
        try:
            split_setting(setting)
        except ValueError as error:
            reader.fault(place, setting, f"{error}", "section.key=value")
    number, currency = (0.0 if not settings else None), ""
    if price is not None:
        match = _PRICE.fullmatch(price) if isinstance(price, str) else None
        if match is None:
            allowed = 'a number and the currency in three letters (ISO 4217), "240 EUR"'
            reader.fault(place, price, "has a price that is no number with its currency.", allowed)
        else:
            number, currency = float(match["number"]), match["currency"].upper()
    return Option(str(name).strip(), tuple(settings), number, currency)


def _known(item: Mapping[str, Any], keys: tuple[str, ...], place: str, reader: _Reader) -> None:
    for key in item:
        if key not in keys:
            near = nearest(key, keys)
            remedy = f"Did you mean {near}?" if near else ""
            reader.fault(place, None, f"has the key {key}, which it does not know.", ", ".join(keys), remedy)


def _unlike(names: Sequence[str], place: str, reader: _Reader) -> None:
    for name in dict.fromkeys(name for name in names if names.count(name) > 1):
        reader.fault(place, None, f'has the name "{name}" twice.', "each its own name")
