"""What stands beside a prediction when a build asks for it: more quantities, limits, flags, words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.operating_point import Choice, Cylinders, Flag, Limit, Remark, Values

__all__ = ["Beside", "Flags", "beside_all", "flagged", "joined_flags"]

Array = NDArray[np.float64]
Flags = tuple[tuple[Flag, ...], ...]
"""Flags of every point."""


@dataclass(frozen=True)
class Beside:
    """Everything a model beside the solver adds. ``flags`` is empty or has an entry a point; the rest as in
    Prediction."""

    quantities: Mapping[str, Array] = field(default_factory=dict)
    limits: tuple[Limit, ...] = ()
    flags: Flags = ()
    remarks: tuple[Remark, ...] = ()
    choices: tuple[Choice, ...] = ()
    constants: Mapping[str, Values] = field(default_factory=dict)
    cylinders: Cylinders | None = None


def flagged(here: NDArray[np.bool_], flag: Flag) -> Flags:
    """The flag at the points (n,) where ``here`` is true."""
    return tuple((flag,) if value else () for value in here)


def joined_flags(*many: Flags) -> Flags:
    """Flags of several models, point by point; an empty one has none."""
    full = [flags for flags in many if flags]
    if not full:
        return ()
    return tuple(tuple(flag for at_point in point for flag in at_point) for point in zip(*full, strict=True))


def beside_all(*parts: Beside) -> Beside:
    """Several of them as one, in their order."""
    return Beside(
        quantities={name: values for part in parts for name, values in part.quantities.items()},
        limits=tuple(limit for part in parts for limit in part.limits),
        flags=joined_flags(*(part.flags for part in parts)),
        remarks=tuple(remark for part in parts for remark in part.remarks),
        choices=tuple(choice for part in parts for choice in part.choices),
        constants={name: values for part in parts for name, values in part.constants.items()},
        cylinders=next((part.cylinders for part in parts if part.cylinders is not None), None),
    )
