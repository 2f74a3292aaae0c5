"""At which readings a pull is stopped: numbers from the plan, from the limits, and from what the owner set."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from boostwright.build import Build
from boostwright.tasks.plan_result import Plan

__all__ = ["StopValue", "lean_limit", "stop_values"]

_FUEL_FALL = 0.05  # of the pressure difference over the injectors; own estimate
_LEAN = 0.05  # lambda above its target; common practice


@dataclass(frozen=True)
class StopValue:
    """One reading that stops a pull.

    quantity  name of the quantity, as in a prediction where there is one
    words     what is read
    side      'above' or 'below'
    value     SI; nan where nobody has set it
    expected  highest (lowest for 'below') the plan expects on its own day, SI; nan where it says nothing
    unit      SI unit; basis 'absolute', 'gauge' or ''
    source    where the number is from, or what would set it
    """

    quantity: str
    words: str
    side: str
    value: float
    expected: float
    unit: str
    basis: str
    source: str


def stop_values(build: Build, plan: Plan) -> tuple[StopValue, ...]:
    """Every reading that stops a pull, the quickest to break something first."""
    return tuple(_values(build, plan))


def lean_limit(build: Build) -> float:
    """How far above its target lambda may stand [-]: the owner's, else common practice."""
    safe = build["fail_safes"]
    return safe.si("lean_cut") if safe.has("lean_cut") else _LEAN


def _most(plan: Plan, name: str) -> float:
    """Highest value along the plan's own day, SI."""
    if name not in plan.prediction.quantities or not np.isfinite(plan[name]).any():
        return math.nan
    return float(np.nanmax(plan[name]))


def _limit(plan: Plan, name: str) -> tuple[float, str]:
    """Lowest value of a limit along the plan, and where it is from."""
    for limit in plan.prediction.limits:
        if limit.name == name and np.isfinite(limit.limit).any():
            return float(np.nanmin(limit.limit)), limit.source
    return math.nan, ""


def _values(build: Build, plan: Plan) -> Iterator[StopValue]:
    safe = build["fail_safes"]

    def own(key: str) -> float:
        return safe.si(key) if safe.has(key) else math.nan

    def said(key: str) -> str:
        return f"build, fail_safes.{key}" if safe.has(key) else f"not set: fail_safes.{key}"

    yield StopValue(
        "knock", "knock, by ear or sensor", "above", 0.0, math.nan, "1", "", "any: knock is a stop"
    )
    table = _most(plan, "pressure_im")
    cut = own("boost_cut")
    yield StopValue(
        "pressure_im", "manifold pressure, cut", "above", cut, table, "Pa", "absolute", said("boost_cut")
    )
    if math.isfinite(cut):
        gauge, expected = cut - plan.pressure_amb, table - plan.pressure_amb
        yield StopValue(
            "boost", "the same above the barometer", "above", gauge, expected, "Pa", "gauge", "this day"
        )
    source = said("lean_cut") if safe.has("lean_cut") else "common practice"
    lean = lean_limit(build)
    yield StopValue(
        "lambda_error", "lambda above its target, lag passed", "above", lean, 0.0, "1", "", source
    )
    egt, source = _limit(plan, "egt")
    source = source or "not set: limits.egt_reading"
    yield StopValue("egt_reading", "EGT reading", "above", egt, _most(plan, "egt_reading"), "K", "", source)
    shaft, source = _limit(plan, "shaft-speed")
    yield StopValue(
        "shaft_speed", "shaft speed", "above", shaft, _most(plan, "shaft_speed"), "rad/s", "", source
    )
    yield from _fuel(plan)
    oil = own("oil_pressure_least")
    yield StopValue(
        "oil_pressure",
        "oil pressure at the top",
        "below",
        oil,
        math.nan,
        "Pa",
        "gauge",
        said("oil_pressure_least"),
    )
    coolant = own("coolant_temperature_most")
    source = said("coolant_temperature_most")
    yield StopValue("temperature_coolant", "coolant temperature", "above", coolant, math.nan, "K", "", source)
    charge, source = _limit(plan, "charge-temperature")
    if math.isfinite(charge):
        expected = _most(plan, "temperature_im")
        yield StopValue("temperature_im", "charge temperature", "above", charge, expected, "K", "", source)


def _fuel(plan: Plan) -> Iterator[StopValue]:
    name = "injector_pressure_difference"
    if name not in plan.prediction.quantities or not np.isfinite(plan[name]).any():
        source = "not known: describe [fuel_system]"
        words = "fuel pressure less manifold pressure"
        yield StopValue(name, words, "below", math.nan, math.nan, "Pa", "", source)
        return
    least = float(np.nanmin(plan[name]))
    source = f"{100.0 * _FUEL_FALL:.0f} % below what the plan expects, own estimate"
    words = "fuel pressure less manifold pressure"
    yield StopValue(name, words, "below", (1.0 - _FUEL_FALL) * least, least, "Pa", "", source)
    duty, source = _limit(plan, "injector")
    yield StopValue(
        "injector_duty", "duty of the injectors", "above", duty, _most(plan, "injector_duty"), "1", "", source
    )
