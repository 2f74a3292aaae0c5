"""Values with their sources of error by name, carried through formulas.

Every source of error is moved by its standard deviation up and down, in all quantities it touches at once, and half of
what comes out is its share of the result (law of propagation of uncertainty, JCGM 100:2008, 5.1 and 5.2, with finite
differences as a note to its 5.1.3 allows; from memory). So an error that two inputs share, such as that of one
barometer, adds or cancels before shares are squared. Sources are independent of each other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from boostwright.physics.relation import Relation

__all__ = [
    "BAND",
    "NOISE",
    "OTHER_ERRORS",
    "OTHER_NOISE",
    "Uncertain",
    "exact",
    "joined",
    "known",
    "through",
    "where_valid",
]

Array = NDArray[np.float64]

BAND = 1.6448536269514722
"""Standard deviations to either side that hold 90 % of a normal distribution."""
NOISE = "noise of "
"""Beginning of the name of a source that is new in every row; all others are the same for the whole log."""
OTHER_NOISE, OTHER_ERRORS = f"{NOISE}other channels", "other errors"
"""What the sources that are not named one by one are called together, in a long log."""
_NAMED = 2
_FLAT = 1.0 / np.sqrt(3.0)


@dataclass(frozen=True, eq=False)
class Uncertain:
    """A quantity at some instants.

    value  (n,) SI; NaN where there is none
    parts  name of a source of error -> what one standard deviation of it does (n,), with its sign
    flags  code -> sentence: what a reader must know of it
    """

    value: Array
    parts: Mapping[str, NDArray[np.floating[Any]]] = field(default_factory=dict)
    flags: Mapping[str, str] = field(default_factory=dict)

    @property
    def sigma(self) -> Array:
        """Standard deviation (n,), all sources together."""
        return self._root(lambda name: True)

    @property
    def sigma_of_rows(self) -> Array:
        """Standard deviation (n,) of what differs from row to row."""
        return self._root(lambda name: name.startswith(NOISE))

    @property
    def sigma_of_log(self) -> Array:
        """Standard deviation (n,) of what is the same in every row: no mean makes it smaller."""
        return self._root(lambda name: not name.startswith(NOISE))

    @property
    def low(self) -> Array:
        """Lower end (n,) of the band that holds 90 %."""
        return self.value - BAND * self.sigma

    @property
    def high(self) -> Array:
        """Upper end (n,) of the band that holds 90 %."""
        return self.value + BAND * self.sigma

    def _root(self, taken: Callable[[str], bool]) -> Array:
        total = np.zeros(self.value.shape)
        for name, part in self.parts.items():
            if taken(name):
                total += part * part
        return np.asarray(np.sqrt(total))

    def with_error(self, name: str, sigma: float | Array) -> Uncertain:
        """The same with one more source of error, of standard deviation ``sigma``, (n,) or one for all."""
        part = np.broadcast_to(np.asarray(sigma, dtype=float), self.value.shape)
        if name in self.parts:
            part = np.hypot(part, self.parts[name])
        return replace(self, parts={**self.parts, name: part})

    def with_flag(self, code: str, sentence: str) -> Uncertain:
        """The same with something its reader must know."""
        return replace(self, flags={**self.flags, code: sentence})

    def cut(self, rows: slice) -> Uncertain:
        """Some of the instants."""
        return Uncertain(
            self.value[rows], {name: part[rows] for name, part in self.parts.items()}, self.flags
        )

    def in_brief(self) -> Uncertain:
        """The same with its largest sources by name, and the rest together: noise, and what is the same in all rows."""
        named = [name for name, _ in self.largest(_NAMED)]
        rest = {OTHER_NOISE: np.zeros(self.value.shape), OTHER_ERRORS: np.zeros(self.value.shape)}
        for name, part in self.parts.items():
            if name not in named:
                rest[OTHER_NOISE if name.startswith(NOISE) else OTHER_ERRORS] += part * part
        brief = {name: self.parts[name] for name in named}
        brief |= {name: np.sqrt(total) for name, total in rest.items()}
        parts = {name: part.astype(np.float32) for name, part in brief.items()}
        return Uncertain(self.value, parts, self.flags)

    def only(self, where: NDArray[np.bool_]) -> Uncertain:
        """The same, with no value where ``where`` (n,) is False."""
        return replace(self, value=np.where(where, self.value, np.nan))

    def largest(self, count: int = 3) -> tuple[tuple[str, float], ...]:
        """The sources that matter most, each with its share [-] of the variance, the mean over the rows."""
        alive = np.isfinite(self.value)
        total = float(np.nanmean(self.sigma[alive] ** 2)) if alive.any() else 0.0
        if not total > 0.0:
            return ()
        shares = {name: float(np.nanmean(part[alive] ** 2)) / total for name, part in self.parts.items()}
        order = sorted(shares, key=lambda name: (-shares[name], name))
        return tuple((name, shares[name]) for name in order[:count] if shares[name] > 1e-3)


def joined(pieces: Sequence[Uncertain]) -> Uncertain:
    """Pieces one after the other; a source that a piece does not name does nothing there. Of flags the first stands."""
    names = dict.fromkeys(name for piece in pieces for name in piece.parts)
    parts = {
        name: np.concatenate(
            [piece.parts.get(name, np.zeros(piece.value.shape, dtype=np.float32)) for piece in pieces]
        )
        for name in names
    }
    flags: dict[str, str] = {}
    for piece in pieces:
        flags = {**piece.flags, **flags}
    return Uncertain(np.concatenate([piece.value for piece in pieces]), parts, flags)


def exact(value: float | Array, like: Array) -> Uncertain:
    """A value without error, at the instants of ``like`` (n,)."""
    return Uncertain(np.broadcast_to(np.asarray(value, dtype=float), like.shape).astype(float))


def known(name: str, value: float | Array, largest: float | Array, like: Array) -> Uncertain:
    """A value whose error is at most ``largest`` to either side and anything within: standard deviation /sqrt(3)."""
    return exact(value, like).with_error(name, np.asarray(largest) * _FLAT)


def through(formula: Callable[..., Any], *arguments: Uncertain) -> Uncertain:
    """What a formula of arrays (n,) makes of uncertain arguments."""
    with np.errstate(all="ignore"):
        value = np.asarray(formula(*(one.value for one in arguments)), dtype=float)
        parts = {name: _part(formula, arguments, name, value) for one in arguments for name in one.parts}
    flags: dict[str, str] = {}
    for one in arguments:
        flags |= one.flags
    return Uncertain(value, parts, flags)


def _part(formula: Callable[..., Any], arguments: tuple[Uncertain, ...], name: str, middle: Array) -> Array:
    """What one standard deviation of a source does; one-sided where the formula has no answer on the other side."""
    up = np.asarray(formula(*(_moved(one, name, 1.0) for one in arguments)), dtype=float)
    down = np.asarray(formula(*(_moved(one, name, -1.0) for one in arguments)), dtype=float)
    found: Array = 0.5 * (up - down)
    lost = ~np.isfinite(found)
    if lost.any():
        one_sided = np.where(np.isfinite(up), up - middle, middle - down)[lost]
        found[lost] = np.where(np.isfinite(one_sided), one_sided, 0.0)
    return found


def _moved(one: Uncertain, name: str, by: float) -> Array:
    part = one.parts.get(name)
    return one.value if part is None else one.value + by * part


def where_valid(relation: Relation) -> Callable[..., Array]:
    """A relation that answers NaN, in place of an error, where an argument lies outside its domain."""

    def formula(*arguments: Any) -> Array:
        arrays = np.broadcast_arrays(*(np.asarray(one, dtype=float) for one in arguments))
        inside = np.ones(arrays[0].shape, dtype=bool)
        for name, one in zip(relation.signature.parameters, arrays, strict=False):
            if name in relation.domain:
                inside &= ~relation.domain[name].outside(one)
        with np.errstate(all="ignore"):
            return np.where(inside, relation.formula(*arrays), np.nan)

    return formula
