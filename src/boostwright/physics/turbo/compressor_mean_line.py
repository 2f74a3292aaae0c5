"""Losses of a centrifugal wheel on its mean line, each by its author, as loss of enthalpy [J/kg].

The set and its order are those that Oh, Yoon and Chung (1997) chose among the published ones. ``components.
compressor_wheel`` puts them together; what was fixed and when is told in docs/explain/mean-lines.md.
"""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "choking_loss_coefficient_aungier",
    "loss_blade_loading_coppage",
    "loss_clearance_jansen",
    "loss_disc_friction_daily_nece",
    "loss_incidence_conrad",
    "loss_mixing_johnston_dean",
    "loss_recirculation_coppage",
    "loss_recirculation_oh",
    "loss_skin_friction_jansen",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)


@relation(
    source="conrad-1979",
    status="from memory",
    domain={"relative_velocity": _NOT_NEGATIVE, "incidence_share": Interval(0.0, 1.0)},
    valid={"incidence_share": Interval(0.5, 0.7)},
)
def loss_incidence_conrad(relative_velocity: Number, incidence: Number, incidence_share: Number) -> Number:
    """Enthalpy lost where the flow meets the inducer at an angle: a share of the head across the blade.

    relative_velocity  (...,)  [m/s]  at the inlet
    incidence          (...,)  [rad]  flow angle less blade angle
    incidence_share    (...,)  [-]    share that is lost, 0.5 to 0.7
    Returns (...,) [J/kg]. Raises OutOfDomain outside the ranges given.
    Source: Conrad, Raif and Wessels (1979), as used by Oh, Yoon and Chung (1997), from memory."""
    return incidence_share * 0.5 * (relative_velocity * np.sin(incidence)) ** 2


@relation(source="coppage-1956", status="from memory", domain={"tip_speed": _NOT_NEGATIVE})
def loss_blade_loading_coppage(diffusion_factor: Number, tip_speed: Number) -> Number:
    """Enthalpy lost to secondary flow and thickened boundary layers by the loading of the blades.

    diffusion_factor  (...,)  [-]
    tip_speed         (...,)  [m/s]
    Returns (...,) [J/kg]. Raises OutOfDomain outside the ranges given.
    Source: Coppage and others (1956), from memory."""
    return 0.05 * (diffusion_factor * tip_speed) ** 2


@relation(
    source="jansen-1967",
    status="from memory",
    domain={"friction_factor": _NOT_NEGATIVE, "length": _NOT_NEGATIVE, "hydraulic_diameter": _ABOVE_ZERO},
)
def loss_skin_friction_jansen(
    friction_factor: Number, length: Number, hydraulic_diameter: Number, velocity: Number
) -> Number:
    """Enthalpy lost to friction on the walls of a wheel's passages.

    friction_factor     (...,)  [-]    Darcy's, four times the skin-friction coefficient
    length              (...,)  [m]    of the mean path
    hydraulic_diameter  (...,)  [m]
    velocity            (...,)  [m/s]  mean, relative to the wheel
    Returns (...,) [J/kg]. Raises OutOfDomain outside the ranges given.
    Source: Jansen (1967), from memory: 2 Cf (L/D) W^2."""
    return 0.5 * friction_factor * length / hydraulic_diameter * velocity * velocity


@relation(
    source="jansen-1967",
    status="from memory",
    domain={
        "clearance": _NOT_NEGATIVE,
        "tip_width": _ABOVE_ZERO,
        "blade_count": _ABOVE_ZERO,
        "inducer_tip_diameter": _ABOVE_ZERO,
        "inducer_hub_diameter": _ABOVE_ZERO,
        "exit_diameter": _ABOVE_ZERO,
        "density_ratio": _ABOVE_ZERO,
    },
    valid={"clearance": Interval(0.0, 2e-3)},
    needs={
        "an exit wider than the inducer": lambda exit_diameter, inducer_tip_diameter: (
            exit_diameter > inducer_tip_diameter
        ),
        "an inducer wider than its hub": lambda inducer_tip_diameter, inducer_hub_diameter: (
            inducer_tip_diameter > inducer_hub_diameter
        ),
    },
)
def loss_clearance_jansen(
    swirl_exit: Number,
    axial_velocity: Number,
    density_ratio: Number,
    clearance: Number,
    tip_width: Number,
    blade_count: Number,
    exit_diameter: Number,
    inducer_tip_diameter: Number,
    inducer_hub_diameter: Number,
) -> Number:
    """Enthalpy lost to the flow over the blade tips of an open wheel.

    swirl_exit            (...,)  [m/s]  tangential velocity at the exit
    axial_velocity        (...,)  [m/s]  at the inlet
    density_ratio         (...,)  [-]    exit over inlet
    clearance             (...,)  [m]    between blade and housing
    tip_width             (...,)  [m]    of the blade at the exit
    blade_count           (...,)  [-]
    exit_diameter         (...,)  [m]    above that of the inducer
    inducer_tip_diameter  (...,)  [m]
    inducer_hub_diameter  (...,)  [m]
    Returns (...,) [J/kg]. Raises OutOfDomain outside the ranges given.
    Source: Jansen (1967), from memory."""
    ring = inducer_tip_diameter**2 - inducer_hub_diameter**2
    run = (exit_diameter - inducer_tip_diameter) * (1.0 + density_ratio)
    across = 4.0 * np.pi / (tip_width * blade_count) * 0.5 * ring / run
    result: Number = (
        0.6 * clearance / tip_width * swirl_exit * np.sqrt(across * np.abs(swirl_exit * axial_velocity))
    )
    return result


