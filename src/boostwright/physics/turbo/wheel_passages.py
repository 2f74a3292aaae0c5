"""Passages of a centrifugal wheel on its mean line: length, width, velocity, diffusion, blockage at the exit."""

from __future__ import annotations

import numpy as np

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = [
    "diffusion_factor_coppage",
    "exit_blockage_aungier",
    "flow_path_length_jansen",
    "hydraulic_diameter_jansen",
    "mean_relative_velocity_oh",
]

_ABOVE_ZERO = Interval(0.0, open_low=True)
_NOT_NEGATIVE = Interval(0.0)
_ANGLE = Interval(0.0, 0.5 * np.pi, open_high=True)
_RATIO = Interval(0.0, 1.0, open_low=True, open_high=True)


@relation(
    source="coppage-1956",
    status="from memory",
    domain={
        "relative_velocity": _ABOVE_ZERO,
        "relative_velocity_exit": _ABOVE_ZERO,
        "blade_count": _ABOVE_ZERO,
        "diameter_ratio": _RATIO,
    },
)
def diffusion_factor_coppage(
    relative_velocity: Number,
    relative_velocity_exit: Number,
    work_coefficient: Number,
    blade_count: Number,
    diameter_ratio: Number,
) -> Number:
    """How hard the flow through a wheel is slowed and turned.

    relative_velocity       (...,)  [m/s]  at the inducer's tip
    relative_velocity_exit  (...,)  [m/s]
    work_coefficient        (...,)  [-]    blade work over the square of the tip speed
    blade_count             (...,)  [-]
    diameter_ratio          (...,)  [-]    inducer tip over exit, between 0 and 1
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: Coppage and others (1956), from memory."""
    across = blade_count / np.pi * (1.0 - diameter_ratio) + 2.0 * diameter_ratio
    turning = 0.75 * work_coefficient / (relative_velocity / relative_velocity_exit * across)
    result: Number = 1.0 - relative_velocity_exit / relative_velocity + turning
    return result


@relation(
    source="jansen-1967",
    status="from memory",
    domain={
        "exit_diameter": _ABOVE_ZERO,
        "inducer_tip_diameter": _ABOVE_ZERO,
        "inducer_hub_diameter": _ABOVE_ZERO,
        "tip_width": _ABOVE_ZERO,
        "axial_length": _ABOVE_ZERO,
        "inducer_angle_cosine": Interval(0.0, 1.0, open_low=True),
        "backsweep": _ANGLE,
    },
)
def flow_path_length_jansen(
    exit_diameter: Number,
    inducer_tip_diameter: Number,
    inducer_hub_diameter: Number,
    tip_width: Number,
    axial_length: Number,
    inducer_angle_cosine: Number,
    backsweep: Number,
) -> Number:
    """Length of the mean path through a wheel, along the blade.

    exit_diameter         (...,)  [m]
    inducer_tip_diameter  (...,)  [m]
    inducer_hub_diameter  (...,)  [m]
    tip_width             (...,)  [m]    of the blade at the exit
    axial_length          (...,)  [m]    of the wheel
    inducer_angle_cosine  (...,)  [-]    mean of the cosines of the inducer's blade angles at tip and hub
    backsweep             (...,)  [rad]
    Returns (...,) [m]. Raises OutOfDomain outside the ranges given.
    Source: Jansen (1967), as given by Oh, Yoon and Chung (1997), from memory."""
    across = exit_diameter - 0.5 * (inducer_tip_diameter + inducer_hub_diameter) - tip_width
    slant = 2.0 / (inducer_angle_cosine + np.cos(backsweep))
    result: Number = np.pi / 8.0 * (across + 2.0 * axial_length) * slant
    return result


