"""Fuel flow as logged or by the injectors, and lambda as the probes show it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.facts import InjectorFacts
from boostwright.logs.derived.rows import Missing, Need, Quantity, Rows
from boostwright.logs.derived.uncertain import Uncertain, through, where_valid
from boostwright.physics import fuel_system

__all__ = ["QUANTITIES", "by_injectors", "logged_fuel"]

Array = NDArray[np.float64]
_COUNTED, _COUNTED_ERROR = 14.7, 0.2  # common practice
_STATIC = where_valid(fuel_system.injector_mass_flow)


def logged_fuel(rows: Rows) -> Uncertain:
    """Fuel by mass, or by volume and density. Raises Missing."""

    def by_volume() -> Uncertain:
        volume = rows.channel("volume_flow_fuel")
        facts = rows.facts.fuel
        if facts is None:
            raise Missing(Need("the fuel's density", "a build knows it"))
        density = rows.number("density of the fuel", facts.density, facts.density_share * facts.density)
        return through(np.multiply, volume, density)

    if rows.has("volume_flow_fuel") and not rows.has("mass_flow_fuel"):
        return by_volume()  # so that the density is what is asked for, not a second fuel meter
    return rows.first(lambda: rows.channel("mass_flow_fuel"), by_volume)


def _pressure_over(rows: Rows, facts: InjectorFacts) -> Uncertain:
    """Pressure over the injectors: logged, from the rail, or what the build holds."""

    def from_rail() -> Uncertain:
        rail = rows.channel("fuel_pressure")
        if rows.basis("fuel_pressure") == "gauge":
            rail = through(np.add, rail, rows.get("pressure_amb"))
        elif rows.basis("fuel_pressure") != "absolute":
            raise Missing(Need("basis of fuel_pressure", "say gauge or absolute when importing"))
        return through(np.subtract, rail, rows.get("pressure_im"))

    def held() -> Uncertain:
        rail = rows.number("rail pressure held", facts.rail_pressure, 0.05 * facts.rail_pressure)
        words = f"rail pressure is not logged: {facts.rail_pressure / 1e3:.0f} kPa of the build, within 5 %"
        if facts.rail_over == "manifold":
            return rail.with_flag("rail", words)
        found = through(
            lambda p, amb, im: p + amb - im, rail, rows.get("pressure_amb"), rows.get("pressure_im")
        )
        return found.with_flag("rail", words)

    return rows.first(lambda: rows.channel("injector_pressure_difference"), from_rail, held)


def _open_time(rows: Rows, facts: InjectorFacts) -> Uncertain:
    """Time [s] in a cycle in which one injector is switched on."""

    def by_duty() -> Uncertain:
        return through(
            lambda duty, n: np.where(n > 0.0, duty * 4.0 * np.pi / n, np.nan),
            rows.channel("injector_duty"),
            rows.channel("engine_speed"),
        )

    return rows.first(
        lambda: through(lambda t: t * facts.pulses, rows.channel("injector_time")),
        by_duty,
    )


def by_injectors(rows: Rows) -> Uncertain:
    """Fuel by the time the injectors are open, their flow and the pressure over them. Raises Missing."""
    facts, fuel = rows.facts.injectors, rows.facts.fuel
    if facts is None or fuel is None:
        raise Missing(Need("the injectors' flow and dead time", "[fuel_system] of a build"))
    on = _open_time(rows, facts)
    voltage = (
        rows.channel("voltage_battery")
        if rows.has("voltage_battery")
        else rows.number("battery voltage", facts.usual_voltage, 0.5)
    )
    dead = through(lambda v: np.interp(v, facts.voltage, facts.dead_time), voltage).with_error(
        "dead time of the injectors", facts.dead_time_error / np.sqrt(3.0)
    )
    speed = rows.channel("engine_speed")
    flow = rows.number("flow of the injectors", facts.flow, facts.share * facts.flow)
    shape = rows.time.shape
    at_pressure, liquid = np.full(shape, facts.flow_pressure), np.full(shape, facts.flow_density)
    density = rows.number("density of the fuel", fuel.density, fuel.density_share * fuel.density)
    static = through(
        lambda m, dp, rho: _STATIC(m, dp, at_pressure, rho, liquid),
        flow,
        _pressure_over(rows, facts),
        density,
    )

    def balance(m: Array, t: Array, d: Array, n: Array) -> Array:
        return np.asarray(facts.count * m * np.maximum(t - facts.pulses * d, 0.0) * n / (4.0 * np.pi))

    return through(balance, static, on, dead, speed)


def _lambda(rows: Rows) -> Uncertain:
    """As the probes show it; the mean of several banks."""
    names = rows.samples.numbered("lambda")
    if names:
        return rows.mean(names)
    ratios = rows.samples.numbered("air_fuel_ratio")
    if not ratios:
        raise Missing(Need("channel lambda"))
    counted = rows.number("ratio that the instrument counts with", _COUNTED, _COUNTED_ERROR)
    words = (
        f"air-fuel ratio over {_COUNTED}, by which most instruments count whatever the fuel, within {_COUNTED_ERROR}; "
        "one set to another fuel shows another lambda"
    )
    return through(np.divide, rows.mean(ratios), counted).with_flag("stoichiometric", words)


QUANTITIES = (
    Quantity(
        "lambda",
        "1",
        "lambda as the probes show it",
        "not corrected for pressure",
        "as logged, the mean of several; air-fuel ratio over 14.7",
        _lambda,
    ),
)
"""Lambda; the fuel's flow stands with the air's."""
