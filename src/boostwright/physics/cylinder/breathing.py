"""Breathing: fresh charge by volumetric efficiency, its fall with back-pressure, and what stays behind.

The two back-pressure forms are ideal-cycle results without valve overlap: they know neither cams nor
pulses. Used as the ratio to a reference state they carry a measured volumetric efficiency to another
back-pressure. What flows between the manifolds while both valves are open stands in relations of its own.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "backpressure_factor_eriksson",
    "backpressure_factor_heywood",
    "mass_flow_speed_density",
    "overlap_backflow_volume",
    "overlap_piston_pressure",
    "residual_fraction_fox",
    "residual_fraction_ideal",
    "residual_mass_with_overlap",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)
_GAMMA = Interval(1.0, 3.0, open_low=True)
_COMPRESSION = Interval(1.0, open_low=True)
_USUAL_RATIO = Interval(0.5, 3.0)


@relation(
    source="heywood-1988",
    status="from memory",
    domain={
        "pressure_ratio": _ABOVE_ZERO,
        "compression_ratio": _COMPRESSION,
        "heat_capacity_ratio": _GAMMA,
    },
    valid={"pressure_ratio": _USUAL_RATIO},
)
def backpressure_factor_heywood(
    pressure_ratio: Number, compression_ratio: Number, heat_capacity_ratio: Number
) -> Number:
    """Volumetric efficiency over that at equal manifold pressures, residual gas mixing with the charge.

    pressure_ratio       (...,)  [-]  exhaust over intake manifold pressure, absolute
    compression_ratio    (...,)  [-]  above 1
    heat_capacity_ratio  (...,)  [-]  of the charge
    Returns (...,) [-], 1 at ratio 1. Raises OutOfDomain outside the ranges given.
    Source: Heywood (1988), eq. 6.2, from memory."""
    g = heat_capacity_ratio
    rc = compression_ratio
    return rc / (rc - 1.0) - (pressure_ratio + g - 1.0) / (g * (rc - 1.0))


@relation(
    source="eriksson-2007",
    status="from memory",
    domain={
        "pressure_ratio": _ABOVE_ZERO,
        "compression_ratio": _COMPRESSION,
        "heat_capacity_ratio": _GAMMA,
    },
    valid={"pressure_ratio": _USUAL_RATIO},
)
def backpressure_factor_eriksson(
    pressure_ratio: Number, compression_ratio: Number, heat_capacity_ratio: Number
) -> Number:
    """Volumetric efficiency over that at equal manifold pressures, residual gas expanding to intake
    pressure.

    pressure_ratio       (...,)  [-]  exhaust over intake manifold pressure, absolute
    compression_ratio    (...,)  [-]  above 1
    heat_capacity_ratio  (...,)  [-]  of the residual gas
    Returns (...,) [-], 1 at ratio 1. Raises OutOfDomain outside the ranges given.
    Source: Eriksson, Oil Gas Sci. Technol. 62 (2007) 523, from memory."""
    rc = compression_ratio
    expanded: Number = np.exp(np.log(pressure_ratio) / heat_capacity_ratio)
    return (rc - expanded) / (rc - 1.0)


@relation(
    source="definition",
    status="definition",
    domain={
        "volumetric_efficiency": _NOT_NEGATIVE,
        "pressure_im": _NOT_NEGATIVE,
        "temperature_im": _ABOVE_ZERO,
        "displacement": _ABOVE_ZERO,
        "rotational_speed": _NOT_NEGATIVE,
        "gas_constant": _ABOVE_ZERO,
    },
)
def mass_flow_speed_density(
    volumetric_efficiency: Number,
    pressure_im: Number,
    temperature_im: Number,
    displacement: Number,
    rotational_speed: Number,
    gas_constant: Number,
) -> Number:
    """Fresh air drawn by a four-stroke engine.

    volumetric_efficiency  (...,)  [-]         fresh air over manifold density times displacement
    pressure_im            (...,)  [Pa]        intake manifold, absolute
    temperature_im         (...,)  [K]         intake manifold
    displacement           (...,)  [m3]        of the engine
    rotational_speed       (...,)  [rad/s]     of the engine
    gas_constant           (...,)  [J/(kg K)]  of the air breathed
    Returns (...,) [kg/s]. Raises OutOfDomain outside the ranges given.
    Source: definition of volumetric efficiency."""
    density = pressure_im / (gas_constant * temperature_im)
    return volumetric_efficiency * density * displacement * rotational_speed / (4.0 * np.pi)


@relation(
    source="heywood-1988",
    status="from memory",
    domain={
        "pressure_ratio": _ABOVE_ZERO,
        "compression_ratio": _COMPRESSION,
        "heat_capacity_ratio": _GAMMA,
        "heat_release_ratio": _NOT_NEGATIVE,
    },
    valid={"pressure_ratio": _USUAL_RATIO},
)
def residual_fraction_ideal(
    pressure_ratio: Number,
    compression_ratio: Number,
    heat_capacity_ratio: Number,
    heat_release_ratio: Number,
) -> Number:
    """Mass fraction of burned gas left from the last cycle, ideal cycle without overlap.

    pressure_ratio       (...,)  [-]  exhaust over intake manifold pressure, absolute
    compression_ratio    (...,)  [-]  above 1
    heat_capacity_ratio  (...,)  [-]  constant over the cycle
    heat_release_ratio   (...,)  [-]  q/(cv T1 rc^(gamma-1)): heat per charge over its energy when compressed
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: Heywood (1988), eq. 5.47, from memory."""
    inverse = 1.0 / heat_capacity_ratio
    return pressure_ratio**inverse / compression_ratio * (1.0 + heat_release_ratio) ** (-inverse)


@relation(
    source="own-work",
    status="own estimate",
    domain={
        "pressure_em": _ABOVE_ZERO,
        "pressure_im": _ABOVE_ZERO,
        "temperature_em": _ABOVE_ZERO,
        "temperature_im": _ABOVE_ZERO,
        "gas_constant_exhaust": _ABOVE_ZERO,
        "gas_constant_air": _ABOVE_ZERO,
        "overlap_area_angle": _NOT_NEGATIVE,
        "rotational_speed": _ABOVE_ZERO,
        "piston_pressure": _NOT_NEGATIVE,
        "pressure_smoothing": _ABOVE_ZERO,
    },
)
def overlap_backflow_volume(
    pressure_em: Number,
    pressure_im: Number,
    temperature_em: Number,
    temperature_im: Number,
    gas_constant_exhaust: Number,
    gas_constant_air: Number,
    overlap_area_angle: Number,
    rotational_speed: Number,
    piston_pressure: Number = 0.0,
    pressure_smoothing: Number = 1000.0,
) -> Number:
    """Gas that the manifolds' pressures drive through one cylinder while both valves are open: exhaust on its way back,
    or, negative, air on its way through.

    pressure_em           (...,)  [Pa]        exhaust manifold, absolute, mean
    pressure_im           (...,)  [Pa]        intake manifold, absolute, mean
    temperature_em        (...,)  [K]         of the gas that runs back
    temperature_im        (...,)  [K]
    gas_constant_exhaust  (...,)  [J/(kg K)]
    gas_constant_air      (...,)  [J/(kg K)]
    overlap_area_angle    (...,)  [m2 rad]    effective area of both valves in series, over the overlap
    rotational_speed      (...,)  [rad/s]     of the engine, above 0
    piston_pressure       (...,)  [Pa]        of ``overlap_piston_pressure``
    pressure_smoothing    (...,)  [Pa]        difference below which the square root is rounded off
    Returns (...,) [m3] a cycle and cylinder, of the gas as it comes, at pressure_em. Raises OutOfDomain outside the
    ranges given.
    Source: our own estimate: quasi-steady orifice with the density of the incoming gas at the lower pressure,
    sqrt(2 r (1 - r)); above the compressible flow function by 1 % at a ratio of 0.9, 3 % at 0.7, 6 % where it chokes.
    Gas that the piston moves through the same valves leaves a small difference of pressure little to do: 0.9 sqrt of
    it beside the root, within 4 % of two valves and a piston taken angle by angle where gas runs back, up to a third
    too little where air runs through (studies/residual_gas). Mean pressures: a pulse at overlap is not in it."""
    difference = pressure_em - pressure_im
    size = np.sqrt(difference * difference + pressure_smoothing * pressure_smoothing)
    share = 0.5 * (1.0 + difference / size)
    lower = 0.5 * (pressure_em + pressure_im - size)
    heat = share * gas_constant_exhaust * temperature_em + (1.0 - share) * gas_constant_air * temperature_im
    root = np.sqrt(size) + 0.9 * np.sqrt(piston_pressure)
    swept = difference * np.sqrt(2.0 * lower * heat) * overlap_area_angle
    return swept / (root * pressure_em * rotational_speed)


@relation(
    source="own-work",
    status="own estimate",
    domain={"residual_mass": _ABOVE_ZERO, "residual_volume": _ABOVE_ZERO},
)
def residual_mass_with_overlap(
    residual_mass: Number, residual_volume: Number, backflow_volume: Number
) -> Number:
    """Burned gas left in a cylinder when the exhaust valve has closed, smooth through no flow.

    residual_mass    (...,)  [kg]  left behind had the manifolds the same pressure
    residual_volume  (...,)  [m3]  that it fills
    backflow_volume  (...,)  [m3]  of ``overlap_backflow_volume``, either sign
    Returns (...,) [kg]. Raises OutOfDomain for no residual mass at all.
    Source: balance. What runs back is added. Air that runs through mixes at once with what it meets; at constant
    pressure it pushes out the volume it brings, so exp(-V_air/V) stays. Perfect mixing lies between no scavenging and
    displacement."""
    share = backflow_volume / residual_volume
    return residual_mass * (np.exp(np.minimum(share, 0.0)) + np.maximum(share, 0.0))


@relation(
    source="own-work",
    status="own estimate",
    domain={"density": _ABOVE_ZERO, "rotational_speed": _NOT_NEGATIVE, "overlap_resistance": _NOT_NEGATIVE},
)
def overlap_piston_pressure(density: Number, rotational_speed: Number, overlap_resistance: Number) -> Number:
    """Pressure difference with which the piston moves gas through both valves in the overlap.

    density             (...,)  [kg/m3]    of the gas that moves
    rotational_speed    (...,)  [rad/s]    of the engine
    overlap_resistance  (...,)  [m2]       of (dV/dangle over both effective areas)^2, mean over the overlap
    Returns (...,) [Pa]. Raises OutOfDomain outside the ranges given.
    Source: orifice, both valves side by side."""
    return 0.5 * density * rotational_speed * rotational_speed * overlap_resistance


@relation(
    source="fox-1993",
    status="from memory",
    domain={
        "pressure_im": _ABOVE_ZERO,
        "pressure_em": _ABOVE_ZERO,
        "rotational_speed": _ABOVE_ZERO,
        "overlap_factor": _NOT_NEGATIVE,
        "compression_ratio": _COMPRESSION,
        "equivalence_ratio": Interval(0.0),
    },
    valid={"equivalence_ratio": Interval(0.0, 1.0)},
)
def residual_fraction_fox(
    pressure_im: Number,
    pressure_em: Number,
    rotational_speed: Number,
    overlap_factor: Number,
    compression_ratio: Number,
    equivalence_ratio: Number,
) -> Number:
    """Residual mass fraction of unboosted engines at part load; for comparison.

    pressure_im        (...,)  [Pa]     intake manifold, absolute
    pressure_em        (...,)  [Pa]     exhaust manifold, absolute
    rotational_speed   (...,)  [rad/s]  of the engine
    overlap_factor     (...,)  [rad/m]  valve diameters times lift over angle in the overlap, over displacement
    compression_ratio  (...,)  [-]      above 1
    equivalence_ratio  (...,)  [-]      1 over lambda, up to 1
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: Fox, Cheng and Heywood, SAE 931025 (1993): 1.266 OF/N (p_i/p_e)^-0.87 sqrt(p_e - p_i) + 0.632 phi
    (p_i/p_e)^-0.74/r, with deg/m, rev/s and bar, from memory. Fitted to p_i below p_e."""
    ratio = pressure_im / pressure_em
    degrees = overlap_factor * 180.0 / np.pi
    revolutions = rotational_speed / (2.0 * np.pi)
    root = np.sqrt(np.abs(pressure_em - pressure_im) / 1.0e5)
    back: Number = 1.266 * degrees / revolutions * ratio ** (-0.87) * root
    return back + 0.632 * equivalence_ratio * ratio ** (-0.74) / compression_ratio
