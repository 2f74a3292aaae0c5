"""Limits of the user's own on any quantity of a prediction."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Section
from boostwright.build.build import OwnLimit
from boostwright.errors import BuildError, Fault
from boostwright.solve.operating_point import Limit

__all__ = ["KIND_OF_UNIT", "own_limits"]

Array = NDArray[np.float64]

KIND_OF_UNIT = {
    "Pa": "pressure",
    "K": "temperature",
    "Nm": "torque",
    "W": "power",
    "kg/s": "mass_flow",
    "m3/s": "volume_flow",
    "rad/s": "rotational_speed",
    "N": "force",
    "rad": "angle",
    "m": "length",
    "kg": "mass",
    "kg/J": "specific_fuel_consumption",
    "1": "dimensionless",
}
"""Kind of quantity by the SI unit that a prediction prints it in."""

_UNIT = {kind: unit for unit, kind in KIND_OF_UNIT.items()}
# By how much a bound of zero is passed before that counts as all of it again.
_SCALE = {"Pa": 1e5, "K": 100.0, "Nm": 100.0, "W": 1e5, "rad/s": 100.0, "N": 1e4}


def own_limits(section: Section, q: Mapping[str, Array]) -> Iterator[Limit]:
    """Each bound of [limits.own.NAME] as a limit ``own-NAME`` (``own-NAME-lower`` for a lower one beside an upper).

    q  quantities along the points (n,), SI. Raises BuildError where a quantity is not in it.
    """
    for one in section.records("own"):
        if one.quantity not in q:
            place = f"build.toml, line {one.line}" if one.line else "build.toml"
            key = f"limits.own.{one.name}.quantity"
            message = "is not reckoned for this build, so that no limit on it can be kept."
            raise BuildError([Fault(place, key, one.quantity, message, line=one.line)])
        if one.upper is not None:
            yield _bound(one, q[one.quantity], one.upper, 1.0, f"own-{one.name}")
        if one.lower is not None:
            name = f"own-{one.name}" if one.upper is None else f"own-{one.name}-lower"
            yield _bound(one, q[one.quantity], one.lower, -1.0, name)


def _bound(one: OwnLimit, values: Array, bound: float, sign: float, name: str) -> Limit:
    """An upper (sign 1) or lower (-1) bound: use 1 with the margin used up, and 1 more a whole bound further."""
    unit = _UNIT.get(one.kind, one.kind)
    scale = abs(bound) if bound != 0.0 else _SCALE.get(unit, 1.0)
    usable = bound - sign * one.margin * scale
    size = abs(usable) if usable != 0.0 else scale
    used = 1.0 + sign * (values - usable) / size
    words = (
        one.words or f"{one.quantity.replace('_', ' ')}, {'highest' if sign > 0.0 else 'lowest'} of your own"
    )
    return Limit(
        name,
        words,
        unit,
        np.full(values.shape, bound),
        used,
        f"build, limits.own.{one.name}",
        one.quantity,
        one.margin,
        "share",
        "stated",
    )
