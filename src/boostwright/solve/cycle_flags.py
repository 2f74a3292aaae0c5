"""What must be known of the closed cycle at a solved point: the table's box left, knock at its end or not predicted."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.operating_point import Flag
from boostwright.solve.problem import Problem

__all__ = ["cycle_flags"]

Array = NDArray[np.float64]
_RPM = 30.0 / math.pi
_DEGREE = math.pi / 180.0
_VOLUME = 8  # place of the logarithm of the volume at intake closing in the head of a row
_AT_END = 0.05 * _DEGREE  # as near to the table's last angle, the search for the knock limit has run into it
# box's name -> (words, unit, factor to the unit, digits)
_SHOWN = {
    "engine_speed": ("engine speed", "rpm", _RPM, 0),
    "density": ("density of the charge at intake closing", "kg/m3", 1.0, 2),
    "temperature": ("temperature of the charge at intake closing", "K", 1.0, 0),
    "lambda_value": ("lambda", "", 1.0, 3),
    "residual_fraction": ("residual fraction", "", 1.0, 3),
    "angle_half_burned": ("CA50", "deg", 1.0 / _DEGREE, 1),
}


def cycle_flags(problem: Problem, q: Mapping[str, Array]) -> tuple[tuple[Flag, ...], ...]:
    """Flags of every point, for solved points to carry.

    q  quantities along the points (n,), SI; a point without steady state has nan and gets no flag of the box
    Codes: 'outside-cycle-table', which names every variable that left the box; 'knocks-at-latest' where the knock limit
    asks for a later CA50 than the table's last; 'knock-not-predicted'.
    """
    values = {
        "engine_speed": problem.speeds,
        "density": q["trapped_mass"] / np.exp(problem.rows[:, _VOLUME]),
        "temperature": q["trapped_temperature"],
        "lambda_value": problem.mixture.lambda_value,
        "residual_fraction": q["residual_fraction"],
        "angle_half_burned": q["angle_half_burned"],
    }
    outside = problem.cycle.outside(**values)
    latest = _at_latest(problem, q)
    predicted = problem.engine.cycle.fuel.octane_number > 0.0
    found: list[tuple[Flag, ...]] = []
    for i in range(problem.speeds.size):
        left = [
            _left(name, float(value[i]), getattr(problem.cycle.box, name))
            for name, value in values.items()
            if outside[name][i] and np.isfinite(value[i]) and not (latest[i] and name == "angle_half_burned")
        ]
        here = [_outside(left)] if left else []
        if latest[i]:
            here.append(_knocks_at_latest(problem, float(q["knock_integral"][i])))
        if not predicted:
            here.append(
                Flag(
                    "knock-not-predicted",
                    "knock is not predicted for this fuel: nothing here says whether the spark is too early",
                    "note",
                )
            )
        found.append(tuple(here))
    return tuple(found)


def _at_latest(problem: Problem, q: Mapping[str, Array]) -> NDArray[np.bool_]:
    """(n,) True where the knock limit set the spark, and found no angle in the table that is late enough."""
    if problem.spark.set_by != "knock-limit":
        return np.zeros(problem.speeds.shape, dtype=bool)
    last = problem.cycle.box.angle_half_burned[1]
    with np.errstate(invalid="ignore"):
        return np.asarray((q["angle_half_burned"] >= last - _AT_END) & (q["knock_integral"] > 1.0))


def _left(name: str, value: float, box: tuple[float, float]) -> str:
    """Variable, value and range, in words."""
    words, unit, factor, digits = _SHOWN[name]
    shown, low, high = (f"{number * factor:.{digits}f}" for number in (value, *box))
    return f"{words} {shown}{' ' if unit else ''}{unit} (known from {low} to {high})"


def _outside(left: list[str]) -> Flag:
    return Flag(
        "outside-cycle-table",
        f"outside the table of closed cycles: {', '.join(left)}; work, heat and knock are those of its edge",
    )


def _knocks_at_latest(problem: Problem, integral: float) -> Flag:
    last = problem.cycle.box.angle_half_burned[1] / _DEGREE
    return Flag(
        "knocks-at-latest",
        f"knock integral {integral:.2f} with CA50 at {last:.0f} deg, the latest the table knows: no spark here is free "
        "of knock; less boost, a cooler charge or more octane is",
    )
