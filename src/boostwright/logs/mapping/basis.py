"""Gauge or absolute: what the other channels of a log say of a pressure.

With the engine at rest every pressure is that of the air: near 100 kPa absolute, near 0 gauge. At idle a manifold is
not boosted; wide open it is not throttled. Where none of this can be seen, it is asked.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from boostwright.logs.mapping.facts import Facts
from boostwright.logs.mapping.units_by_value import in_si

__all__ = ["IMPOSSIBLE", "Verdict", "basis_of"]

IMPOSSIBLE = "neither"
"""A verdict of ``basis_of``: in this unit the pressure is no such pressure at all."""

_RPM = 0.10471975511965977


@dataclass(frozen=True)
class Verdict:
    """``basis`` is absolute, gauge or '' where nothing settles it; ``why`` in words."""

    basis: str
    why: str


def basis_of(facts: Facts, unit: str, channel: str, speed: Facts | None, throttle: Facts | None) -> Verdict:
    """What the numbers say.

    unit      unit of the pressure
    speed     the engine speed, its unit settled in ``settled["unit"]``; None where the log has none
    throttle  the throttle opening the same way
    """
    pascal = np.array([in_si(value, "pressure", unit) for value in (facts.low, facts.middle, facts.high)])
    values = facts.raw.values * (in_si(1.0, "pressure", unit) - in_si(0.0, "pressure", unit))
    found = _at_rest(values, facts, speed, channel in ("pressure_im", "boost"))
    if found is not None:
        return found
    if channel in ("pressure_im", "boost"):
        return _manifold(values, pascal, facts, speed, throttle)
    if channel in (
        "pressure_oil",
        "fuel_pressure",
        "gate_pressure",
        "pressure_coolant",
        "pressure_crankcase",
    ):
        if pascal[0] < -3e3:
            return Verdict("gauge", "it goes below zero, which no absolute pressure does")
        return Verdict("", "")
    return _station(values, pascal, facts, speed)


def _speed(facts: Facts, speed: Facts | None) -> np.ndarray | None:
    """Engine speed [rad/s] at the pressure's own times."""
    if speed is None:
        return None
    return speed.at(facts.raw.time) * in_si(1.0, "rotational_speed", speed.settled["unit"])


def _at_rest(values, facts: Facts, speed: Facts | None, pressed: bool) -> Verdict | None:  # type: ignore[no-untyped-def]
    """What the pressure is while the engine stands; ``pressed``: then it can only be the air's."""
    turning = _speed(facts, speed)
    if turning is None:
        return None
    still = np.isfinite(values) & (turning < 1.0)
    if still.sum() < 5:
        return None
    middle, spread = float(np.median(values[still])), float(np.std(values[still]))
    if spread > 5e3:
        return None
    if 65e3 < middle < 108e3:
        return Verdict(
            "absolute", f"with the engine at rest it reads {middle / 1e3:.1f} kPa, the air's own pressure"
        )
    if abs(middle) < 4e3:
        return Verdict(
            "gauge", f"with the engine at rest it reads {middle / 1e3:.1f} kPa, so it counts from the air's"
        )
    return (
        Verdict(IMPOSSIBLE, f"with the engine at rest it reads {middle / 1e3:.1f} kPa, which is neither")
        if pressed
        else None
    )


def _manifold(values, pascal, facts: Facts, speed: Facts | None, throttle: Facts | None) -> Verdict:  # type: ignore[no-untyped-def]
    lowest = float(np.nanpercentile(values, 1)) if np.isfinite(values).any() else np.nan
    if lowest < 8e3:
        return Verdict(
            "gauge",
            f"it goes down to {lowest / 1e3:.1f} kPa, lower than any engine draws its manifold absolute",
        )
    turning = _speed(facts, speed)
    if turning is not None:
        idle = np.isfinite(values) & (turning > 350 * _RPM) & (turning < 1150 * _RPM)
        if idle.sum() >= 10:
            middle = float(np.median(values[idle]))
            if middle > 18e3:
                return Verdict(
                    "absolute",
                    f"at idle it reads {middle / 1e3:.0f} kPa, which as gauge would be boost at idle",
                )
            return Verdict(
                "gauge", f"at idle it reads {middle / 1e3:.0f} kPa, lower than an engine idles at absolute"
            )
        if throttle is not None:
            share = 1e-2 if throttle.settled["unit"] == "%" else 1.0
            wide = np.isfinite(values) & (throttle.at(facts.raw.time) * share > 0.9) & (turning > 1500 * _RPM)
            if wide.sum() >= 10 and float(np.percentile(values[wide], 10)) < 65e3:
                return Verdict("gauge", "wide open it reads less than any air pressure on a road")
    return Verdict("", "")


def _station(values, pascal, facts: Facts, speed: Facts | None) -> Verdict:  # type: ignore[no-untyped-def]
    """A station on the pressure side, or in the exhaust: never far below the air's pressure."""
    if pascal[0] < 40e3:
        return Verdict(
            "gauge",
            f"it goes down to {pascal[0] / 1e3:.0f} kPa, far below any air pressure, where nothing throttles",
        )
    turning = _speed(facts, speed)
    if turning is not None:
        idle = np.isfinite(values) & (turning > 350 * _RPM) & (turning < 1300 * _RPM)
        if idle.sum() >= 10 and float(np.median(values[idle])) > 65e3:
            return Verdict(
                "absolute",
                f"at idle it reads {float(np.median(values[idle])) / 1e3:.0f} kPa, which as gauge would be boost",
            )
    return Verdict("", "")
