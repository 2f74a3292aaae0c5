"""Straight pipes: Reynolds number, wall friction, velocity head, pressure loss."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "friction_factor_churchill",
    "friction_factor_colebrook",
    "friction_factor_haaland",
    "pressure_loss_darcy_weisbach",
    "reynolds_number",
    "velocity_head",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)
_ROUGHNESS = Interval(0.0, 0.5)
_TURBULENT = Interval(4000.0, 1e8)


@relation(
    source="definition",
    status="definition",
    domain={"mass_flow": _NOT_NEGATIVE, "diameter": _ABOVE_ZERO, "viscosity": _ABOVE_ZERO},
)
def reynolds_number(mass_flow: Number, diameter: Number, viscosity: Number) -> Number:
    """Reynolds number of a round pipe from its mass flow.

    mass_flow  (...,)  [kg/s]
    diameter   (...,)  [m]     bore
    viscosity  (...,)  [Pa s]  dynamic
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: definition."""
    return 4.0 * mass_flow / (np.pi * diameter * viscosity)


@relation(
    source="haaland-1983",
    status="from memory",
    domain={"reynolds_number": _ABOVE_ZERO, "relative_roughness": _ROUGHNESS},
    valid={"reynolds_number": _TURBULENT, "relative_roughness": Interval(0.0, 0.05)},
)
def friction_factor_haaland(reynolds_number: Number, relative_roughness: Number) -> Number:
    """Darcy friction factor of turbulent pipe flow, explicit.

    reynolds_number     (...,)  [-]  4000 and above
    relative_roughness  (...,)  [-]  sand roughness over bore
    Returns (...,) [-]; within 2 % of Colebrook. Raises OutOfDomain outside the ranges given.
    Source: Haaland, J. Fluids Eng. 105 (1983) 89, from memory."""
    inner = (relative_roughness / 3.7) ** 1.11 + 6.9 / reynolds_number
    result: Number = (1.8 * np.log10(inner)) ** -2.0
    return result


@relation(
    source="colebrook-1939",
    status="from memory",
    domain={"reynolds_number": Interval(10.0), "relative_roughness": _ROUGHNESS},
    valid={"reynolds_number": _TURBULENT, "relative_roughness": Interval(0.0, 0.05)},
)
def friction_factor_colebrook(reynolds_number: Number, relative_roughness: Number) -> Number:
    """Darcy friction factor of turbulent pipe flow.

    reynolds_number     (...,)  [-]  4000 and above
    relative_roughness  (...,)  [-]  sand roughness over bore
    Returns (...,) [-], solved to rounding. Raises OutOfDomain outside the ranges given.
    Source: Colebrook, J. Inst. Civ. Eng. 11 (1939) 133, from memory; four Newton steps from Haaland's
    formula."""
    rough = relative_roughness / 3.7
    smooth = 2.51 / reynolds_number
    x = -1.8 * np.log10(rough**1.11 + 6.9 / reynolds_number)
    for _ in range(4):
        inner = rough + smooth * x
        x = x - (x + 2.0 * np.log10(inner)) / (1.0 + 2.0 / 2.302585092994046 * smooth / inner)
    result: Number = 1.0 / (x * x)
    return result


@relation(
    source="churchill-1977",
    status="from memory",
    domain={"reynolds_number": _ABOVE_ZERO, "relative_roughness": _ROUGHNESS},
    valid={"relative_roughness": Interval(0.0, 0.05)},
)
def friction_factor_churchill(reynolds_number: Number, relative_roughness: Number) -> Number:
    """Darcy friction factor of laminar, transitional and turbulent pipe flow in one smooth formula.

    reynolds_number     (...,)  [-]  any above 0
    relative_roughness  (...,)  [-]  sand roughness over bore
    Returns (...,) [-]; 64/Re when laminar, within 3 % of Colebrook when turbulent. Raises OutOfDomain
    outside the ranges given.
    Source: Churchill, Chem. Eng. 84 (1977) 91, from memory."""
    a = (-2.457 * np.log((7.0 / reynolds_number) ** 0.9 + 0.27 * relative_roughness)) ** 16.0
    b = (37530.0 / reynolds_number) ** 16.0
    result: Number = 8.0 * ((8.0 / reynolds_number) ** 12.0 + (a + b) ** -1.5) ** (1.0 / 12.0)
    return result


@relation(
    source="definition",
    status="definition",
    domain={"mass_flow": _NOT_NEGATIVE, "area": _ABOVE_ZERO, "density": _ABOVE_ZERO},
)
def velocity_head(mass_flow: Number, area: Number, density: Number) -> Number:
    """Half density times velocity squared, on which loss coefficients are stated.

    mass_flow  (...,)  [kg/s]
    area       (...,)  [m2]     of the leg that the coefficient refers to
    density    (...,)  [kg/m3]  static, in that leg
    Returns (...,) [Pa]. Raises OutOfDomain outside the ranges given.
    Source: definition. Below total minus static by the share M^2/4 that compressibility adds."""
    return mass_flow**2 / (2.0 * density * area**2)


@relation(
    source="definition",
    status="definition",
    domain={
        "mass_flow": _NOT_NEGATIVE,
        "diameter": _ABOVE_ZERO,
        "density": _ABOVE_ZERO,
        "friction_factor": _NOT_NEGATIVE,
        "length": _NOT_NEGATIVE,
        "loss_coefficient": Interval(-10.0),
    },
)
def pressure_loss_darcy_weisbach(
    mass_flow: Number,
    diameter: Number,
    density: Number,
    friction_factor: Number,
    length: Number,
    loss_coefficient: Number,
) -> Number:
    """Pressure loss of a round pipe with fittings at constant density.

    mass_flow         (...,)  [kg/s]
    diameter          (...,)  [m]      bore
    density           (...,)  [kg/m3]  mean along the pipe: the loss must stay a small part of the pressure
    friction_factor   (...,)  [-]      Darcy, four times Fanning
    length            (...,)  [m]
    loss_coefficient  (...,)  [-]      sum over fittings, on the velocity head of this bore
    Returns (...,) [Pa]. Raises OutOfDomain outside the ranges given.
    Source: Darcy-Weisbach equation (definition of the friction factor)."""
    area = 0.25 * np.pi * diameter**2
    head = mass_flow**2 / (2.0 * density * area**2)
    return (friction_factor * length / diameter + loss_coefficient) * head
