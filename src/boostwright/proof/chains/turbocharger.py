"""Turbine, compressor and shaft: chains of the proof."""

from __future__ import annotations

from typing import Any

from boostwright.physics.gas import orifice
from boostwright.physics.turbo import compression, compressor_similarity, shaft, turbine
from boostwright.proof.chain import chain

__all__ = [
    "blade_speed_ratio_of_wheel",
    "compressor_power",
    "efficiency_of_wheel",
    "expansion_ratio_of_balance",
    "jensen_head_coefficient",
    "one_number_turbine_flow",
    "turbine_power",
]


@chain("turbo.turbine.blade_speed_ratio", "turbo.turbine.blade_speed", "turbo.turbine.spouting_velocity")
def blade_speed_ratio_of_wheel(
    diameter: float,
    rotational_speed: float,
    temperature_in: float,
    expansion_ratio: float,
    specific_heat: float,
    heat_capacity_ratio: float,
) -> Any:
    """Blade-speed ratio of a turbine wheel."""
    speed = turbine.blade_speed(diameter, rotational_speed)
    spouting = turbine.spouting_velocity(temperature_in, expansion_ratio, specific_heat, heat_capacity_ratio)
    return turbine.blade_speed_ratio(speed, spouting)


@chain("turbo.turbine.turbine_efficiency_sivertsson_eriksson")
def efficiency_of_wheel(
    diameter: float,
    rotational_speed: float,
    temperature_in: float,
    expansion_ratio: float,
    specific_heat: float,
    heat_capacity_ratio: float,
    peak_efficiency: float,
    best_blade_speed_ratio: float,
    curvature: float,
) -> Any:
    """Turbine efficiency by the published parabola."""
    ratio = blade_speed_ratio_of_wheel(
        diameter, rotational_speed, temperature_in, expansion_ratio, specific_heat, heat_capacity_ratio
    )
    return turbine.turbine_efficiency_sivertsson_eriksson(
        ratio, peak_efficiency, best_blade_speed_ratio, curvature
    )


@chain("turbo.compression.specific_work_compression")
def compressor_power(
    mass_flow: float,
    temperature_in: float,
    pressure_ratio: float,
    efficiency: float,
    specific_heat: float,
    heat_capacity_ratio: float,
) -> Any:
    """Power that a compressor takes up."""
    work = compression.specific_work_compression(
        temperature_in, pressure_ratio, efficiency, specific_heat, heat_capacity_ratio
    )
    return mass_flow * work


@chain("turbo.shaft.expansion_ratio_needed", "turbo.compression.specific_work_compression")
def expansion_ratio_of_balance(
    pressure_ratio: float,
    efficiency_compressor: float,
    efficiency_turbine: float,
    mechanical_efficiency: float,
    temperature_in: float,
    temperature_turbine: float,
    air_fuel_ratio: float,
    specific_heat_exhaust: float,
    heat_capacity_ratio_exhaust: float,
    gate_share: float,
    specific_heat_air: float,
    heat_capacity_ratio_air: float,
) -> Any:
    """Expansion ratio that balances the shaft, per kilogram of air a second."""
    power = compressor_power(
        1.0,
        temperature_in,
        pressure_ratio,
        efficiency_compressor,
        specific_heat_air,
        heat_capacity_ratio_air,
    )
    return shaft.expansion_ratio_needed(
        power,
        (1.0 + 1.0 / air_fuel_ratio) * (1.0 - gate_share),
        temperature_turbine,
        efficiency_turbine,
        mechanical_efficiency,
        specific_heat_exhaust,
        heat_capacity_ratio_exhaust,
    )


@chain("turbo.compressor_similarity.head_coefficient", "turbo.compressor_similarity.isentropic_head")
def jensen_head_coefficient(
    pressure_ratio: float, temperature_in: float, wheel_diameter: float, speed: float
) -> Any:
    """Head coefficient on half the square of the tip speed."""
    head = compressor_similarity.isentropic_head(pressure_ratio, temperature_in)
    tip = compressor_similarity.tip_speed(speed, wheel_diameter)
    return 2.0 * compressor_similarity.head_coefficient(head, tip)


@chain("turbo.turbine.specific_work_expansion")
def turbine_power(
    mass_flow: float,
    temperature_in: float,
    expansion_ratio: float,
    efficiency: float,
    specific_heat: float,
    heat_capacity_ratio: float,
) -> Any:
    """Power that a turbine gives."""
    work = turbine.specific_work_expansion(
        temperature_in, expansion_ratio, efficiency, specific_heat, heat_capacity_ratio
    )
    return mass_flow * work


@chain("turbo.turbine.choked_effective_area", "gas.orifice.mass_flow_orifice")
def one_number_turbine_flow(
    swallowing: float,
    pressure_in: float,
    expansion_ratio: float,
    temperature_in: float,
    gas_constant: float,
    heat_capacity_ratio: float,
) -> Any:
    """Mass flow of a turbine of which only the choked flow is known, as one nozzle."""
    area = turbine.choked_effective_area(swallowing, gas_constant, heat_capacity_ratio)
    return orifice.mass_flow_orifice(
        1.0,
        area,
        pressure_in,
        temperature_in,
        pressure_in / expansion_ratio,
        gas_constant,
        heat_capacity_ratio,
    )