@relation(
    source="johnston-dean-1966",
    status="from memory",
    domain={
        "radial_velocity": _ABOVE_ZERO,
        "wake_share": Interval(0.0, 1.0, open_high=True),
        "width_ratio": _ABOVE_ZERO,
    },
)
def loss_mixing_johnston_dean(
    radial_velocity: Number, swirl_exit: Number, wake_share: Number, width_ratio: Number
) -> Number:
    """Enthalpy lost where jet and wake behind a wheel mix.

    radial_velocity  (...,)  [m/s]  mean at the exit
    swirl_exit       (...,)  [m/s]  tangential velocity at the exit
    wake_share       (...,)  [-]    share of the exit filled by the wake, below 1
    width_ratio      (...,)  [-]    width of the diffuser's inlet over that of the wheel's exit
    Returns (...,) [J/kg]. Raises OutOfDomain outside the ranges given.
    Source: Johnston and Dean, J. Eng. Power 88 (1966) 49, from memory."""
    tangent = swirl_exit / radial_velocity
    squared = radial_velocity * radial_velocity + swirl_exit * swirl_exit
    step = (1.0 - wake_share - width_ratio) / (1.0 - wake_share)
    return 0.5 * squared * step * step / (1.0 + tangent * tangent)


@relation(
    source="daily-nece-1960",
    status="from memory",
    domain={
        "mass_flow": _ABOVE_ZERO,
        "density": _ABOVE_ZERO,
        "density_exit": _ABOVE_ZERO,
        "tip_speed": _NOT_NEGATIVE,
        "exit_diameter": _ABOVE_ZERO,
        "viscosity": _ABOVE_ZERO,
    },
)
def loss_disc_friction_daily_nece(
    mass_flow: Number, density: Number, density_exit: Number, tip_speed: Number, exit_diameter: Number,
    viscosity: Number,
) -> Number:  # fmt: skip
    """Work that the back of a wheel spends on the gas behind it, over the flow through the wheel.

    mass_flow      (...,)  [kg/s]
    density        (...,)  [kg/m3]  mean of inlet and exit
    density_exit   (...,)  [kg/m3]
    tip_speed      (...,)  [m/s]
    exit_diameter  (...,)  [m]
    viscosity      (...,)  [Pa s]   dynamic, at the exit
    Returns (...,) [J/kg]. Raises OutOfDomain outside the ranges given.
    Source: Daily and Nece, J. Basic Eng. 82 (1960) 217, in the form of Oh, Yoon and Chung (1997), from
    memory."""
    radius = 0.5 * exit_diameter
    reynolds = tip_speed * radius * density_exit / viscosity
    low = (reynolds < 3e5) * 1.0
    factor = low * 2.67 / np.sqrt(reynolds + 1.0) + (1.0 - low) * 0.0622 / (reynolds + 1.0) ** 0.2
    result: Number = 0.25 * factor * density * radius**2 * tip_speed**3 / mass_flow
    return result


@relation(source="oh-1997", status="from memory", domain={"flow_angle": Interval(-1.5707, 1.5707)})
def loss_recirculation_oh(flow_angle: Number, diffusion_factor: Number, tip_speed: Number) -> Number:
    """Work spent on gas that returns into the wheel at small flow.

    flow_angle        (...,)  [rad]  at the exit, from radial
    diffusion_factor  (...,)  [-]
    tip_speed         (...,)  [m/s]
    Returns (...,) [J/kg]. Raises OutOfDomain outside the ranges given.
    Source: Oh, Yoon and Chung (1997), from memory."""
    return 8e-5 * np.sinh(3.5 * flow_angle**3) * (diffusion_factor * tip_speed) ** 2


@relation(
    source="aungier-2000",
    status="from memory",
    domain={"sonic_area_share": Interval(0.0, 1.2)},
)
def choking_loss_coefficient_aungier(sonic_area_share: Number) -> Number:
    """Loss coefficient of an inducer that is nearly choked.

    sonic_area_share  (...,)  [-]  area that the flow would need at the speed of sound, over throat area
    Returns (...,) [-] on half the square of the relative velocity at the inlet; 0 far from choking.
    Raises OutOfDomain outside the ranges given.
    Source: Aungier (2000), with a contraction ratio of 1, from memory."""
    # A floor on the share, far below where the loss begins, keeps the quotient finite at no flow.
    x = np.maximum(11.0 - 10.0 / np.maximum(sonic_area_share, 0.5), 0.0)
    result: Number = 0.5 * (0.05 * x + x**7)
    return result


@relation(source="coppage-1956", status="from memory", domain={"flow_angle": Interval(0.0, 1.5707)})
def loss_recirculation_coppage(flow_angle: Number, diffusion_factor: Number, tip_speed: Number) -> Number:
    """Work spent on gas that returns into the wheel; stays finite near tangential flow.

    flow_angle        (...,)  [rad]  at the exit, from radial, 0 to below pi/2
    diffusion_factor  (...,)  [-]
    tip_speed         (...,)  [m/s]
    Returns (...,) [J/kg]. Raises OutOfDomain outside the ranges given.
    Source: Coppage and others (1956), from memory: 0.02 sqrt(tan a) Df^2 U^2."""
    result: Number = 0.02 * np.sqrt(np.tan(flow_angle)) * (diffusion_factor * tip_speed) ** 2
    return result
