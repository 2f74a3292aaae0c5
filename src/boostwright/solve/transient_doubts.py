"""What a second truth takes otherwise than the model, so that later work is not judged by the model that made it."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["AS_MODELLED", "SECOND_TRUTH", "TransientDoubts"]


@dataclass(frozen=True)
class TransientDoubts:
    """Factors on the model's own parts, 1 or False where it is taken as it stands.

    compressor_flow, compressor_pressure, compressor_efficiency  on flow, on pressure ratio less one, on efficiency
    turbine_flow, turbine_efficiency
    pulses                   on the relative pulse amplitude at the turbine
    friction                 on the engine's friction mean pressure
    other_friction           True: another relation of the engine's friction than the build's
    head_area                on the areas on which the exhaust pushes the gate
    head_force_early         True: the force on the valve's head falls early with lift, not straight
    second_zone_conductance  share of the manifold's heat loss that goes through a second wall
    second_zone_mass         share of its mass that stands there
    hose_area                on the effective area of the actuator's hose
    """

    compressor_flow: float = 1.0
    compressor_pressure: float = 1.0
    compressor_efficiency: float = 1.0
    turbine_flow: float = 1.0
    turbine_efficiency: float = 1.0
    pulses: float = 1.0
    friction: float = 1.0
    other_friction: bool = False
    head_area: float = 1.0
    head_force_early: bool = False
    second_zone_conductance: float = 0.0
    second_zone_mass: float = 0.0
    hose_area: float = 1.0


AS_MODELLED = TransientDoubts()
SECOND_TRUTH = TransientDoubts(
    compressor_flow=0.95,
    compressor_pressure=0.97,
    compressor_efficiency=0.95,
    turbine_flow=1.05,
    turbine_efficiency=0.95,
    pulses=1.4,
    other_friction=True,
    head_area=0.9,
    head_force_early=True,
    second_zone_conductance=0.4,
    second_zone_mass=0.15,
    hose_area=0.35,
)
"""Map off by 5 %, other friction and head force, stronger pulses, a thin hot zone, a slow hose."""
