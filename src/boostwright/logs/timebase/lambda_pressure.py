"""A lambda reading freed from what the pressure at the probe does to it, with a band; or what is missing for that."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.physics.lambda_probe import (
    LEANEST,
    REFERENCE_PRESSURE,
    RICHEST,
    lambda_of_pump_current,
    pump_current,
    pump_current_pressure_factor,
)

__all__ = [
    "LambdaAtReference",
    "PressureEffect",
    "lambda_at_reference",
    "reading_under_pressure",
    "without_pressure",
]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class PressureEffect:
    """The constant k [Pa] of a probe: lean as known, rich as a band.

    The defaults are those of a widely used planar probe: lean 47 kPa (35 to 60), from memory. For rich gas no value is
    confirmed. By diffusion k should be nearly the same for hydrogen and carbon monoxide as for oxygen (the ratio of
    collisions with each other and with pore walls is alike); taken is half to twice the lean value, own estimate.
    """

    lean: float = 47e3
    lean_low: float = 35e3
    lean_high: float = 60e3
    rich: float = 47e3
    rich_low: float = 23.5e3
    rich_high: float = 94e3


@dataclass(frozen=True, eq=False)
class LambdaAtReference:
    """A reading corrected.

    value, low, high (n,) [-]  with the constant as taken and at the ends of its band; NaN without a pressure, and
                     outside 0.65 to 1.70, where the current is not known
    words   what was done
    """

    value: Array
    low: Array
    high: Array
    words: str


def lambda_at_reference(
    reading: Array, pressure: Array, effect: PressureEffect | None = None
) -> LambdaAtReference:
    """The lambda that a probe under pressure would have shown at the reference pressure.

    reading   (n,) [-]   as shown, not corrected before
    pressure  (n,) [Pa]  absolute, at the probe at the same times
    Pressure adds to the pump current, so a rich reading is too rich and a lean one too lean; at 1.003, where no current
    flows, nothing changes. The current is divided, not lambda.
    """
    effect = effect or PressureEffect()
    known = (reading >= RICHEST) & (reading <= LEANEST) & np.isfinite(pressure) & (pressure > 0.0)
    shown = np.asarray(pump_current(np.where(known, reading, 1.003)))
    p = np.where(known, pressure, REFERENCE_PRESSURE)
    made = []
    for lean, rich in (
        (effect.lean, effect.rich),
        (effect.lean_low, effect.rich_low),
        (effect.lean_high, effect.rich_high),
    ):
        factor = pump_current_pressure_factor(p, REFERENCE_PRESSURE, np.where(shown < 0.0, rich, lean))
        ends = float(pump_current(RICHEST)), float(pump_current(LEANEST))
        current = np.clip(shown / factor, *ends)  # below the reference pressure the current rises
        made.append(np.where(known, lambda_of_pump_current(current), np.nan))
    stack = np.stack(made)
    return LambdaAtReference(
        made[0], stack.min(axis=0), stack.max(axis=0), _words(reading, pressure, stack, known)
    )


def reading_under_pressure(true: float, pressure: float, coefficient: float) -> float:
    """What a probe shows in gas of a lambda at an absolute pressure [Pa], with k [Pa]; NaN outside its table."""
    current = float(pump_current(true)) * float(
        pump_current_pressure_factor(pressure, REFERENCE_PRESSURE, coefficient)
    )
    low, high = float(pump_current(RICHEST)), float(pump_current(LEANEST))
    return float(lambda_of_pump_current(current)) if low <= current <= high else float("nan")


def without_pressure(where: str, likely: tuple[float, float], effect: PressureEffect | None = None) -> str:
    """What to tell where the pressure at the probe is not logged.

    where   the place of the probe in words; likely [Pa] absolute pressures that may be met there
    """
    effect = effect or PressureEffect()
    low, high = (reading_under_pressure(0.85, p, effect.rich) for p in likely)
    ends = [f"{one:.3f}" if np.isfinite(one) else "under 0.65" for one in (low, high)]
    return (
        f"Pressure at the probe ({where}) is not logged, so lambda is not corrected for it: gas of 0.850 would be "
        f"shown as {ends[0]} at {likely[0] / 1e3:.0f} kPa and {ends[1]} at {likely[1] / 1e3:.0f} kPa absolute. Log it "
        "beside the probe."
    )


def _words(reading: Array, pressure: Array, stack: Array, known: NDArray[np.bool_]) -> str:
    if not known.any():
        return (
            "Lambda is not corrected for pressure: nowhere are a reading within 0.65 to 1.70 and a pressure known at "
            "once."
        )
    moved = stack[0] - reading
    most = int(np.nanargmax(np.abs(np.where(known, moved, np.nan))))
    rich = ", the constant for rich gas is not confirmed" if reading[most] < 1.0 else ""
    return (
        f"Lambda corrected for pressure at the probe ({np.nanmin(pressure[known]) / 1e3:.0f} to "
        f"{np.nanmax(pressure[known]) / 1e3:.0f} kPa absolute) on the pump current; most where {reading[most]:.3f} was "
        f"shown at {pressure[most] / 1e3:.0f} kPa: {stack[0][most]:.3f} ({stack[:, most].min():.3f} to "
        f"{stack[:, most].max():.3f}{rich})."
    )
