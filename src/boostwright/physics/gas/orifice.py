"""Flow through valves, throttles and holes: the compressible flow function and its choking."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["flow_function", "flow_function_smoothed", "mass_flow_orifice"]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)
_GAMMA = Interval(1.0, 3.0, open_low=True)
_RATIO = Interval(0.0, 1.0)


@relation(
    source="heywood-1988",
    status="from memory",
    domain={"pressure_ratio": _RATIO, "heat_capacity_ratio": _GAMMA},
)
def flow_function(pressure_ratio: Number, heat_capacity_ratio: Number) -> Number:
    """Mass flow times sqrt(R T0) over effective area and upstream total pressure.

    pressure_ratio       (...,)  [-]  pressure in the throat over upstream total pressure, 0 to 1
    heat_capacity_ratio  (...,)  [-]  constant
    Returns (...,) [-]; constant below the critical ratio (choked), with a smooth join. The slope at ratio
    1 is infinite: a solver wants flow_function_smoothed. Raises OutOfDomain outside the ranges given.
    Source: Heywood (1988), appendix C, eqs. C.8 and C.9, from memory."""
    g = heat_capacity_ratio
    critical = (2.0 / (g + 1.0)) ** (g / (g - 1.0))
    r = np.minimum(np.maximum(pressure_ratio, critical), 1.0)
    result: Number = r ** (1.0 / g) * np.sqrt(2.0 * g / (g - 1.0) * (1.0 - r ** ((g - 1.0) / g)))
    return result


@relation(
    source="own-work",
    status="own estimate",
    domain={
        "pressure_ratio": _RATIO,
        "heat_capacity_ratio": _GAMMA,
        "smoothing": Interval(0.0, 0.1, open_low=True),
    },
)
def flow_function_smoothed(
    pressure_ratio: Number, heat_capacity_ratio: Number, smoothing: Number = 0.01
) -> Number:
    """Flow function with a finite slope at pressure ratio 1, for solvers.

    pressure_ratio       (...,)  [-]  pressure in the throat over upstream total pressure, 0 to 1
    heat_capacity_ratio  (...,)  [-]  constant
    smoothing            (...,)  [-]  distance of the ratio from 1 within which the function is replaced
    Returns (...,) [-]; equal to flow_function outside the distance, inside a parabola that meets it in
    value and in the slope of a square root. Raises OutOfDomain outside the ranges given.
    Source: our own device; the flow itself as in flow_function. Inside the distance it is low, by up to 0.18 of its
    value where the two join."""
    g = heat_capacity_ratio
    # powers as exponentials of one logarithm: the solver spends much of its time here
    critical = np.exp(np.log(2.0 / (g + 1.0)) * (g / (g - 1.0)))
    r = np.minimum(np.maximum(pressure_ratio, critical), 1.0 - smoothing)
    root = np.exp(np.log(r) / g)
    psi = root * np.sqrt(2.0 * g / (g - 1.0) * (1.0 - r / root))
    share = np.minimum(np.maximum((1.0 - pressure_ratio) / smoothing, 0.0), 1.0)
    result: Number = psi * share * (1.5 - 0.5 * share)
    return result


@relation(
    source="heywood-1988",
    status="from memory",
    domain={
        "discharge_coefficient": _NOT_NEGATIVE,
        "area": _NOT_NEGATIVE,
        "pressure_upstream": _ABOVE_ZERO,
        "temperature_upstream": _ABOVE_ZERO,
        "pressure_downstream": _NOT_NEGATIVE,
        "gas_constant": _ABOVE_ZERO,
        "heat_capacity_ratio": _GAMMA,
    },
)
def mass_flow_orifice(
    discharge_coefficient: Number,
    area: Number,
    pressure_upstream: Number,
    temperature_upstream: Number,
    pressure_downstream: Number,
    gas_constant: Number,
    heat_capacity_ratio: Number,
) -> Number:
    """Mass flow through a restriction between two pressures, forward only.

    discharge_coefficient  (...,)  [-]         on the stated area
    area                   (...,)  [m2]        reference area of the coefficient
    pressure_upstream      (...,)  [Pa]        total, absolute
    temperature_upstream   (...,)  [K]         total
    pressure_downstream    (...,)  [Pa]        static in the throat: that of the space behind, no recovery
    gas_constant           (...,)  [J/(kg K)]  specific gas constant
    heat_capacity_ratio    (...,)  [-]         constant
    Returns (...,) [kg/s]; 0 where the downstream pressure is not below the upstream one. Raises
    OutOfDomain outside the ranges given.
    Source: Heywood (1988), appendix C, eqs. C.8 and C.9, from memory."""
    g = heat_capacity_ratio
    critical = (2.0 / (g + 1.0)) ** (g / (g - 1.0))
    r = np.minimum(np.maximum(pressure_downstream / pressure_upstream, critical), 1.0)
    psi = r ** (1.0 / g) * np.sqrt(2.0 * g / (g - 1.0) * (1.0 - r ** ((g - 1.0) / g)))
    flow: Number = discharge_coefficient * area * pressure_upstream * psi
    result: Number = flow / np.sqrt(gas_constant * temperature_upstream)
    return result
