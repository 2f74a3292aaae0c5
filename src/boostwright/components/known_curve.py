"""A known naturally aspirated curve turned back into volumetric efficiency: the root of torque, speed by speed."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.components.driveline import crank_power
from boostwright.components.weather_correction import reference_settings
from boostwright.errors import BoostwrightError

__all__ = [
    "HIGHEST",
    "LOWEST",
    "NoVolumetricEfficiency",
    "crank_torque",
    "invert_known_curve",
    "settings_of_known_curve",
    "settings_of_old_engine",
]

Array = NDArray[np.float64]

LOWEST, HIGHEST = 0.3, 1.4
"""Volumetric efficiencies between which the answer is sought."""

_ROUNDS = 60
_CLOSE = 1e-10  # of the torque asked


class NoVolumetricEfficiency(BoostwrightError, ValueError):
    """No volumetric efficiency between 0.3 and 1.4 gives the torque asked.

    missed  (n,) bool, True where there is none
    torque_at_lowest, torque_at_highest  (n,) [N m] what the two ends give; nan where the model has no state
    """

    def __init__(self, missed: NDArray[np.bool_], torque: Array, low: Array, high: Array) -> None:
        """Keep where it fails, and say the first one."""
        self.missed, self.torque_at_lowest, self.torque_at_highest = missed, low, high
        first = int(np.argmax(missed))
        super().__init__(
            f"point {first}: {torque[first]:.4g} Nm is outside {low[first]:.4g} to {high[first]:.4g} Nm, which "
            f"volumetric efficiencies of {LOWEST} to {HIGHEST} give"
        )


def invert_known_curve(predict_torque: Callable[[Array], Array], torque: Array) -> Array:
    """Volumetric efficiency (n,) [-] at which a model gives the torque (n,) [N m] at the crankshaft.

    predict_torque  volumetric efficiencies (n,) -> torque (n,) [N m], rising; called for all points at once
    False position with the stale end halved (Illinois), which keeps the root between its ends; halving where that
    does not shrink. Raises NoVolumetricEfficiency where 0.3 to 1.4 does not hold the root, or the model has no state.
    """
    asked = np.asarray(torque, dtype=float)
    low, high = np.full(asked.shape, LOWEST), np.full(asked.shape, HIGHEST)
    torque_low, torque_high = predict_torque(low), predict_torque(high)
    below, above = torque_low - asked, torque_high - asked
    missed = ~((below <= 0.0) & (above >= 0.0))
    if missed.any():
        raise NoVolumetricEfficiency(missed, asked, torque_low, torque_high)
    side = np.zeros(asked.shape)
    middle = low
    for count in range(_ROUNDS):
        spread = np.where(above > below, above - below, 1.0)
        middle = np.where(above > below, low - below * (high - low) / spread, low)
        if count % 4 == 3:
            middle = 0.5 * (low + high)
        off = predict_torque(middle) - asked
        if not np.isfinite(off).all():
            raise NoVolumetricEfficiency(~np.isfinite(off), asked, torque_low, torque_high)
        if (np.abs(off) <= _CLOSE * np.maximum(np.abs(asked), 1.0)).all():
            return np.asarray(middle)
        up = off > 0.0
        halved_low = np.where(up & (side > 0.0), 0.5 * below, below)
        halved_high = np.where(~up & (side < 0.0), 0.5 * above, above)
        high, above = np.where(up, middle, high), np.where(up, off, halved_high)
        low, below = np.where(up, low, middle), np.where(up, halved_low, off)
        side = np.where(up, 1.0, -1.0)
    return np.asarray(middle)


def crank_torque(build: Build, speeds: Array) -> Array:
    """The known curve as torque (n,) [N m] at the crankshaft at engine speeds (n,) [rad/s]."""
    breath = build["breathing"]
    power = breath.has("known_power")
    curve = breath.curve("known_power" if power else "known_torque")
    values = curve.along(speeds)
    watts = values if power else values * speeds
    if breath.text("known_curve_at") == "wheel":
        watts = crank_power(build["driveline"], watts, speeds)
    return np.asarray(watts / speeds, dtype=float)


def settings_of_known_curve(build: Build) -> tuple[str, ...]:
    """Settings that put a build back to the measured engine in the air of its curve.

    The volumetric efficiency of 1 is a place holder.
    """
    return (
        *_air_settings(build),
        *settings_of_old_engine(build),
        "breathing.source=table",
        "breathing.volumetric_efficiency=1.0",
        "prediction.mode=no-turbo",
        "power_correction.method=none",
    )


def settings_of_old_engine(build: Build) -> tuple[str, ...]:
    """Settings that put a build back to the engine before the turbo: its intake, exhaust and mixture, no cooler."""
    breath = build["breathing"]
    flow = f"{breath.si('known_gas_flow')!r} kg/s"
    return (
        f"fuel.lambda_target={_mixture(build)}",
        f"intake.pressure_drop={breath.si('known_intake_pressure_drop')!r} Pa",
        f"intake.at_mass_flow={flow}",
        "intake.at_temperature=20 degC",
        "intake.at_pressure=101.325 kPa absolute",
        "charge_cooler.kind=none",
        f"exhaust.pressure_drop={breath.si('known_exhaust_pressure_drop')!r} Pa",
        f"exhaust.at_mass_flow={flow}",
        f"exhaust.at_temperature={breath.si('known_exhaust_temperature')!r} K",
        "exhaust.at_pressure=101.325 kPa absolute",
    )


def _air_settings(build: Build) -> tuple[str, ...]:
    """The air the curve is stated for."""
    breath = build["breathing"]
    air = breath.text("known_curve_air")
    if air != "as-measured":
        return reference_settings(air)
    return (
        "ambient.altitude=",
        f"ambient.pressure={breath.si('known_curve_pressure')!r} Pa",
        "ambient.pressure_basis=station",
        f"ambient.temperature={breath.si('known_curve_temperature')!r} K",
        f"ambient.relative_humidity={breath.si('known_curve_humidity')!r}",
    )


def _mixture(build: Build) -> str:
    """Lambda of the known curve as a setting."""
    mixture = build["breathing"].curve("known_curve_lambda")
    if mixture.is_constant:
        return repr(mixture.value_points[0])
    speeds = ", ".join(f"{speed * 30.0 / math.pi!r}" for speed in mixture.speed_points)
    values = ", ".join(repr(value) for value in mixture.value_points)
    return f'{{ speed = [{speeds}], unit = "rpm", value = [{values}] }}'
