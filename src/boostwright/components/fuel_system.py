"""Fuel system: duty of the injectors and flow left in the pump, from the fuel the engine takes."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Section
from boostwright.physics import fuel_system
from boostwright.units import unit_names

__all__ = [
    "TEST_LIQUIDS",
    "FuelDemand",
    "dead_time",
    "has_injectors",
    "has_pump",
    "injector_figures",
    "injector_reference",
    "pump_figures",
    "pump_outlet_pressure",
    "pump_range",
]

Array = NDArray[np.float64]
_WHOLE_CYCLE = 4.0 * np.pi

TEST_LIQUIDS = MappingProxyType({"n-heptane": 684.0, "petrol": 745.0})
"""Density [kg/m3] of what injectors are measured with. n-heptane at 20 degC: handbooks, from memory; petrol: middle of
the band of EN 228:2012, from memory."""


@dataclass(frozen=True)
class FuelDemand:
    """What the engine asks of its fuel system along the points (n,), nan where there is no steady state.

    mass_flow [kg/s], density [kg/m3] of the fuel, engine_speed [rad/s], pressure_im and pressure_amb [Pa] absolute
    """

    mass_flow: Array
    density: float
    engine_speed: Array
    pressure_im: Array
    pressure_amb: Array

    @property
    def solved(self) -> NDArray[np.bool_]:
        """(n,) True where there is a demand."""
        return np.isfinite(self.mass_flow) & np.isfinite(self.pressure_im)


def has_injectors(section: Section) -> bool:
    """True when the [fuel_system] section describes injectors."""
    return section.text("injection") != "none"


def has_pump(section: Section) -> bool:
    """True when the [fuel_system] section describes a pump."""
    return section.text("pump") != "none"


def injector_reference(section: Section) -> tuple[float, float]:
    """Measured flow [kg/s] of one injector and the density [kg/m3] of the liquid it was measured with."""
    liquid = section.text("injector_test_liquid")
    density = section.si("injector_test_density") if liquid == "other" else TEST_LIQUIDS[liquid]
    flow = section.si("injector_flow")
    if section.values["injector_flow"].unit in unit_names("mass_flow"):
        return flow, density
    return flow * density, density


def dead_time(section: Section) -> float:
    """Dead time [s] at the voltage of the section; the end value holds outside the curve, which the check warns of."""
    curve = section.points("dead_time")
    return float(np.interp(section.si("injector_voltage"), curve.axis_points, curve.value_points))


def _rail_gauge(section: Section, demand: FuelDemand) -> Array:
    """Pressure [Pa] in the rail above the air outside."""
    held = section.si("rail_pressure")
    if section.text("rail_reference") == "manifold":
        return np.asarray(held + demand.pressure_im - demand.pressure_amb)
    return np.where(demand.solved, held, np.nan)


def injector_figures(section: Section, demand: FuelDemand) -> dict[str, Array]:
    """Rail pressure, pressure over the injectors, duty and margin; no duty where nothing drives the fuel.

    A direct injector is taken to blow into the pressure of the intake manifold: at the rail pressures it has, the
    compression stroke changes the root by a few per cent.
    """
    rail = _rail_gauge(section, demand)
    difference = rail + demand.pressure_amb - demand.pressure_im
    usable = demand.solved & (np.where(demand.solved, difference, 0.0) > 0.0)
    reference, density = injector_reference(section)
    direct = section.text("injection") == "direct"
    duty = np.full(rail.shape, np.nan)
    if usable.any():
        static = fuel_system.injector_mass_flow(
            reference, difference[usable], section.si("injector_flow_pressure"), demand.density, density
        )
        duty[usable] = fuel_system.injector_duty(
            demand.mass_flow[usable],
            section.si("injector_count"),
            static,
            demand.engine_speed[usable],
            dead_time(section),
            section.si("injections_per_cycle"),
            section.si("injection_window") if direct else _WHOLE_CYCLE,
        )
    return {
        "volume_flow_fuel": demand.mass_flow / demand.density,
        "rail_pressure": rail,
        "injector_pressure_difference": difference,
        "injector_duty": duty,
        "injector_margin": 1.0 - duty / section.si("highest_duty"),
    }


def pump_range(section: Section) -> tuple[float, float]:
    """Lowest and highest pressure [Pa] gauge of the pump's curve."""
    curve = section.points("pump_flow")
    return curve.axis_points[0], curve.axis_points[-1]


def pump_outlet_pressure(section: Section, demand: FuelDemand) -> Array:
    """Pressure [Pa] gauge the pump works against: rail, or feed of direct injection, and the line's loss."""
    if section.text("injection") == "direct":
        feed = np.where(demand.solved, section.si("feed_pressure"), np.nan)
    else:
        feed = _rail_gauge(section, demand)
    return np.asarray(feed + section.si("line_pressure_drop"))


def pump_figures(section: Section, demand: FuelDemand) -> dict[str, Array]:
    """Flow of the pump or pumps at their outlet pressure and voltage, and the share that is left.

    Beyond the last point of the curve nothing is said; below the first, its flow is taken, which is less than the
    truth. The pump passes the same volume whatever the fuel.
    """
    pressure = pump_outlet_pressure(section, demand)
    curve = section.points("pump_flow")
    places, flows = np.array(curve.axis_points), np.array(curve.value_points)
    inside = demand.solved & (np.where(demand.solved, pressure, np.inf) <= places[-1])
    slope = (flows[1] - flows[0]) / (places[1] - places[0])
    free = flows[0] - slope * places[0]
    flow = np.full(pressure.shape, np.nan)
    if inside.any():
        flow[inside] = section.si("pump_count") * fuel_system.pump_flow_at_voltage(
            np.interp(pressure[inside], places, flows),
            free,
            section.si("pump_voltage"),
            section.si("pump_flow_voltage"),
        )
    margin = np.full(pressure.shape, np.nan)
    flowing = inside & (np.where(inside, flow, 0.0) > 0.0)
    margin[flowing] = 1.0 - demand.mass_flow[flowing] / demand.density / flow[flowing]
    return {"pump_outlet_pressure": pressure, "pump_flow": flow, "pump_margin": margin}
