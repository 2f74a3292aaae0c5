"""How the lag of a probe follows the flow past it."""

from __future__ import annotations

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["lag_at_flow"]

_ABOVE_ZERO = Interval(0.0, open_low=True)


@relation(
    source="scadron-warshawsky-1952",
    status="from memory",
    domain={
        "time_constant": _ABOVE_ZERO,
        "mass_flow": _ABOVE_ZERO,
        "reference_flow": _ABOVE_ZERO,
        "exponent": Interval(0.0, 1.0),
    },
    valid={"exponent": Interval(0.4, 0.6)},
)
def lag_at_flow(time_constant: Number, mass_flow: Number, reference_flow: Number, exponent: Number) -> Number:
    """Time constant of a probe at another mass flow through the same pipe.

    time_constant   (...,)  [s]     at the reference flow
    mass_flow       (...,)  [kg/s]
    reference_flow  (...,)  [kg/s]
    exponent        (...,)  [-]     0.5 for a wire or sheath across the flow
    Returns (...,) [s]. Raises OutOfDomain outside the ranges given.
    Source: Nu = 0.478 Re^0.5 Pr^0.3 (Scadron and Warshawsky, NACA TN 2599, 1952, from memory) with
    Re = 4 m d / (pi D^2 mu): at the same diameters and gas temperature heat transfer goes with the root of the mass
    flow, whatever the pressure, and the lag with one over it. Radiation, which goes on at no flow, is left out: a hot
    probe at small flow is somewhat quicker."""
    return time_constant * (reference_flow / mass_flow) ** exponent
