"""What the doubt about knock is worth in torque and exhaust temperature, where the knock limit sets the spark."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.solve.cylinder_quantities import KNOCK_TEMPERATURE_BAND, knock_multiplier_band
from boostwright.solve.operating_point import Remark
from boostwright.solve.problem import Problem
from boostwright.solve.quantities import quantities_of
from boostwright.solve.run import solve
from boostwright.tasks.beside import Beside

__all__ = ["knock_band"]

Array = NDArray[np.float64]
_RPM = 30.0 / np.pi
_ZERO_CELSIUS = 273.15
_DEGREE = np.pi / 180.0


def knock_band(build: Build, problem: Problem, q: Mapping[str, Array], speed_limit: float) -> Beside:
    """Torque and exhaust temperature with the engine solved again at both ends of the knock band.

    q  quantities along the points (n,), SI. Nothing where something else sets the spark.
    """
    if problem.spark.set_by != "knock-limit":
        return Beside()
    section = build["spark"]
    low, high = knock_multiplier_band(section)
    middle = section.si("knock_multiplier")
    found = {}
    for name, multiplier, hotter in (
        ("early", low, -KNOCK_TEMPERATURE_BAND),
        ("late", high, KNOCK_TEMPERATURE_BAND),
    ):
        points = problem.points.copy()
        points["spark_limit"] -= np.log(multiplier / middle)
        points["trapped_temperature_shift"] += hotter
        there = replace(problem, points=points)
        edge = quantities_of(build, there, solve(there), speed_limit)
        found[f"torque_knock_{name}"] = edge["torque"]
        found[f"temperature_em_knock_{name}"] = edge["temperature_em"]
    return Beside(quantities=found, remarks=_remark(q, found, section.written("knock_multiplier")))


def _remark(q: Mapping[str, Array], found: Mapping[str, Array], fitted: bool) -> tuple[Remark, ...]:
    """The band at the point of most torque that is steady at both ends of the band, in words."""
    whole = np.isfinite(q["torque"])
    for values in found.values():
        whole &= np.isfinite(values)
    if not whole.any():
        return ()
    i = int(np.argmax(np.where(whole, q["torque"], -np.inf)))
    best = q["best_phasing"][i] / _DEGREE
    angles = [q[name][i] / _DEGREE for name in ("knock_limited_phasing_early", "knock_limited_phasing_late")]
    hot = [found[f"temperature_em_knock_{name}"][i] - _ZERO_CELSIUS for name in ("early", "late")]
    torque = [found[f"torque_knock_{name}"][i] for name in ("late", "early")]
    known = "the multiplier you gave" if fitted else "a multiplier that nobody has fitted"
    if angles[1] <= best:
        message = (
            f"knock: at {q['engine_speed'][i] * _RPM:.0f} rpm it asks for nothing even at the bad end of what the "
            f"correlation is worth, with {known}"
        )
        return (Remark("knock-band", message, None, "", "model"),)
    message = (
        f"knock: at {q['engine_speed'][i] * _RPM:.0f} rpm CA50 may have to stand anywhere from "
        f"{max(angles[0], best):.0f} to {angles[1]:.0f} deg with {known}: "
        f"{torque[0]:.0f} to {torque[1]:.0f} Nm, gas at the turbine {hot[0]:.0f} to {hot[1]:.0f} degC; one "
        "knock-limited point of your own narrows it"
    )
    return (Remark("knock-band", message, None, "", "model"),)
