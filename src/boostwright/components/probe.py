"""What an exhaust temperature probe shows beside what the turbine sees."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Section
from boostwright.physics.gas import air
from boostwright.physics.heat import probe

__all__ = ["ProbeReading", "gas_at_probe", "immersion", "probe_reading", "pulsed_reading"]

Array = NDArray[np.float64]

_SPECIFIC_HEAT = 1250.0  # J/(kg K), hot exhaust
_PRANDTL = 0.70
_RECOVERY = 0.68  # wire across the flow, Moffat (1962), from memory
_SIGMA = 5.670374419e-8  # W/(m2 K4), CODATA 2018
_BETWEEN_PULSES = (
    0.10  # of the speed of the gas while it flows, own estimate: the other cylinders' pulses rock it
)


@dataclass(frozen=True)
class ProbeReading:
    """What a probe shows (...,) [K], and what it stands below the gas by, each (...,) [K].

    recovery    dynamic temperature it does not get back
    radiation   to the cooler wall
    conduction  along the sheath; 0 where the build does not say how far the tip reaches in
    cycle       stated: mean over time less mean over flow
    """

    reading: Array
    recovery: Array
    radiation: Array
    conduction: Array
    cycle: Array


def immersion(section: Section) -> float | None:
    """Length of the sheath in the gas [m]; None where the build does not say."""
    if not (section.has("probe_length") and section.has("wall_depth")):
        return None
    return section.si("probe_length") - section.si("wall_depth")


def gas_at_probe(
    section: Section, manifold: Section, temperature_port: Array, temperature_end: Array
) -> Array:
    """Gas temperature (...,) [K] in a runner where the probe stands: along the runner it falls evenly, by length.

    manifold  [exhaust_manifold], with its runner_length
    """
    share = min(section.si("port_distance") / manifold.si("runner_length"), 1.0)
    return temperature_port + share * (temperature_end - temperature_port)


def _coefficient(section: Section, temperature: Array, density: Array, velocity: Array) -> Array:
    """Gas to tip [W/(m2 K)]: Scadron and Warshawsky, with the properties of air."""
    diameter = section.si("diameter")
    viscosity = np.asarray(air.viscosity_sutherland(temperature), dtype=float)
    conductivity = np.asarray(air.thermal_conductivity_power_law(temperature), dtype=float)
    reynolds = density * velocity * diameter / viscosity
    nusselt = np.asarray(probe.nusselt_scadron_warshawsky(reynolds, _PRANDTL), dtype=float)
    return np.asarray(nusselt * conductivity / diameter, dtype=float)


def _settled(section: Section, temperature: Array, recovery: Array, coefficient: Array) -> ProbeReading:
    """Where the tip settles: convection against radiation, then what the sheath takes away, then the cycle's offset."""
    wall = temperature - section.si("wall_temperature_difference")
    recovered = temperature - recovery
    emissivity = section.si("emissivity")
    bare = np.asarray(probe.probe_temperature(recovered, wall, emissivity, coefficient), dtype=float)
    conduction = np.zeros_like(bare)
    length = immersion(section)
    if length is not None:
        # radiation along the sheath goes nearly with the difference of temperatures, so that it joins convection
        both = coefficient + 4.0 * emissivity * _SIGMA * (0.5 * (bare + wall)) ** 3
        conduction = np.asarray(
            probe.conduction_error(
                bare, wall, section.si("diameter"), length, section.si("sheath_conductivity"), both
            ),
            dtype=float,
        )
    cycle = np.full(bare.shape, section.si("cycle_offset"))
    return ProbeReading(bare - conduction - cycle, recovery, recovered - bare, conduction, cycle)


def probe_reading(
    section: Section, temperature: Array, pressure: Array, flow: Array, gas_constant: Array, bore: float
) -> ProbeReading:
    """Steady reading of the [probe] section's probe in the collector.

    temperature (n,) [K] enthalpy mean, pressure (n,) [Pa] total, flow (n,) [kg/s], gas_constant (n,), bore [m]
    Recovery of the dynamic temperature, convection to the tip (Scadron & Warshawsky, air properties) against radiation
    to a wall that is cooler by a stated difference, conduction along the sheath where its length is known, then a
    stated offset for the cycle's time mean. Lag is for logs.
    """
    return pulsed_reading(section, temperature, pressure, flow, gas_constant, bore, 1.0)


def pulsed_reading(
    section: Section,
    temperature: Array,
    pressure: Array,
    flow: Array,
    gas_constant: Array,
    bore: float,
    flowing: float,
) -> ProbeReading:
    """Steady reading of a probe in one cylinder's runner; arguments as ``probe_reading``, for that cylinder alone.

    flow     (...,) [kg/s] mean over the cycle
    flowing  share of the cycle in which gas leaves the cylinder, 0 to 1
    While gas flows it has the mean velocity of that time, which sets recovery; between pulses it still rocks at a tenth
    of it (own estimate). The coefficient is the mean of both over the cycle.
    """
    density = pressure / (gas_constant * temperature)
    velocity = flow / (flowing * density * np.pi / 4.0 * bore**2)
    recovery = np.asarray(probe.recovery_error(velocity, _SPECIFIC_HEAT, _RECOVERY), dtype=float)
    mean = flowing + (1.0 - flowing) * np.sqrt(_BETWEEN_PULSES)
    coefficient = mean * _coefficient(section, temperature, density, velocity)
    return _settled(section, temperature, recovery, coefficient)
