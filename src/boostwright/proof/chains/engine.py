"""Engine mechanics: chains of the proof."""

from __future__ import annotations

from typing import Any

from boostwright.physics.cylinder import slider_crank
from boostwright.proof.chain import chain

__all__ = [
    "net_rod_compression",
]


@chain("cylinder.slider_crank.rod_force_firing", "cylinder.slider_crank.gas_force")
def net_rod_compression(
    pressure: float,
    crankcase_pressure: float,
    bore: float,
    reciprocating_mass: float,
    stroke: float,
    rod_length: float,
    rotational_speed: float,
) -> Any:
    """Rod compression at firing top dead centre."""
    inertia = slider_crank.inertia_force(0.0, reciprocating_mass, stroke, rod_length, rotational_speed)
    return slider_crank.rod_force_firing(slider_crank.gas_force(pressure, crankcase_pressure, bore), inertia)
