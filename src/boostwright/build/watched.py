"""Remembering what was worked out from a build, by the values it was in fact worked out from.

A function is run once with sections that write down which keys it looks at. Called again with a build in which those
keys hold the very same values, it need not run: its answer cannot be another one. Values are told apart by identity,
so builds of one family must share the values that they do not change (``variants``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, MutableMapping
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from boostwright.build.build import Value

__all__ = ["Held", "Place", "Remembered", "Sections", "WatchedSections", "identities", "watched_call"]

Sections = Mapping[str, Mapping[str, Value]]
_Answer = TypeVar("_Answer")
Place = tuple[str, str | None]
"""(section, key); (section, None) is the whole section."""
_Key = tuple[int, ...]


@dataclass
class _Watch:
    """What was looked at, and what was written."""

    looked_at: dict[Place, None] = field(default_factory=dict)
    written: dict[tuple[str, str], Value] = field(default_factory=dict)


class _WatchedValues(MutableMapping[str, Value]):
    """The values of one section."""

    def __init__(self, name: str, values: Mapping[str, Value], watch: _Watch) -> None:
        self._name, self._values, self._watch = name, values, watch

    def __getitem__(self, key: str) -> Value:
        """The value; raises KeyError."""
        if (self._name, key) in self._watch.written:
            return self._watch.written[self._name, key]
        self._watch.looked_at[self._name, key] = None
        return self._values[key]

    def __setitem__(self, key: str, value: Value) -> None:
        """Write down what a step puts in; the section itself stays as it is."""
        self._watch.written[self._name, key] = value

    def __delitem__(self, key: str) -> None:
        """No step takes a value out."""
        raise TypeError("values are not taken out of a section")

    def __iter__(self) -> Iterator[str]:
        """Every key: the whole section counts as looked at."""
        self._watch.looked_at[self._name, None] = None
        own = [key for name, key in self._watch.written if name == self._name and key not in self._values]
        return iter([*self._values, *own])

    def __len__(self) -> int:
        """How many; the whole section counts as looked at."""
        return sum(1 for _ in self)


class WatchedSections(MutableMapping[str, MutableMapping[str, Value]]):
    """Sections that write down what is looked at and what is put in."""

    def __init__(self, sections: Sections, watch: _Watch) -> None:
        """Over sections that stay as they are."""
        self._sections, self._watch = sections, watch

    def __getitem__(self, name: str) -> MutableMapping[str, Value]:
        """The watched section; raises KeyError."""
        return _WatchedValues(name, self._sections[name], self._watch)

    def __setitem__(self, name: str, values: MutableMapping[str, Value]) -> None:
        """Sections are all there from the start."""
        raise TypeError("sections are not put in")

    def __delitem__(self, name: str) -> None:
        """Sections stay."""
        raise TypeError("sections are not taken out")

    def __iter__(self) -> Iterator[str]:
        """Every name; which there are never changes within a family."""
        return iter(self._sections)

    def __len__(self) -> int:
        """How many."""
        return len(self._sections)


@dataclass(frozen=True)
class Held(Generic[_Answer]):
    """An answer, what was written, the names of the sections looked at, and what else it was given.

    values  kept so that their identities stay theirs
    """

    answer: _Answer
    written: Mapping[tuple[str, str], Value]
    names: frozenset[str]
    given: tuple[Any, ...]
    values: tuple[Any, ...]


class Remembered(Generic[_Answer]):
    """A function of a build's sections and of other objects, each distinct call of which runs once.

    The other objects are told apart by identity too. An exception is not remembered.
    """

    def __init__(self, function: Callable[..., _Answer], most: int = 20000) -> None:
        """``function(watched sections, *given)``; ``most`` answers are kept, then all are forgotten."""
        self._function, self._most = function, most
        self._by_values: dict[tuple[Place, ...], dict[_Key, Held[_Answer]]] = {}
        self._by_sections: dict[_Key, tuple[Held[_Answer], tuple[Any, ...]]] = {}
        self._names: tuple[str, ...] = ()
        self._plain: Held[_Answer] | None = None

    def __call__(self, sections: Sections, *given: Any) -> _Answer:
        """The answer for these sections."""
        return self.held(sections, *given).answer

    def of(self, sections: Sections, changed: frozenset[str], *given: Any) -> _Answer:
        """The answer for sections of which all but the ``changed`` ones are the very same in every call of ``of``."""
        plain = self._plain
        if plain is not None and plain.names.isdisjoint(changed) and _same(plain.given, given):
            return plain.answer
        held = self.held(sections, *given)
        if held.names.isdisjoint(changed):
            self._plain = held
        return held.answer

    def held(self, sections: Sections, *given: Any) -> Held[_Answer]:
        """The answer with what was written and the names of the sections looked at."""
        quick = self._quick(sections, given)
        found = self._by_sections.get(quick)
        if found is not None:
            return found[0]
        ids = tuple(map(id, given))
        for places, answers in self._by_values.items():
            held = answers.get((*identities(sections, places), *ids))
            if held is not None:
                self._keep(quick, held, sections)
                return held
        return self._run(sections, given)

    def _quick(self, sections: Sections, given: tuple[Any, ...]) -> _Key:
        return (*(id(sections[name]) for name in self._names), *map(id, given))

    def _keep(self, quick: _Key, held: Held[_Answer], sections: Sections) -> None:
        if len(self._by_sections) >= self._most:
            self._by_sections.clear()
        self._by_sections[quick] = held, tuple(sections[name] for name in self._names)

    def _run(self, sections: Sections, given: tuple[Any, ...]) -> Held[_Answer]:
        watch = _Watch()
        answer = self._function(WatchedSections(sections, watch), *given)
        places = tuple(watch.looked_at)
        names = frozenset(name for name, _ in places)
        values = tuple(_value(sections, place) for place in places)
        held = Held(answer, watch.written, names, given, values)
        if sum(map(len, self._by_values.values())) >= self._most:
            self._by_values.clear()
        self._by_values.setdefault(places, {})[(*map(id, values), *map(id, given))] = held
        if not names.issubset(self._names):
            self._names = tuple(sorted(names.union(self._names)))
            self._by_sections.clear()
        self._keep(self._quick(sections, given), held, sections)
        return held


def _same(some: tuple[Any, ...], others: tuple[Any, ...]) -> bool:
    return all(one is other for one, other in zip(some, others, strict=True))


def watched_call(
    sections: Sections, function: Callable[[WatchedSections], _Answer]
) -> tuple[_Answer, tuple[Place, ...]]:
    """Answer of a function of sections, and the places it looked at."""
    watch = _Watch()
    answer = function(WatchedSections(sections, watch))
    return answer, tuple(watch.looked_at)


def _value(sections: Sections, place: Place) -> Any:
    name, key = place
    return sections[name] if key is None else sections[name].get(key)


def identities(sections: Sections, places: Iterable[Place]) -> Iterator[int]:
    """What stands at the places, each told apart by identity."""
    for name, key in places:
        yield id(sections[name] if key is None else sections[name].get(key))
