"""Whole machines through the mean line: chains of the proof."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.components.compressor_wheel import CompressorWheel, WheelState, wheel_state
from boostwright.components.compressor_wheel import throat_flow as flow_of_throat
from boostwright.proof.chain import chain

__all__ = ["mean_line_choked_flow", "mean_line_efficiency", "mean_line_pressure_ratio"]

_LOSSES = tuple(
    f"turbo.compressor_mean_line.{name}"
    for name in (
        "choking_loss_coefficient_aungier",
        "loss_blade_loading_coppage",
        "loss_clearance_jansen",
        "loss_disc_friction_daily_nece",
        "loss_incidence_conrad",
        "loss_mixing_johnston_dean",
        "loss_recirculation_coppage",
        "loss_skin_friction_jansen",
    )
)


def _state(speed: float, mass_flow: float, **dimensions: float) -> WheelState:
    whole = {key: int(dimensions.pop(key)) for key in ("full_blades", "splitter_blades")}
    wheel = CompressorWheel(**dimensions, **whole, volute=False)  # type: ignore[arg-type]
    return wheel_state(wheel, speed, np.array([mass_flow]))


@chain(*_LOSSES)
def mean_line_pressure_ratio(speed: float, mass_flow: float, **dimensions: float) -> Any:
    """Pressure ratio of a compressor by its dimensions (fields of CompressorWheel), at 288.15 K, 101 325 Pa."""
    return float(_state(speed, mass_flow, **dimensions).pressure_ratio[0])


@chain(*_LOSSES)
def mean_line_efficiency(speed: float, mass_flow: float, **dimensions: float) -> Any:
    """Efficiency of a compressor by its dimensions (fields of CompressorWheel), at 288.15 K, 101 325 Pa."""
    return float(_state(speed, mass_flow, **dimensions).efficiency[0])


@chain("turbo.compressor_similarity.choked_flow_ratio")
def mean_line_choked_flow(speed: float, **dimensions: float) -> Any:
    """Flow at which the inducer's throat chokes, by the dimensions."""
    whole = {key: int(dimensions.pop(key)) for key in ("full_blades", "splitter_blades")}
    wheel = CompressorWheel(**dimensions, **whole, volute=False)  # type: ignore[arg-type]
    return flow_of_throat(wheel, speed)
