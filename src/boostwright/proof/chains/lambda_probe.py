"""A lambda reading under pressure, worked through the pump current."""

from __future__ import annotations

from typing import Any

from boostwright.physics import lambda_probe
from boostwright.proof.chain import chain

__all__ = ["lambda_reading_under_pressure"]


@chain(
    "lambda_probe.pump_current",
    "lambda_probe.pump_current_pressure_factor",
    "lambda_probe.lambda_of_pump_current",
)
def lambda_reading_under_pressure(air_ratio: float, pressure: float, coefficient: float) -> Any:
    """What a probe shows in gas of a lambda at an absolute pressure."""
    factor = lambda_probe.pump_current_pressure_factor(pressure, lambda_probe.REFERENCE_PRESSURE, coefficient)
    return lambda_probe.lambda_of_pump_current(lambda_probe.pump_current(air_ratio) * factor)
