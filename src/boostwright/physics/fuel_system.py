"""Fuel injectors as orifices with a dead time, and a pump on another voltage than its curve was taken at.

All of it follows from balances: Bernoulli through a fixed hole, time in a cycle, a direct-current motor on a load
that does not change. What a maker's sheet states (flow at a pressure, dead time, pump curve) stays the input.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["injector_duty", "injector_mass_flow", "pump_flow_at_voltage"]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)


@relation(
    source="definition",
    status="definition",
    domain={
        "reference_mass_flow": _ABOVE_ZERO,
        "pressure_difference": _NOT_NEGATIVE,
        "reference_pressure_difference": _ABOVE_ZERO,
        "liquid_density": _ABOVE_ZERO,
        "reference_liquid_density": _ABOVE_ZERO,
    },
)
def injector_mass_flow(
    reference_mass_flow: Number,
    pressure_difference: Number,
    reference_pressure_difference: Number,
    liquid_density: Number,
    reference_liquid_density: Number,
) -> Number:
    """Static flow of one injector on another pressure difference and another liquid.

    reference_mass_flow            (...,)  [kg/s]   measured, held open
    pressure_difference            (...,)  [Pa]     rail over what the injector blows into
    reference_pressure_difference  (...,)  [Pa]     at which the flow was measured
    liquid_density                 (...,)  [kg/m3]  of the fuel
    reference_liquid_density       (...,)  [kg/m3]  of the liquid it was measured with
    Returns (...,) [kg/s], as the root of density times pressure difference; volume flow goes with the root of
    pressure difference over density. Raises OutOfDomain outside the ranges given.
    Source: Bernoulli's equation for an incompressible liquid and one discharge coefficient; viscosity (a few per
    cent between petrol and alcohol) is not in it."""
    driving = pressure_difference * liquid_density
    reference = reference_pressure_difference * reference_liquid_density
    result: Number = reference_mass_flow * np.sqrt(driving / reference)
    return result


@relation(
    source="definition",
    status="definition",
    domain={
        "mass_flow_fuel": _NOT_NEGATIVE,
        "injector_count": _ABOVE_ZERO,
        "static_mass_flow": _ABOVE_ZERO,
        "engine_speed": _ABOVE_ZERO,
        "dead_time": _NOT_NEGATIVE,
        "injections_per_cycle": _ABOVE_ZERO,
        "injection_window": _ABOVE_ZERO,
    },
)
def injector_duty(
    mass_flow_fuel: Number,
    injector_count: Number,
    static_mass_flow: Number,
    engine_speed: Number,
    dead_time: Number,
    injections_per_cycle: Number,
    injection_window: Number,
) -> Number:
    """Share of the time at hand for which the injectors are switched on, four-stroke.

    mass_flow_fuel        (...,)  [kg/s]   of the whole engine
    injector_count        (...,)  [-]      injectors that share it
    static_mass_flow      (...,)  [kg/s]   of one injector held open, at its pressure difference
    engine_speed          (...,)  [rad/s]  of the crankshaft
    dead_time             (...,)  [s]      switched on before fuel flows, less what flows after switching off
    injections_per_cycle  (...,)  [-]      pulses of one injector in two crankshaft revolutions
    injection_window      (...,)  [rad]    crank angle in which fuel may be injected; 4 pi is the whole cycle
    Returns (...,) [-]; above 1 the fuel does not fit in. Raises OutOfDomain outside the ranges given.
    Source: balance of fuel and time over one cycle."""
    cycle = 4.0 * np.pi / engine_speed
    flowing = mass_flow_fuel / (injector_count * static_mass_flow) * cycle
    result: Number = (flowing + injections_per_cycle * dead_time) * engine_speed / injection_window
    return result


@relation(
    source="definition",
    status="definition",
    domain={
        "pump_flow": _NOT_NEGATIVE,
        "pump_free_flow": _NOT_NEGATIVE,
        "voltage": _NOT_NEGATIVE,
        "reference_voltage": _ABOVE_ZERO,
    },
)
def pump_flow_at_voltage(
    pump_flow: Number, pump_free_flow: Number, voltage: Number, reference_voltage: Number
) -> Number:
    """Flow of an electric displacement pump at the same pressure on another voltage.

    pump_flow          (...,)  [m3/s]  at that pressure and the reference voltage
    pump_free_flow     (...,)  [m3/s]  at no pressure and the reference voltage
    voltage            (...,)  [V]     at the pump's own terminals, engine running
    reference_voltage  (...,)  [V]     at which the curve was taken
    Returns (...,) [m3/s], not below zero. Raises OutOfDomain outside the ranges given.
    Source: balance. At one pressure the torque, and with it current and resistive drop, stay as they are, so speed
    changes by the change of voltage over the motor's constant, and leakage stays. The loss in per cent is therefore
    larger the nearer the pump is to its end: flow in proportion to voltage would flatter it."""
    changed = pump_flow + pump_free_flow * (voltage - reference_voltage) / reference_voltage
    result: Number = np.maximum(changed, 0.0 * changed)
    return result
