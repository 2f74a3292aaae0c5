"""The wideband lambda probe: its pump current, what pressure does to it, and how long gas takes to reach it."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "LEANEST",
    "REFERENCE_PRESSURE",
    "RICHEST",
    "gas_transport_time",
    "lambda_of_pump_current",
    "pump_current",
    "pump_current_pressure_factor",
]

REFERENCE_PRESSURE = 101300.0
"""Absolute pressure [Pa] at which a reading needs no correction."""

_ABOVE_ZERO = Interval(0.0, open_low=True)
_LAMBDA = np.array([0.65, 0.70, 0.75, 0.80, 0.85, 0.90, 0.95, 1.003, 1.10, 1.179, 1.429, 1.701])
_CURRENT = 1e-3 * np.array(
    [-2.0, -1.602, -1.243, -0.927, -0.652, -0.405, -0.183, 0.0, 0.193, 0.329, 0.671, 0.938]
)
RICHEST, LEANEST = float(_LAMBDA[0]), float(_LAMBDA[-1])
"""Ends of the table of pump currents [-]."""


@relation(
    source="wideband-probe-information",
    status="from memory",
    domain={"pressure": _ABOVE_ZERO, "reference_pressure": _ABOVE_ZERO, "coefficient": _ABOVE_ZERO},
    valid={"pressure": Interval(0.5e5, 2.5e5)},
)
def pump_current_pressure_factor(pressure: Number, reference_pressure: Number, coefficient: Number) -> Number:
    """Pump current of a limiting-current probe over that at the reference pressure, the gas being the same.

    pressure            (...,)  [Pa]  absolute, at the probe
    reference_pressure  (...,)  [Pa]  absolute
    coefficient         (...,)  [Pa]  k; 47 kPa in lean gas, rich gas not confirmed
    Returns (...,) [-]. Raises OutOfDomain for an argument not above 0.
    Source: sensor maker's technical information, form and k from memory: p/(k+p) (k+p0)/p0. The form is that of
    molecules that meet each other and the walls of the barrier's pores: the one resistance goes with pressure, the
    other does not, and k is the pressure at which they are equal."""
    return pressure / (coefficient + pressure) * (coefficient + reference_pressure) / reference_pressure


@relation(
    source="wideband-probe-information",
    status="from memory",
    domain={"air_ratio": Interval(RICHEST, LEANEST)},
)
def pump_current(air_ratio: Number) -> Number:
    """Nominal pump current of a limiting-current probe at the reference pressure.

    air_ratio  (...,)  [-]  lambda, 0.65 to 1.701
    Returns (...,) [A], negative in rich gas. Raises OutOfDomain outside the table.
    Source: nominal pairs of a widely used planar probe, from memory; straight lines between them. Only ratios of the
    current are used here, so its size does not count."""
    result: Number = np.interp(air_ratio, _LAMBDA, _CURRENT)
    return result


@relation(
    source="wideband-probe-information",
    status="from memory",
    domain={"current": Interval(float(_CURRENT[0]), float(_CURRENT[-1]))},
)
def lambda_of_pump_current(current: Number) -> Number:
    """Lambda that belongs to a nominal pump current at the reference pressure.

    current  (...,)  [A]  -2 mA to 0.938 mA
    Returns (...,) [-]. Raises OutOfDomain outside the table.
    Source: pump_current, turned round."""
    result: Number = np.interp(current, _CURRENT, _LAMBDA)
    return result


@relation(
    source="definition",
    status="definition",
    domain={
        "volume": Interval(0.0),
        "mass_flow": _ABOVE_ZERO,
        "temperature": _ABOVE_ZERO,
        "pressure": _ABOVE_ZERO,
        "gas_constant": _ABOVE_ZERO,
    },
)
def gas_transport_time(
    volume: Number, mass_flow: Number, temperature: Number, pressure: Number, gas_constant: Number
) -> Number:
    """Time gas takes through a volume that it passes without mixing.

    volume        (...,)  [m3]        from the port to the probe
    mass_flow     (...,)  [kg/s]
    temperature   (...,)  [K]         of the gas in it
    pressure      (...,)  [Pa]        absolute, in it
    gas_constant  (...,)  [J/(kg K)]
    Returns (...,) [s]. Raises OutOfDomain outside the ranges given.
    Source: mass in the volume over mass flow, ideal gas."""
    return volume * pressure / (mass_flow * gas_constant * temperature)
