"""Breathing: fresh charge by volumetric efficiency, its fall with back-pressure, and what stays behind.

The two back-pressure forms are ideal-cycle results without valve overlap: they know neither cams nor
pulses. Used as the ratio to a reference state they carry a measured volumetric efficiency to another
back-pressure.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "backpressure_factor_eriksson",
    "backpressure_factor_heywood",
    "mass_flow_speed_density",
    "residual_fraction_ideal",
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
