"""Sums of several relations that a published example runs through, each naming the relations it exercises.

A chain holds no physics of its own: only calls, in the order in which a person with a pencil would make
them. The chains themselves stand in ``chains/``, one file a field.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

__all__ = ["CHAINS", "Chain", "chain"]


@dataclass(frozen=True)
class Chain:
    """A named sum and the relations it runs through."""

    function: Callable[..., Any]
    relations: tuple[str, ...]


_CHAINS: dict[str, Chain] = {}
CHAINS: Mapping[str, Chain] = MappingProxyType(_CHAINS)


def chain(*relations: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Register a function of SI numbers as a chain under its own name.

    relations  dotted names below ``physics`` of the relations that it exercises"""

    def keep(function: Callable[..., Any]) -> Callable[..., Any]:
        _CHAINS[function.__name__] = Chain(function, relations)
        return function

    return keep
