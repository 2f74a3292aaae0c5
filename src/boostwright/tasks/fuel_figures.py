"""Margins of the fuel system along a prediction: quantities, limits, and what must be known about them."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, Section
from boostwright.cards.card import Card
from boostwright.components.fuel_system import (
    FuelDemand,
    dead_time,
    has_injectors,
    has_pump,
    injector_figures,
    injector_reference,
    pump_figures,
    pump_range,
)
from boostwright.physics.fuel_system import injector_mass_flow
from boostwright.solve.fuel_limits import fuel_limits
from boostwright.solve.operating_point import Choice, Flag
from boostwright.tasks.beside import Beside, Flags, flagged, joined_flags

__all__ = ["fuel_margins", "fuel_system_figures"]

Array = NDArray[np.float64]
_LITRE_PER_HOUR = 3.6e6
_CUBIC_CENTIMETRE_PER_MINUTE = 60e6


def fuel_system_figures(build: Build, fuel: Card, q: Mapping[str, Array]) -> Beside:
    """What the build's [fuel_system] adds to a prediction; nothing when it describes no injectors.

    fuel  the fuel's card, or the blend's
    q     quantities along the points (n,), SI
    """
    section = build["fuel_system"]
    found = fuel_margins(build, fuel, q)
    if not found:
        return Beside()
    demand = _demand(fuel, q)
    flags = [_no_pressure(found, demand)]
    choices = [_injectors(section, fuel)]
    if has_pump(section):
        flags += _pump_flags(section, found, demand)
        choices.append(_pump(section))
    return Beside(
        quantities=found,
        limits=fuel_limits(section, found),
        flags=joined_flags(*flags),
        choices=tuple(choices),
    )


def fuel_margins(build: Build, fuel: Card, q: Mapping[str, Array]) -> dict[str, Array]:
    """Quantities of injectors and pump alone, (n,) in SI; none where the build describes no injectors."""
    section = build["fuel_system"]
    if not has_injectors(section):
        return {}
    demand = _demand(fuel, q)
    found = injector_figures(section, demand)
    if has_pump(section):
        found |= pump_figures(section, demand)
    return found


def _demand(fuel: Card, q: Mapping[str, Array]) -> FuelDemand:
    return FuelDemand(
        q["mass_flow_fuel"], fuel.si("density"), q["engine_speed"], q["pressure_im"], q["pressure_amb"]
    )


def _no_pressure(found: Mapping[str, Array], demand: FuelDemand) -> Flags:
    """Boost above the pressure of a rail that does not follow it."""
    dry = demand.solved & (np.where(demand.solved, found["injector_pressure_difference"], 1.0) <= 0.0)
    message = "the intake manifold stands above the rail: no fuel flows"
    return flagged(dry, Flag("injector-no-pressure", message, "limit"))


def _pump_flags(section: Section, found: Mapping[str, Array], demand: FuelDemand) -> list[Flags]:
    low, high = (end / 1e3 for end in pump_range(section))
    pressure = np.where(demand.solved, found["pump_outlet_pressure"] / 1e3, np.nan)
    with np.errstate(invalid="ignore"):
        beyond, below = pressure > high, pressure < low
        still = found["pump_flow"] <= 0.0
    worst = float(np.nanmax(pressure)) if demand.solved.any() else np.nan
    least = float(np.nanmin(pressure)) if demand.solved.any() else np.nan
    return [
        flagged(
            beyond,
            Flag(
                "pump-beyond-curve",
                f"the pump works against up to {worst:.0f} kPa gauge, and its curve ends at {high:.0f} kPa: its flow "
                "is not predicted",
            ),
        ),
        flagged(
            below,
            Flag(
                "pump-below-curve",
                f"the pump works against down to {least:.0f} kPa gauge, and its curve begins at {low:.0f} kPa: the "
                "flow there is taken, less than the truth",
                "note",
            ),
        ),
        flagged(
            still,
            Flag("pump-no-flow", "at this voltage the pump does not lift the fuel to the rail", "limit"),
        ),
    ]


def _injectors(section: Section, fuel: Card) -> Choice:
    reference, density = injector_reference(section)
    held = section.si("rail_pressure")
    static = float(
        injector_mass_flow(reference, held, section.si("injector_flow_pressure"), fuel.si("density"), density)
    )
    above = "intake manifold" if section.text("rail_reference") == "manifold" else "air outside"
    volume = static / fuel.si("density") * _CUBIC_CENTIMETRE_PER_MINUTE
    words = (
        f"{section.integer('injector_count')} {section.text('injection')} injectors, {volume:.0f} cm3/min "
        f"({1e3 * static:.2f} g/s) of this fuel held open at {held / 1e3:.0f} kPa, dead time "
        f"{1e3 * dead_time(section):.2f} ms; rail held above the {above}"
    )
    return Choice("fuel system", words, "build")


def _pump(section: Section) -> Choice:
    curve = section.points("pump_flow")
    flows = [f"{flow * _LITRE_PER_HOUR:.0f}" for flow in (curve.value_points[0], curve.value_points[-1])]
    ends = [f"{end / 1e3:.0f}" for end in pump_range(section)]
    words = (
        f"{section.integer('pump_count')} by its curve, {flows[0]} L/h at {ends[0]} to {flows[1]} L/h at {ends[1]} kPa "
        f"gauge and {section.as_written('pump_flow_voltage')}, brought to {section.as_written('pump_voltage')} as a "
        "displacement pump"
    )
    return Choice("fuel pump", words, "build")
