"""One published relation, one function: the decorator that keeps domain, valid range and source beside it.

A relation is written once, as a formula of numpy functions without branches, so that the same text serves arrays
(direct call) and compiled kernels (``relation.formula`` handed to the compiler). A direct call checks the domain and
raises; a solved state is checked against the valid range once, afterwards, with ``outside_valid_range``.
"""

from __future__ import annotations

import functools
import inspect
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from boostwright.errors import OutOfDomain

__all__ = ["REGISTRY", "Interval", "Relation", "relation"]


@dataclass(frozen=True)
class Interval:
    """Closed interval of a plain SI number; ``open_low``/``open_high`` leave the end itself out."""

    low: float = -math.inf
    high: float = math.inf
    open_low: bool = False
    open_high: bool = False

    def outside(self, values: np.ndarray) -> np.ndarray:
        """Boolean array, True where ``values`` lie outside; NaN counts as outside."""
        above = values > self.low if self.open_low else values >= self.low
        below = values < self.high if self.open_high else values <= self.high
        return np.asarray(~(above & below))

    def holds(self, value: float) -> bool:
        """True where a single number lies inside; NaN does not."""
        above = value > self.low if self.open_low else value >= self.low
        return above and (value < self.high if self.open_high else value <= self.high)

    def holds_all(self, values: np.ndarray) -> bool:
        """True where every one of some numbers lies inside; NaN does not."""
        return self.holds(np.minimum.reduce(values, axis=None)) and (
            self.high == math.inf or self.holds(np.maximum.reduce(values, axis=None))
        )

    def __str__(self) -> str:
        """The interval as text, for messages."""
        left = "(" if self.open_low else "["
        right = ")" if self.open_high else "]"
        return f"{left}{self.low:g}, {self.high:g}{right}"


class Relation:
    """A published relation. Call it with SI floats or arrays; see ``relation`` for what the parts mean."""

    __name__: str

    def __init__(
        self,
        formula: Callable[..., Any],
        domain: Mapping[str, Interval],
        valid: Mapping[str, Interval],
        source: str,
        status: str,
        needs: Mapping[str, Callable[..., Any]],
    ) -> None:
        """Keep the raw formula and what is known of it."""
        self.formula = formula
        self.domain = dict(domain)
        self.valid = dict(valid)
        self.needs = dict(needs)
        self.source = source
        self.status = status
        self.signature = inspect.signature(formula)
        self._names = tuple(self.signature.parameters)
        self._checks = [(self._names.index(name), name, interval) for name, interval in self.domain.items()]
        self._joint = [
            (words, holds, tuple(self._names.index(name) for name in inspect.signature(holds).parameters))
            for words, holds in self.needs.items()
        ]
        functools.update_wrapper(self, formula)

    def __call__(self, *args: Any, **kwargs: Any) -> Any:
        """Evaluate the formula after checking the domain; arrays broadcast as numpy does."""
        if kwargs or len(args) != len(self._names):
            bound = self.signature.bind(*args, **kwargs)
            bound.apply_defaults()
            args = tuple(bound.arguments[name] for name in self._names)
        for index, name, interval in self._checks:
            value = args[index]
            if isinstance(value, float):
                if interval.holds(value):
                    continue
            elif isinstance(value, np.ndarray) and value.size and interval.holds_all(value):
                continue
            self._check(name, interval, np.asarray(value, dtype=float))
        with np.errstate(all="ignore"):
            for words, holds, indices in self._joint:
                held = holds(*(args[index] for index in indices))
                if held is not True and not np.all(held):
                    self._refuse(words, [args[index] for index in indices], indices)
            return self.formula(*args)

    def _refuse(self, words: str, values: list[Any], indices: tuple[int, ...]) -> None:
        """Raise OutOfDomain where arguments do not go together."""
        shown = []
        for value, index in zip(values, indices, strict=True):
            one = np.asarray(value, dtype=float)
            text = f"{float(one):g}" if one.shape == () else f"{np.nanmin(one):g} to {np.nanmax(one):g}"
            shown.append(f"{self._names[index]} = {text}")
        raise OutOfDomain(
            f"{self.__name__}: {words} is asked, not {', '.join(shown)}; the relation has no meaning there."
        )

    def _check(self, name: str, interval: Interval, values: np.ndarray) -> None:
        """Raise OutOfDomain where an argument lies outside its domain."""
        bad = interval.outside(values)
        if bad.any():
            first = np.unravel_index(int(np.argmax(bad)), bad.shape) if bad.shape else ()
            where = f"[{', '.join(str(i) for i in first)}]" if first else ""
            raise OutOfDomain(
                f"{self.__name__}: {name}{where} = {values[first]:g} lies outside {interval}; "
                "the relation has no meaning there."
            )

    def outside_valid_range(self, **values: Any) -> dict[str, np.ndarray]:
        """For each named argument with a published validity range: where it was left (boolean array)."""
        return {
            name: self.valid[name].outside(np.asarray(value, dtype=float))
            for name, value in values.items()
            if name in self.valid
        }


REGISTRY: dict[str, Relation] = {}


def relation(
    *,
    source: str,
    status: str,
    domain: Mapping[str, Interval] | None = None,
    valid: Mapping[str, Interval] | None = None,
    needs: Mapping[str, Callable[..., Any]] | None = None,
) -> Callable[[Callable[..., Any]], Relation]:
    """Declare a physics relation.

    source  key in ``provenance/sources.toml``
    status  one of 'read', 'read second-hand', 'from memory', 'common practice', 'definition', 'own estimate'
    domain  argument -> Interval outside which a direct call raises OutOfDomain
    valid   argument -> Interval that the source states; leaving it is flagged, never refused
    needs   words -> what must hold between arguments, a function of some of them by name; a direct call that breaks
            it raises OutOfDomain with the words
    """

    def wrap(formula: Callable[..., Any]) -> Relation:
        made = Relation(formula, domain or {}, valid or {}, source, status, needs or {})
        REGISTRY[f"{formula.__module__.removeprefix('boostwright.physics.')}.{formula.__name__}"] = made
        return made

    return wrap
