"""Engine geometry, breathing, and the cylinder stand-in: a stated indicated efficiency, wall heat and friction.

The stand-in answers the questions the crank-angle cylinder will answer (gross work, heat to the walls, peak
pressure for friction) from stated numbers; each is an input with a status, so nobody takes them for a cycle.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, Section
from boostwright.physics.cylinder import air_standard, breathing, definitions, friction, pumping

__all__ = ["BREATHING_FORMS", "BREATHING_GAMMA", "Engine", "engine", "friction_pressure", "peak_pressure"]

Array = NDArray[np.float64]

BREATHING_FORMS = ("eriksson", "heywood")
BREATHING_GAMMA = 1.3  # of the residual gas, in the back-pressure factor
_OTTO_GAMMA = 1.3  # of the ideal cycle that the relative efficiency is a share of
_COMPRESSION_EXPONENT = 1.3
_REFERENCE_SPEED = 3000.0 * np.pi / 30.0
_BAR = 1.0e5


@dataclass(frozen=True)
class Engine:
    """Point fields of the engine by name (scalars or (n,)), and what the shaft balance of the crank needs."""

    fields: Mapping[str, float | Array]
    displacement: float
    mean_piston_speed: Array


def engine(build: Build, speeds: Array) -> Engine:
    """Engine, breathing and cylinder fields at the engine speeds (n,) [rad/s]."""
    geometry, breath, cylinder = build["engine"], build["breathing"], build["cylinder"]
    ratio = geometry.si("compression_ratio")
    volume = float(
        definitions.displacement(geometry.si("bore"), geometry.si("stroke"), geometry.si("cylinders"))
    )
    piston = np.asarray(definitions.mean_piston_speed(geometry.si("stroke"), speeds), dtype=float)
    form = breath.text("backpressure_relation")
    factor = {
        "eriksson": breathing.backpressure_factor_eriksson,
        "heywood": breathing.backpressure_factor_heywood,
    }[form]
    wall = cylinder.si("wall_heat_fraction") * (speeds / _REFERENCE_SPEED) ** cylinder.si(
        "wall_heat_speed_exponent"
    )
    loss = cylinder.si("valve_loss_factor") * _BAR
    curve = breath.curve("volumetric_efficiency")
    mixture = np.array([build["fuel"].curve("lambda_target").at(speed) for speed in speeds])
    fields: dict[str, float | Array] = {
        "engine_speed": speeds,
        "displacement": volume,
        "compression_ratio": ratio,
        "volumetric_efficiency": np.array([curve.at(speed) for speed in speeds]),
        "breathing_form": float(BREATHING_FORMS.index(form)),
        "breathing_reference": float(factor(breath.si("reference_pressure_ratio"), ratio, BREATHING_GAMMA)),
        "breathing_temperature": breath.si("reference_temperature"),
        "breathing_exponent": breath.si("temperature_exponent"),
        "gross_efficiency": cylinder.si("relative_efficiency")
        * float(air_standard.efficiency_otto(ratio, _OTTO_GAMMA))
        * np.asarray(air_standard.mixture_efficiency_factor(mixture), dtype=float),
        "wall_heat_fraction": wall,
        "valve_loss": np.asarray(pumping.valve_loss(piston, 1.0, loss), dtype=float),
    }
    return Engine(fields=fields, displacement=volume, mean_piston_speed=piston)


def peak_pressure(section: Section, compression_ratio: float, pressure_im: Array) -> Array:
    """Peak cylinder pressure [Pa] of the stand-in: a stated multiple of the compression pressure.

    pressure_im (...,) [Pa] absolute. Serves the friction relation only.
    """
    factor = section.si("peak_pressure_factor")
    return np.asarray(factor * pressure_im * compression_ratio**_COMPRESSION_EXPONENT, dtype=float)


def friction_pressure(section: Section, peak: Array, piston_speed: Array, speeds: Array) -> Array:
    """Friction mean effective pressure [Pa] by the relation the build names, without pumping.

    peak (n,) [Pa], piston_speed (n,) [m/s], speeds (n,) [rad/s]. Barnes-Moss gives friction with the pumping of an
    unboosted engine at full throttle; the stand-in's own valve loss at 100 kPa is taken off it, since the solver counts
    pumping itself.
    """
    loss = section.si("valve_loss_factor") * _BAR
    if section.text("friction") == "barnes-moss":
        pumped = np.asarray(pumping.valve_loss(piston_speed, 1.0e5, loss), dtype=float)
        rubbing: Array = np.asarray(friction.friction_barnes_moss(speeds), dtype=float) - pumped
        return rubbing
    return np.asarray(
        friction.friction_chen_flynn(
            peak,
            piston_speed,
            section.si("friction_constant"),
            section.si("friction_peak_pressure_factor"),
            section.si("friction_speed_factor") * _BAR,
            section.si("friction_speed_squared_factor") * _BAR,
        ),
        dtype=float,
    )
