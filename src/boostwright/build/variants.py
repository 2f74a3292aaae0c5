"""Many variants of one build: settings laid over it in microseconds, with every check that reading it would make.

Sections that the settings do not touch are shared with the build, and a step of the reader is run again only where a
value that it looks at has changed. Whatever is refused is read again the long way, so that its faults are worded as
they are everywhere else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from boostwright.build.build import Build, DefaultUsed, Section, Value
from boostwright.build.derived import turbine_swallowing
from boostwright.build.faults import Report, in_file_order
from boostwright.build.parameter import SectionSchema
from boostwright.build.part_cards import read_cards
from boostwright.build.reader import BUILD_FILE, with_settings
from boostwright.build.schema import SECTIONS
from boostwright.build.sections import read_section
from boostwright.build.settings import apply_settings, split_setting
from boostwright.build.steps import CHECKS, FILLS
from boostwright.build.toml_text import KeyPath
from boostwright.build.watched import Remembered, Sections, WatchedSections
from boostwright.errors import Fault

__all__ = ["Variant", "Variants"]

_NAMES = tuple(schema.name for schema in SECTIONS)
_SCHEMAS = {schema.name: schema for schema in SECTIONS}


def _bearing(schema: SectionSchema) -> frozenset[str]:
    """Keys of a section on which the reading of others hangs: conditions, cards, bases, and those with a basis."""
    found = {"card", "given_as", "kind"}
    for parameter in schema.parameters:
        conditions = (parameter.used_when, parameter.required_when)
        found |= {condition.key for condition in conditions if condition is not None}
        found |= {parameter.unless, parameter.basis_key}
    if schema.name == "turbine":
        found |= {"choked_flow", "choked_flow_temperature", "choked_flow_pressure"}
    if schema.name == "ambient":
        found |= {parameter.name for parameter in schema.parameters}
    return frozenset(found)


_BEARING = {schema.name: _bearing(schema) for schema in SECTIONS}


@dataclass(frozen=True)
class Variant:
    """A build with settings over it; ``sections`` are shared with others of its family where they are alike.

    changed  names of the sections that are not the very ones of the build as it stands
    said     what the reader said of each section, and each step after that
    """

    base: Build
    settings: tuple[str, ...]
    sections: Sections
    changed: frozenset[str]
    said: Iterable[_Read | _Said]

    @cached_property
    def defaults(self) -> tuple[DefaultUsed, ...]:
        """What nobody has confirmed."""
        return tuple(default for part in self.said for default in part.defaults)

    @cached_property
    def warnings(self) -> tuple[Fault, ...]:
        """What is possible but hardly meant."""
        return tuple(warning for part in self.said if part.warnings for warning in part.warnings)

    @cached_property
    def build(self) -> Build:
        """The build itself, as ``with_settings`` would give it."""
        source = replace(self.base.source, settings=(*self.base.source.settings, *self.settings))
        return replace(
            self.base,
            sections={name: Section(name, values) for name, values in self.sections.items()},
            defaults_used=self.defaults,
            warnings=in_file_order(self.warnings),
            source=source,
        )


@dataclass(frozen=True)
class _Read:
    """One section as read, before the steps that fill in and check."""

    values: Mapping[str, Value]
    defaults: tuple[DefaultUsed, ...]
    warnings: tuple[Fault, ...]


@dataclass(frozen=True)
class _Said:
    """What a step answered."""

    defaults: tuple[DefaultUsed, ...]
    warnings: tuple[Fault, ...]


@dataclass(frozen=True)
class _Alone:
    """What a section with settings over it does by itself, where no step writes anything else for it.

    place  of the section among the names; steps that look at it, with what each of them answers
    """

    read: _Read
    values: Mapping[str, Value]
    place: int
    steps: Mapping[int, _Said]


class _Refused(Exception):
    """Something is wrong; the long way says what."""


class Variants:
    """The family of a build."""

    def __init__(self, build: Build) -> None:
        """From a build that was read and found without fault."""
        self.base = build
        self._read: dict[tuple[str, tuple[str, ...], float | None], _Read] = {}
        self._alike: dict[tuple[str, tuple[str, ...]], list[_Read]] = {}
        self._filled: dict[tuple[int, tuple[int, ...]], tuple[Mapping[str, Value], Any]] = {}
        self._settings: tuple[str, ...] = ()
        self._steps = [Remembered(_fill(step)) for step in FILLS]
        self._steps += [Remembered(self._check(step)) for step in CHECKS]
        self._own = {name: tuple(s for s in build.source.settings if _section(s) == name) for name in _NAMES}
        self._base_read = self._sections({})
        self._base_said: list[Any] = []
        plain = {name: read.values for name, read in self._base_read.items()}
        for step in self._steps:
            held = step.held(plain)
            self._base_said.append(held)
            self._put(plain, held.written)
        self._base_values = plain
        self._said: list[_Read | _Said] = [*self._base_read.values(), *(h.answer for h in self._base_said)]
        self._alone: dict[int, _Alone | None] = {}

    def of(self, settings: Sequence[str]) -> Variant:
        """The build with ``section.key=value`` laid over it, later ones winning.

        Raises BuildError as ``with_settings`` does.
        """
        by_section: dict[str, tuple[str, ...]] = {}
        for setting in settings:
            name = _section(setting)
            by_section[name] = (*by_section.get(name, ()), setting)
        if all(name in _SCHEMAS for name in by_section) and all("=" in setting for setting in settings):
            try:
                return self._of(by_section, tuple(settings))
            except _Refused:
                pass
        build = with_settings(self.base, settings)  # which says what is wrong
        sections = {name: section.values for name, section in build.sections.items()}
        every = frozenset(sections)
        said = (_Said(build.defaults_used, build.warnings),)
        return Variant(self.base, tuple(settings), sections, every, said)

    def _of(self, by_section: Mapping[str, tuple[str, ...]], settings: tuple[str, ...]) -> Variant:
        self._settings = settings
        return self._put_together(by_section, settings) or self._stepped(by_section, settings)[0]

    def _put_together(
        self, by_section: Mapping[str, tuple[str, ...]], settings: tuple[str, ...]
    ) -> Variant | None:
        """A variant from its sections, each worked out by itself; None where some step looks at two of them."""
        if not by_section or "ambient" in by_section:
            return None
        ambient = self._base_read["ambient"].values.get("pressure")
        pressure = ambient.si if ambient else None
        values, said, changed = dict(self._base_values), self._said.copy(), []
        met: set[int] = set()
        for name, extra in by_section.items():
            read = self._one(name, (*self._own[name], *extra), pressure)
            if read is self._base_read[name]:
                continue
            if id(read) not in self._alone:
                self._alone[id(read)] = self._by_itself(name, extra, read)
            alone = self._alone[id(read)]
            if alone is None or not met.isdisjoint(alone.steps):
                return None
            met.update(alone.steps)
            values[name] = alone.values
            changed.append(name)
            said[alone.place] = read
            for step, answer in alone.steps.items():
                said[len(_NAMES) + step] = answer
        return Variant(self.base, settings, values, frozenset(changed), said)

    def _by_itself(self, name: str, extra: tuple[str, ...], read: _Read) -> _Alone | None:
        found, steps = self._stepped({name: extra}, extra)
        if found.changed != {name} or steps is None:
            return None
        return _Alone(read, found.sections[name], _NAMES.index(name), steps)

    def _stepped(
        self, by_section: Mapping[str, tuple[str, ...]], settings: tuple[str, ...]
    ) -> tuple[Variant, Mapping[int, _Said] | None]:
        """A variant step by step, and what the steps answer that look at what is changed; None for those where one
        wrote something else than for the build as it stands."""
        read = self._sections(by_section)
        base = self._base_read
        names = _NAMES if "ambient" in by_section else by_section
        changed = {name for name in names if read[name] is not base[name]}
        values = {name: part.values for name, part in read.items()}
        said: list[_Read | _Said] = list(read.values())
        steps: dict[int, _Said] | None = {}
        for number, (step, own) in enumerate(zip(self._steps, self._base_said, strict=True)):
            held = own if own.names.isdisjoint(changed) else step.held(values)
            if held.written:
                self._put(values, held.written)
            if held.written != own.written:
                changed |= {name for name, _ in (*held.written, *own.written)}
                steps = None
            if steps is not None and held is not own:
                steps[number] = held.answer
            said.append(held.answer)
        return Variant(self.base, settings, values, frozenset(changed), said), steps

    def _check(self, step: Callable[[Any, Report], None]) -> Callable[[WatchedSections], _Said]:
        """A check whose warnings know where the settings of the moment stand."""
        source = self.base.source

        def run(sections: WatchedSections) -> _Said:
            settings = _by_path((*source.settings, *self._settings))
            report = Report(BUILD_FILE, source.lines, source.broken, settings)
            step(sections, report)
            if report.faults:
                raise _Refused
            return _Said((), tuple(report.warnings))

        return run

    def _sections(self, by_section: Mapping[str, tuple[str, ...]]) -> dict[str, _Read]:
        """Every section with its settings, in the order of the schema."""
        if by_section and "ambient" not in by_section:
            found = dict(self._base_read)
            ambient = found["ambient"].values.get("pressure")
            for name, extra in by_section.items():
                found[name] = self._one(name, (*self._own[name], *extra), ambient.si if ambient else None)
            return found
        found = {}
        for name in _NAMES:
            ambient = found["ambient"].values.get("pressure") if "ambient" in found else None
            settings = (*self._own[name], *by_section.get(name, ()))
            found[name] = self._one(name, settings, ambient.si if ambient else None)
        return found

    def _one(self, name: str, settings: tuple[str, ...], ambient: float | None) -> _Read:
        key = name, settings, ambient
        if key not in self._read:
            read = self._composed(name, settings, ambient) or self._one_key(name, settings, ambient)
            read = read or self._worked_out(name, settings, ambient)
            alike = self._alike.setdefault((name, settings), [])
            # read at another barometer, and none the different for it: one section, not two alike
            read = next((known for known in alike if known == read), read)
            if all(known is not read for known in alike):
                alike.append(read)
            self._read[key] = read
        return self._read[key]

    def _one_key(self, name: str, settings: tuple[str, ...], ambient: float | None) -> _Read | None:
        """A section in which a single key has another value and nothing hangs on that; None where that is not so."""
        own, schema = self._own[name], _SCHEMAS[name]
        keys = {setting.partition("=")[0].strip() for setting in settings[len(own) :]}
        inner = min(keys, default="").partition(".")[2]
        if len(keys) != 1 or inner not in schema.keys or inner in _BEARING[name]:
            return None
        parameter, plain = schema.find(inner), self._one(name, own, ambient)
        applied = apply_settings({name: {}}, settings[len(own) :])
        raw = applied.data[name]
        if parameter.basis_key or plain.warnings or inner not in plain.values or set(raw) != {inner}:
            return None
        source = self.base.source
        report = Report(BUILD_FILE, source.lines, source.broken - set(applied.settings), applied.settings)
        values, _ = read_section(replace(schema, parameters=(parameter,)), raw, report, ambient, {})
        if report.faults or applied.faults or inner not in values:
            raise _Refused
        if values[inner] == plain.values[inner]:
            values = {}
        defaults = tuple(default for default in plain.defaults if default.key != f"{name}.{inner}")
        return _Read({**plain.values, **values}, defaults, tuple(report.warnings))

    def _composed(self, name: str, settings: tuple[str, ...], ambient: float | None) -> _Read | None:
        """A section in which several keys are set, from those in which one of them is; None where a key of them bears
        on others."""
        own = self._own[name]
        keys = dict.fromkeys(setting.partition("=")[0].strip() for setting in settings[len(own) :])
        if len(keys) < 2 or any(key.partition(".")[2] in _BEARING[name] for key in keys):
            return None
        plain = self._one(name, own, ambient)
        values, defaults, warnings = dict(plain.values), plain.defaults, list(plain.warnings)
        for key in keys:
            alone = tuple(
                setting for setting in settings[len(own) :] if setting.partition("=")[0].strip() == key
            )
            read = self._one(name, (*own, *alone), ambient)
            inner = key.partition(".")[2]
            if inner not in read.values:
                return None
            values[inner] = read.values[inner]
            defaults = tuple(default for default in defaults if default in read.defaults)
            warnings += [warning for warning in read.warnings if warning not in plain.warnings]
            if [w for w in plain.warnings if w not in read.warnings]:
                return None
        order = _SCHEMAS[name].parameters
        return _Read({p.name: values[p.name] for p in order if p.name in values}, defaults, tuple(warnings))

    def _worked_out(self, name: str, settings: tuple[str, ...], ambient: float | None) -> _Read:
        """One section read with settings over it."""
        source = self.base.source
        given = {name: source.data[name]} if name in source.data else {}
        applied = apply_settings(given, settings)
        report = Report(BUILD_FILE, source.lines, source.broken - set(applied.settings), applied.settings)
        filled = read_cards(applied.data, self.base.folder, report)
        raw = applied.data.get(name)
        if raw is not None and not isinstance(raw, dict):
            raise _Refused
        values, used = read_section(_SCHEMAS[name], raw, report, ambient, filled.get(name, {}))
        if name == "turbine":
            turbine_swallowing({name: values}, applied.data, report)
        if report.faults or applied.faults:
            raise _Refused
        if settings != self._own[name]:
            # a key that the settings leave as it was keeps its very value: what hangs on it need not run again
            plain = self._one(name, self._own[name], ambient).values
            values = {key: plain[key] if plain.get(key) == value else value for key, value in values.items()}
        return _Read(values, tuple(used), tuple(report.warnings))

    def _put(self, values: dict[str, Mapping[str, Value]], written: Mapping[tuple[str, str], Value]) -> None:
        """What a step wrote, into the sections; equal results are one object."""
        by_name: dict[str, dict[str, Value]] = {}
        for (name, key), value in written.items():
            by_name.setdefault(name, {})[key] = value
        for name, new in by_name.items():
            old = values[name]
            key_of = id(old), tuple(map(id, new.values()))
            if key_of not in self._filled:
                self._filled[key_of] = {**old, **new}, (old, new)
            values[name] = self._filled[key_of][0]


def _section(setting: str) -> str:
    """Name of the section a setting belongs to."""
    return setting.partition("=")[0].partition(".")[0].strip()


def _fill(step: Callable[[Any], list[DefaultUsed]]) -> Callable[[WatchedSections], _Said]:
    def run(sections: WatchedSections) -> _Said:
        return _Said(tuple(step(sections)), ())

    return run


def _by_path(settings: Sequence[str]) -> dict[KeyPath, str]:
    """Path of each key that is set -> the setting; an empty one takes its key out and is no place."""
    split = ((split_setting(setting), setting) for setting in settings)
    return {path: setting for (path, text), setting in split if text}