@relation(
    source="jansen-1967",
    status="from memory",
    domain={
        "exit_diameter": _ABOVE_ZERO,
        "inducer_tip_diameter": _ABOVE_ZERO,
        "inducer_hub_diameter": _ABOVE_ZERO,
        "tip_width": _ABOVE_ZERO,
        "inducer_angle_cosine": Interval(0.0, 1.0, open_low=True),
        "backsweep": _ANGLE,
        "blade_count": _ABOVE_ZERO,
    },
    needs={
        "an inducer wider than its hub": lambda inducer_tip_diameter, inducer_hub_diameter: (
            inducer_tip_diameter > inducer_hub_diameter
        )
    },
)
def hydraulic_diameter_jansen(
    exit_diameter: Number,
    inducer_tip_diameter: Number,
    inducer_hub_diameter: Number,
    tip_width: Number,
    inducer_angle_cosine: Number,
    backsweep: Number,
    blade_count: Number,
) -> Number:
    """Mean hydraulic diameter of a wheel's passages: half that of the inlet and half that of the exit.

    exit_diameter         (...,)  [m]
    inducer_tip_diameter  (...,)  [m]    above that of the hub
    inducer_hub_diameter  (...,)  [m]
    tip_width             (...,)  [m]    of the blade at the exit
    inducer_angle_cosine  (...,)  [-]    mean of the cosines of the inducer's blade angles at tip and hub
    backsweep             (...,)  [rad]
    blade_count           (...,)  [-]
    Returns (...,) [m]. Raises OutOfDomain outside the ranges given.
    Source: Jansen (1967), as given by Oh, Yoon and Chung (1997), from memory; the geometry bears it out."""
    pitch_exit = exit_diameter * np.cos(backsweep)
    exit_half = pitch_exit / (blade_count / np.pi + pitch_exit / tip_width)
    mean = 0.5 * (inducer_tip_diameter + inducer_hub_diameter)
    height = 0.5 * (inducer_tip_diameter - inducer_hub_diameter)
    pitch_inlet = mean * inducer_angle_cosine
    result: Number = exit_half + pitch_inlet / (blade_count / np.pi + pitch_inlet / height)
    return result


@relation(source="oh-1997", status="from memory")
def mean_relative_velocity_oh(
    velocity_inlet: Number,
    velocity_exit: Number,
    relative_velocity_tip: Number,
    relative_velocity_hub: Number,
    relative_velocity_exit: Number,
) -> Number:
    """Velocity with which friction in a wheel is reckoned.

    velocity_inlet          (...,)  [m/s]  absolute, at the inducer's tip
    velocity_exit           (...,)  [m/s]  absolute
    relative_velocity_tip   (...,)  [m/s]  at the inducer's tip
    relative_velocity_hub   (...,)  [m/s]  at the inducer's hub
    relative_velocity_exit  (...,)  [m/s]
    Returns (...,) [m/s]. Raises nothing.
    Source: Oh, Yoon and Chung (1997), from memory."""
    total = velocity_inlet + velocity_exit + relative_velocity_tip
    return (total + 2.0 * relative_velocity_hub + 3.0 * relative_velocity_exit) / 8.0


@relation(
    source="aungier-2000",
    status="from memory",
    domain={
        "skin_friction_loss_coefficient": _NOT_NEGATIVE,
        "relative_velocity": _ABOVE_ZERO,
        "relative_velocity_exit": _ABOVE_ZERO,
        "density_ratio": _ABOVE_ZERO,
        "area_ratio": _ABOVE_ZERO,
        "hydraulic_diameter": _ABOVE_ZERO,
        "length": _ABOVE_ZERO,
        "tip_width": _ABOVE_ZERO,
        "clearance": _NOT_NEGATIVE,
    },
)
def exit_blockage_aungier(
    skin_friction_loss_coefficient: Number,
    relative_velocity: Number,
    relative_velocity_exit: Number,
    density_ratio: Number,
    area_ratio: Number,
    hydraulic_diameter: Number,
    length: Number,
    tip_width: Number,
    clearance: Number,
) -> Number:
    """Share of a wheel's exit taken by boundary layers, wake and clearance flow.

    skin_friction_loss_coefficient  (...,)  [-]    friction loss over half the square of the inlet's velocity
    relative_velocity               (...,)  [m/s]  at the inlet
    relative_velocity_exit          (...,)  [m/s]
    density_ratio                   (...,)  [-]    exit over inlet
    area_ratio                      (...,)  [-]    exit across the flow over throat
    hydraulic_diameter              (...,)  [m]    mean of the passages
    length                          (...,)  [m]    of the mean path
    tip_width                       (...,)  [m]    of the blade at the exit
    clearance                       (...,)  [m]    between blade and housing
    Returns (...,) [-]. Raises OutOfDomain outside the ranges given.
    Source: Aungier (2000), from memory."""
    heads = (relative_velocity / relative_velocity_exit) ** 2 / density_ratio
    layer = np.sqrt(relative_velocity * hydraulic_diameter / (relative_velocity_exit * tip_width))
    wake = (0.3 + (tip_width / length) ** 2) * area_ratio**2 * density_ratio * tip_width / length
    result: Number = skin_friction_loss_coefficient * heads * layer + wake + 0.5 * clearance / tip_width
    return result
