"""Valves, gates, pipes and nozzles: chains of the proof."""

from __future__ import annotations

from typing import Any

from boostwright.physics.gas import air, isentropic, orifice, pipe, restriction
from boostwright.physics.turbo import actuator, poppet
from boostwright.proof.chain import chain

__all__ = [
    "flap_pressure_of_diameters",
    "flow_through_bore",
    "flow_through_curtain",
    "friction_of_pipe",
    "governing_area_of_gate",
    "loss_of_pipe",
    "loss_of_restriction",
    "mach_from_area_ratio",
    "mach_round_trip",
    "poppet_pressure_of_diameters",
    "reynolds_of_pipe",
]


@chain("turbo.poppet.curtain_area", "gas.orifice.mass_flow_orifice")
def flow_through_curtain(
    valve_diameter: float,
    lift: float,
    discharge_coefficient: float,
    pressure_upstream: float,
    temperature_upstream: float,
    pressure_downstream: float,
    gas_constant: float,
    heat_capacity_ratio: float,
) -> Any:
    """Mass flow through the curtain of a lifted valve."""
    return orifice.mass_flow_orifice(
        discharge_coefficient,
        poppet.curtain_area(valve_diameter, lift),
        pressure_upstream,
        temperature_upstream,
        pressure_downstream,
        gas_constant,
        heat_capacity_ratio,
    )


@chain("turbo.poppet.seat_area", "gas.orifice.mass_flow_orifice")
def flow_through_bore(
    bore: float,
    discharge_coefficient: float,
    pressure_upstream: float,
    temperature_upstream: float,
    pressure_downstream: float,
    gas_constant: float,
    heat_capacity_ratio: float,
) -> Any:
    """Mass flow through a round opening."""
    return orifice.mass_flow_orifice(
        discharge_coefficient,
        poppet.seat_area(bore, 0.0),
        pressure_upstream,
        temperature_upstream,
        pressure_downstream,
        gas_constant,
        heat_capacity_ratio,
    )


@chain("turbo.poppet.governing_area", "turbo.poppet.curtain_area", "turbo.poppet.seat_area")
def governing_area_of_gate(valve_diameter: float, lift: float) -> Any:
    """Smaller of curtain and bore area without a stem."""
    return poppet.governing_area(
        poppet.curtain_area(valve_diameter, lift), poppet.seat_area(valve_diameter, 0.0)
    )


@chain("turbo.actuator.poppet_opening_pressure")
def poppet_pressure_of_diameters(
    diaphragm_diameter: float,
    valve_diameter: float,
    preload: float,
    spring_rate: float,
    lift: float,
    pressure_difference: float,
) -> Any:
    """Gauge boost at which a poppet gate opens or holds a lift, the head force not falling with lift."""
    head = actuator.head_force_by_lift(
        pressure_difference,
        0.0,
        poppet.seat_area(valve_diameter, 0.0),
        0.0,
        lift,
        1.0,
        0.0,
    )
    area = poppet.seat_area(diaphragm_diameter, 0.0)
    return actuator.poppet_opening_pressure(preload, spring_rate, lift, area, head, 0.0)


@chain("turbo.actuator.flap_opening_pressure")
def flap_pressure_of_diameters(
    diaphragm_diameter: float,
    flap_diameter: float,
    preload: float,
    pressure_difference: float,
    arm_actuator: float,
    arm_flap: float,
) -> Any:
    """Gauge boost at which a swing flap opens."""
    return actuator.flap_opening_pressure(
        preload,
        0.0,
        0.0,
        poppet.seat_area(diaphragm_diameter, 0.0),
        poppet.seat_area(flap_diameter, 0.0),
        pressure_difference,
        arm_actuator,
        arm_flap,
    )


@chain("gas.air.viscosity_sutherland", "gas.pipe.reynolds_number")
def reynolds_of_pipe(mass_flow: float, diameter: float, temperature: float) -> Any:
    """Reynolds number of a pipe with the viscosity of air."""
    return pipe.reynolds_number(mass_flow, diameter, air.viscosity_sutherland(temperature))


@chain("gas.pipe.friction_factor_colebrook")
def friction_of_pipe(mass_flow: float, diameter: float, temperature: float, roughness: float) -> Any:
    """Friction factor of a pipe with the viscosity of air, Colebrook."""
    reynolds = reynolds_of_pipe(mass_flow, diameter, temperature)
    return pipe.friction_factor_colebrook(reynolds, roughness / diameter)


@chain("gas.pipe.pressure_loss_darcy_weisbach", "gas.air.density_ideal_gas")
def loss_of_pipe(
    mass_flow: float,
    diameter: float,
    temperature: float,
    roughness: float,
    length: float,
    loss_coefficient: float,
    pressure: float,
    gas_constant: float,
) -> Any:
    """Pressure loss of a pipe with fittings at the density of its state."""
    friction = friction_of_pipe(mass_flow, diameter, temperature, roughness)
    density = air.density_ideal_gas(pressure, temperature, gas_constant)
    return pipe.pressure_loss_darcy_weisbach(mass_flow, diameter, density, friction, length, loss_coefficient)


@chain("gas.restriction.upstream_pressure_eriksson")
def loss_of_restriction(
    coefficient: float, mass_flow: float, temperature: float, pressure_downstream: float
) -> Any:
    """Pressure loss of a restriction from its downstream pressure."""
    upstream = restriction.upstream_pressure_eriksson(
        coefficient, mass_flow, temperature, pressure_downstream
    )
    return upstream - pressure_downstream


@chain("gas.isentropic.pressure_ratio", "gas.isentropic.mach_number_from_static_pressure")
def mach_round_trip(mach_number: float, heat_capacity_ratio: float) -> Any:
    """Mach number back from the flow and the static pressure that it gives (1 m2, 1 Pa, R T0 = 1)."""
    flow = isentropic.choked_flow_function(heat_capacity_ratio)
    flow = flow / isentropic.area_ratio(mach_number, heat_capacity_ratio)
    static = isentropic.pressure_ratio(mach_number, heat_capacity_ratio)
    return isentropic.mach_number_from_static_pressure(flow, static, 1.0, 1.0, 1.0, heat_capacity_ratio)


@chain("gas.isentropic.area_ratio", "gas.isentropic.mach_number_from_total_pressure")
def mach_from_area_ratio(area_ratio: float, heat_capacity_ratio: float) -> Any:
    """Subsonic Mach number of a duct from its area over the sonic area."""
    flow = isentropic.choked_flow_function(heat_capacity_ratio) / area_ratio
    return isentropic.mach_number_from_total_pressure(flow, 1.0, 1.0, 1.0, 1.0, heat_capacity_ratio)
