"""Behind the wheel of a compressor: the vaneless diffuser marched outward, and a volute."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.physics.gas.air import viscosity_sutherland
from boostwright.physics.turbo.vaneless_diffuser import (
    diffuser_friction_coefficient_japikse,
    entropy_slope_stanitz,
    swirl_slope_stanitz,
    volute_loss,
)

__all__ = ["Outlet", "after_wheel"]

Array = NDArray[np.float64]

_R, _CP = 287.05, 1004.675
_STEPS = 40


@dataclass(frozen=True)
class Outlet:
    """Dimensions behind the wheel.

    radius_in     [m] of the wheel
    radius_ratio  [-] outlet over inlet of the diffuser
    width_in, width_out  [m] of the diffuser, straight between
    volute_share  [-] share of the tangential head a volute loses; below 0 where there is no volute
    """

    radius_in: float
    radius_ratio: float
    width_in: float
    width_out: float
    volute_share: float


def _radial_velocity(
    flux: Array, total_temperature: Array, total_pressure: Array, swirl: Array
) -> tuple[Array, Array, Array]:
    """Subsonic radial velocity [m/s], density and static temperature that carry a flux [kg/(s m2)]."""
    radial = flux * _R * total_temperature / total_pressure
    for _ in range(25):
        static = np.maximum(total_temperature - (swirl**2 + radial**2) / (2.0 * _CP), 120.0)
        density = total_pressure / (_R * total_temperature) * (static / total_temperature) ** 2.5
        radial = 0.5 * (radial + np.minimum(flux / density, np.sqrt(1.4 * _R * static)))
    return radial, density, static


def after_wheel(
    outlet: Outlet, flow: Array, total_temperature: Array, total_pressure: Array, swirl: Array
) -> Array:
    """Total pressure [Pa] at the end of diffuser or volute.

    outlet             dimensions
    flow               (n,) [kg/s]
    total_temperature  (n,) [K] behind the wheel; kept, walls take no heat
    total_pressure     (n,) [Pa] behind the wheel, mixing counted
    swirl              (n,) [m/s] behind the wheel
    Returns (n,).
    """
    radii = outlet.radius_in * np.linspace(1.0, outlet.radius_ratio, _STEPS + 1)
    widths = np.linspace(outlet.width_in, outlet.width_out, _STEPS + 1)
    pressure, tangential = np.array(total_pressure, dtype=float), np.array(swirl, dtype=float)
    radial, density, static = _radial_velocity(
        flow / (2.0 * np.pi * radii[0] * widths[0]), total_temperature, pressure, tangential
    )
    for i in range(_STEPS):
        step = radii[i + 1] - radii[i]
        velocity = np.hypot(radial, tangential)
        reynolds = density * velocity * widths[i] / viscosity_sutherland.formula(static)
        friction = diffuser_friction_coefficient_japikse.formula(np.maximum(reynolds, 1.0))
        radius, width = 0.5 * (radii[i] + radii[i + 1]), 0.5 * (widths[i] + widths[i + 1])
        half = tangential + 0.5 * step * swirl_slope_stanitz.formula(
            tangential, radial, radii[i], widths[i], friction
        )
        pressure = pressure * np.exp(
            -step * entropy_slope_stanitz.formula(half, radial, static, width, friction) / _R
        )
        tangential = tangential + step * swirl_slope_stanitz.formula(half, radial, radius, width, friction)
        flux = flow / (2.0 * np.pi * radii[i + 1] * widths[i + 1])
        radial, density, static = _radial_velocity(flux, total_temperature, pressure, tangential)
    if outlet.volute_share >= 0.0:
        pressure = pressure - volute_loss(radial, tangential, density, outlet.volute_share)
    return pressure
