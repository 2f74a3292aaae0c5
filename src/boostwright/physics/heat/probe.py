"""Temperature probe in a gas stream: convection to it, its lag, what radiation and speed do to the
reading."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "conduction_error",
    "dynamic_temperature",
    "first_order_response",
    "lag_sphere",
    "lag_wire",
    "nusselt_ranz_marshall",
    "nusselt_scadron_warshawsky",
    "probe_temperature",
    "radiation_error",
    "recovery_error",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)
_SIGMA = 5.670374419e-8  # W/(m2 K4), CODATA 2018


@relation(
    source="scadron-warshawsky-1952",
    status="from memory",
    domain={"reynolds_number": _NOT_NEGATIVE, "prandtl_number": _ABOVE_ZERO},
    valid={"reynolds_number": Interval(250.0, 3.0e4)},
)
def nusselt_scadron_warshawsky(reynolds_number: Number, prandtl_number: Number) -> Number:
    """Nusselt number of a bare wire or sheath across a hot gas stream.

    reynolds_number  (...,)  [-]  on its diameter
    prandtl_number   (...,)  [-]  of the gas
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: Scadron and Warshawsky, NACA TN 2599 (1952), constants and range from memory."""
    return 0.478 * reynolds_number**0.5 * prandtl_number**0.3


@relation(
    source="ranz-marshall-1952",
    status="from memory",
    domain={"reynolds_number": _NOT_NEGATIVE, "prandtl_number": _ABOVE_ZERO},
    valid={"reynolds_number": Interval(0.0, 5.0e4)},
)
def nusselt_ranz_marshall(reynolds_number: Number, prandtl_number: Number) -> Number:
    """Nusselt number of a sphere in a stream, standing for a bead.

    reynolds_number  (...,)  [-]  on its diameter
    prandtl_number   (...,)  [-]  of the gas
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: Ranz and Marshall, Chem. Eng. Prog. 48 (1952) 141, from memory."""
    return 2.0 + 0.6 * reynolds_number**0.5 * prandtl_number ** (1.0 / 3.0)


@relation(
    source="definition",
    status="definition",
    domain={
        "diameter": _ABOVE_ZERO,
        "density": _ABOVE_ZERO,
        "specific_heat": _ABOVE_ZERO,
        "heat_transfer_coefficient": _ABOVE_ZERO,
    },
)
def lag_wire(
    diameter: Number, density: Number, specific_heat: Number, heat_transfer_coefficient: Number
) -> Number:
    """Time constant of a long wire or sheath, one temperature across it.

    diameter                   (...,)  [m]
    density                    (...,)  [kg/m3]     of the metal, 8600 for type K
    specific_heat              (...,)  [J/(kg K)]  of the metal
    heat_transfer_coefficient  (...,)  [W/(m2 K)]
    Returns (...,) [s]. Raises OutOfDomain for an argument not above 0.
    Source: heat balance of a cylinder; a sheath with filling is slower than solid metal by its inner
    resistance."""
    return density * specific_heat * diameter / (4.0 * heat_transfer_coefficient)


@relation(
    source="definition",
    status="definition",
    domain={
        "diameter": _ABOVE_ZERO,
        "density": _ABOVE_ZERO,
        "specific_heat": _ABOVE_ZERO,
        "heat_transfer_coefficient": _ABOVE_ZERO,
    },
)
def lag_sphere(
    diameter: Number, density: Number, specific_heat: Number, heat_transfer_coefficient: Number
) -> Number:
    """Time constant of a bead, one temperature across it.

    diameter                   (...,)  [m]
    density                    (...,)  [kg/m3]     of the metal
    specific_heat              (...,)  [J/(kg K)]  of the metal
    heat_transfer_coefficient  (...,)  [W/(m2 K)]
    Returns (...,) [s]. Raises OutOfDomain for an argument not above 0.
    Source: heat balance of a sphere."""
    return density * specific_heat * diameter / (6.0 * heat_transfer_coefficient)


@relation(
    source="definition",
    status="definition",
    domain={"time": _NOT_NEGATIVE, "time_constant": _ABOVE_ZERO},
)
def first_order_response(start: Number, end: Number, time: Number, time_constant: Number) -> Number:
    """Reading of a first-order probe after a step.

    start          (...,)  [K]  before the step
    end            (...,)  [K]  of the gas after it
    time           (...,)  [s]  since the step
    time_constant  (...,)  [s]
    Returns (...,) [K]. Raises OutOfDomain outside the ranges given.
    Source: first-order response."""
    result: Number = end + (start - end) * np.exp(-time / time_constant)
    return result


@relation(
    source="definition",
    status="definition",
    domain={
        "emissivity": Interval(0.0, 1.0),
        "probe_temperature": _NOT_NEGATIVE,
        "wall_temperature": _NOT_NEGATIVE,
        "heat_transfer_coefficient": _ABOVE_ZERO,
    },
)
def radiation_error(
    emissivity: Number,
    probe_temperature: Number,
    wall_temperature: Number,
    heat_transfer_coefficient: Number,
) -> Number:
    """How far a probe that sees a cooler wall stands below the gas.

    emissivity                 (...,)  [-]         of the probe
    probe_temperature          (...,)  [K]         as read
    wall_temperature           (...,)  [K]         of what it sees
    heat_transfer_coefficient  (...,)  [W/(m2 K)]  gas to probe
    Returns (...,) [K], gas less probe. Raises OutOfDomain outside the ranges given.
    Source: heat balance of a small body in an enclosure."""
    exchanged = emissivity * _SIGMA * (probe_temperature**4 - wall_temperature**4)
    return exchanged / heat_transfer_coefficient


@relation(
    source="definition",
    status="definition",
    domain={
        "gas_temperature": _ABOVE_ZERO,
        "wall_temperature": _NOT_NEGATIVE,
        "emissivity": Interval(0.0, 1.0),
        "heat_transfer_coefficient": _ABOVE_ZERO,
    },
)
def probe_temperature(
    gas_temperature: Number,
    wall_temperature: Number,
    emissivity: Number,
    heat_transfer_coefficient: Number,
) -> Number:
    """What a probe settles at between a gas and a wall (radiation_error solved for the reading).

    gas_temperature            (...,)  [K]         recovery temperature at the probe
    wall_temperature           (...,)  [K]         of what it sees
    emissivity                 (...,)  [-]         of the probe
    heat_transfer_coefficient  (...,)  [W/(m2 K)]  gas to probe
    Returns (...,) [K]. Raises OutOfDomain outside the ranges given.
    Source: heat balance of a small body in an enclosure; six Newton steps from the gas temperature, which
    never overshoot, for the balance is convex. Conduction along the stem stands apart (conduction_error)."""
    factor = emissivity * _SIGMA / heat_transfer_coefficient
    wall = wall_temperature**4
    probe = gas_temperature + 0.0 * factor
    for _ in range(6):
        excess = probe - gas_temperature + factor * (probe**4 - wall)
        probe = probe - excess / (1.0 + 4.0 * factor * probe**3)
    return probe


@relation(
    source="definition",
    status="definition",
    domain={
        "probe_temperature": _NOT_NEGATIVE,
        "wall_temperature": _NOT_NEGATIVE,
        "diameter": _ABOVE_ZERO,
        "immersion": _NOT_NEGATIVE,
        "conductivity": _ABOVE_ZERO,
        "heat_transfer_coefficient": _ABOVE_ZERO,
    },
)
def conduction_error(
    probe_temperature: Number,
    wall_temperature: Number,
    diameter: Number,
    immersion: Number,
    conductivity: Number,
    heat_transfer_coefficient: Number,
) -> Number:
    """How far conduction along its sheath brings the tip of a probe towards its wall.

    probe_temperature          (...,)  [K]         of a tip without conduction
    wall_temperature           (...,)  [K]         where the sheath leaves the gas
    diameter                   (...,)  [m]         of the sheath
    immersion                  (...,)  [m]         of the sheath in the gas, from the wall to the tip
    conductivity               (...,)  [W/(m K)]   along the sheath, over its whole section
    heat_transfer_coefficient  (...,)  [W/(m2 K)]  gas to sheath; with radiation, that of both
    Returns (...,) [K], tip without less tip with conduction. Raises OutOfDomain outside the ranges given.
    Source: heat balance of a round fin of one temperature across it, no heat through its end:
    (T_probe - T_wall) / cosh(immersion * sqrt(4 h / (k d)))."""
    length = immersion * np.sqrt(4.0 * heat_transfer_coefficient / (conductivity * diameter))
    result: Number = (probe_temperature - wall_temperature) / np.cosh(np.minimum(length, 300.0))
    return result


@relation(
    source="definition",
    status="definition",
    domain={"velocity": _NOT_NEGATIVE, "specific_heat": _ABOVE_ZERO},
)
def dynamic_temperature(velocity: Number, specific_heat: Number) -> Number:
    """Total less static temperature.

    velocity       (...,)  [m/s]
    specific_heat  (...,)  [J/(kg K)]  at constant pressure
    Returns (...,) [K]. Raises OutOfDomain outside the ranges given.
    Source: energy equation."""
    return velocity**2 / (2.0 * specific_heat)


@relation(
    source="moffat-1962",
    status="from memory",
    domain={
        "velocity": _NOT_NEGATIVE,
        "specific_heat": _ABOVE_ZERO,
        "recovery_factor": Interval(0.0, 1.0),
    },
    valid={"recovery_factor": Interval(0.61, 0.95)},
)
def recovery_error(velocity: Number, specific_heat: Number, recovery_factor: Number) -> Number:
    """How far a probe without radiation stands below the total temperature.

    velocity         (...,)  [m/s]
    specific_heat    (...,)  [J/(kg K)]  at constant pressure
    recovery_factor  (...,)  [-]         0.68 +- 0.07 for a wire across the flow, 0.86 +- 0.09 along it
    Returns (...,) [K], total less reading. Raises OutOfDomain outside the ranges given.
    Source: definition of the recovery factor; its values after Moffat (1962), from memory."""
    return (1.0 - recovery_factor) * velocity**2 / (2.0 * specific_heat)
