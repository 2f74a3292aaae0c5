"""The naturally aspirated curve that an owner knows, turned back through the same cycle into filling."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, with_settings
from boostwright.cards.card import Card
from boostwright.components.breathing import Filling
from boostwright.components.known_curve import (
    HIGHEST,
    LOWEST,
    NoVolumetricEfficiency,
    crank_torque,
    invert_known_curve,
    settings_of_known_curve,
    settings_of_old_engine,
)
from boostwright.errors import BuildError, Fault
from boostwright.solve.problem import assemble
from boostwright.solve.quantities import quantities_of
from boostwright.solve.run import solve

__all__ = ["engine_of_the_known_curve", "filling_of_known_curve"]

Array = NDArray[np.float64]
_RPM = np.pi / 30.0
_NO_SHAFT = 1.0  # rad/s: there is no turbo whose speed could be near a limit


def filling_of_known_curve(build: Build, cards: Mapping[str, Card], speeds: Array) -> Filling | None:
    """Filling at which the engine without turbo gives its known curve; None where the build's source is another.

    speeds  (n,) [rad/s] at which the curve is met to rounding, besides its own points; straight between them
    The engine then: its own intake, exhaust, mixture and air, no cooler and no turbo; fuel, displacement and
    compression ratio as now. Raises BuildError where no volumetric efficiency gives the curve.
    """
    breath = build["breathing"]
    if breath.text("source") != "known-curve":
        return None
    curve = breath.curve("known_power" if breath.has("known_power") else "known_torque")
    own = () if curve.is_constant else curve.speed_points
    here = np.unique(np.concatenate([np.asarray(speeds, dtype=float), np.asarray(own, dtype=float)]))
    old = with_settings(build, settings_of_known_curve(build))
    problem = assemble(old, cards, here, "no-turbo")

    def state(efficiency: Array) -> Mapping[str, Array]:
        points = problem.points.copy()
        points["volumetric_efficiency"] = efficiency
        these = replace(problem, points=points)
        return quantities_of(old, these, solve(these), _NO_SHAFT)

    torque = crank_torque(build, here)
    try:
        found = state(invert_known_curve(lambda efficiency: state(efficiency)["torque"], torque))
    except NoVolumetricEfficiency as error:
        raise BuildError([_fault(build, error, here, torque)]) from error
    return Filling(
        speeds=here,
        volumetric_efficiency=found["volumetric_efficiency"],
        pressure_ratio=found["pressure_em"] / found["pressure_im"],
        temperature_im=found["temperature_im"],
    )


def engine_of_the_known_curve(build: Build) -> Build:
    """The build without its turbo, where it knows what the engine was like: old intake, exhaust and mixture, in
    today's air. Any other build, and any other mode, comes back as it is."""
    known = build["breathing"].text("source") == "known-curve"
    if not known or build["prediction"].text("mode") != "no-turbo":
        return build
    return with_settings(build, settings_of_old_engine(build))


def _fault(build: Build, error: NoVolumetricEfficiency, speeds: Array, torque: Array) -> Fault:
    """The first speed at which the curve cannot be met, with what the model can give there."""
    first = int(np.argmax(error.missed))
    low, high = error.torque_at_lowest[first], error.torque_at_highest[first]
    key = "known_power" if build["breathing"].has("known_power") else "known_torque"
    line = build["breathing"].values[key].line
    place = f"{build.path.name}, line {line}" if line else build.path.name
    return Fault(
        place,
        f"breathing.{key}",
        "",
        f"asks for {torque[first]:.4g} Nm at the crankshaft at {speeds[first] / _RPM:.0f} rpm, and volumetric "
        f"efficiencies of {LOWEST} to {HIGHEST} give {low:.4g} to {high:.4g} Nm.",
        "a curve that this engine can have without boost",
        "Check its unit, crank or wheel, the displacement, and what [cylinder] says of efficiency and friction.",
        line,
    )
