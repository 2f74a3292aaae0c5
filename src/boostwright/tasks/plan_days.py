"""The days a plan must hold on: as the build has it, cold, hot, high, with a spike, and the owner's own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from boostwright.build import Build
from boostwright.physics.gas.standard_atmosphere import (
    geopotential_height,
    pressure_altitude,
    standard_pressure,
)

__all__ = ["OWN", "DayOfPlan", "days_of", "pressure_at_altitude"]

OWN = "this day"
"""Name of the build's own day."""

_HIGHER = 50.0  # m: below it the high place is the place of the build
_ZERO_CELSIUS = 273.15


@dataclass(frozen=True)
class DayOfPlan:
    """A day: its short name, a sentence, what it lays over the build, and its spike [-] over the target."""

    name: str
    words: str
    settings: tuple[str, ...]
    spike: float


def pressure_at_altitude(build: Build, altitude: float) -> float:
    """Station pressure [Pa] at an altitude [m] on a day that is as the build's at its own place.

    The standard atmosphere's pressures at both heights, in proportion (ISO 2533); the build's own height is its
    ambient.altitude where that is written, else the height at which the standard atmosphere has its pressure. So at the
    build's own place nothing changes.
    """
    section = build["ambient"]
    pressure = section.si("pressure")
    if section.written("altitude"):
        here = float(geopotential_height(section.si("altitude")))
    else:
        here = float(pressure_altitude(pressure))
    there = float(geopotential_height(altitude))
    return pressure * float(standard_pressure(there)) / float(standard_pressure(here))


def days_of(build: Build) -> tuple[DayOfPlan, ...]:
    """Every day of the plan; the first is the build's own."""
    return tuple(_days(build))


def _days(build: Build) -> Iterator[DayOfPlan]:
    plan, ambient = build["plan"], build["ambient"]
    spike, temperature = plan.si("spike"), ambient.si("temperature")
    colder, hotter = plan.si("colder_by"), plan.si("hotter_by")
    cold = (f"ambient.temperature={temperature - colder:.6g} K",)
    yield DayOfPlan(OWN, "as [ambient] says", (), 0.0)
    if spike > 0.0:
        yield DayOfPlan("spike", f"as [ambient] says, boost {100.0 * spike:g} % over its target", (), spike)
    if colder > 0.0:
        words = f"{temperature - colder - _ZERO_CELSIUS:.0f} degC"
        yield DayOfPlan("cold", words, cold, 0.0)
        if spike > 0.0:
            words += f", boost {100.0 * spike:g} % over its target"
            yield DayOfPlan("cold, spike", words, cold, spike)
    if hotter > 0.0:
        words = f"{temperature + hotter - _ZERO_CELSIUS:.0f} degC"
        yield DayOfPlan("hot", words, (f"ambient.temperature={temperature + hotter:.6g} K",), 0.0)
    altitude = plan.si("altitude")
    pressure = pressure_at_altitude(build, altitude)
    if pressure < float(standard_pressure(_HIGHER)) / float(standard_pressure(0.0)) * ambient.si("pressure"):
        words = f"{altitude:.0f} m, {pressure / 1e3:.1f} kPa, {temperature - _ZERO_CELSIUS:.0f} degC"
        settings = (f"ambient.pressure={pressure:.7g} Pa station", f"ambient.altitude={altitude:.6g} m")
        yield DayOfPlan("altitude", words, settings, 0.0)
    for day in plan.records("days"):
        words = "; ".join(day.settings) or "as [ambient] says"
        if day.spike > 0.0:
            words += f"; boost {100.0 * day.spike:g} % over its target"
        yield DayOfPlan(day.name, words, day.settings, day.spike)
