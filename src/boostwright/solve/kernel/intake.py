"""Fresh-air side inside the compiled solver: filter, compressor, cooler, throttle, and what the engine breathes."""

from __future__ import annotations

from typing import Any

import numpy as np

from boostwright.numerics.compiler import compiled
from boostwright.physics.cylinder import breathing
from boostwright.solve.kernel.compressor import compressor_state
from boostwright.solve.kernel.gas import air_enthalpy, air_heat, air_temperature
from boostwright.solve.kernel.layout import NO_TURBO

__all__ = [
    "BREATHING_GAMMA",
    "REFERENCE_PRESSURE",
    "REFERENCE_TEMPERATURE",
    "charge_path",
    "engine_breathing",
]

REFERENCE_PRESSURE = 101325.0  # Pa, of every compressor surface
REFERENCE_TEMPERATURE = 288.15  # K
_TYPICAL_HEAT = 1010.0  # J/(kg K) of compressed air, for a first guess
_COOLER_EXPONENT = 0.4  # NTU falls with flow^0.4: turbulent charge side, constant air side
_LEAST_PRESSURE_SHARE = 0.2  # a restriction never takes the pressure below this share in a trial state
BREATHING_GAMMA = 1.3  # of the residual gas
_eriksson = compiled(breathing.backpressure_factor_eriksson.formula)
_heywood = compiled(breathing.backpressure_factor_heywood.formula)


@compiled
def _after_restriction(loss: float, flow: float, temperature: float, pressure: float) -> float:
    return max(pressure - loss * flow * flow * temperature / pressure, _LEAST_PRESSURE_SHARE * pressure)


@compiled
def charge_path(p: Any, maps: Any, flow: float, shaft_speed: float) -> Any:
    """From ambient to the intake manifold at a given air flow and shaft speed.

    Returns p1, corrected speed, corrected flow (of one compressor), pressure ratio, compressor power (of all), p2, T2,
    cooler effectiveness, p_bp, T_bp, p_im, T_im; SI, totals.
    """
    t1 = p.temperature_amb
    p1 = _after_restriction(p.intake_loss, flow, t1, p.pressure_amb)
    heat = np.sqrt(t1 / REFERENCE_TEMPERATURE)
    speed_c = shaft_speed / heat
    if p.mode == NO_TURBO:
        flow_c = 0.0
        ratio = 1.0
        rise = 0.0
    else:
        flow_c = flow / p.compressor_count * heat * REFERENCE_PRESSURE / p1
        ratio, work = compressor_state(maps[p.compressor_index], speed_c, flow_c)
        rise = work * t1 / REFERENCE_TEMPERATURE
    p2 = p1 * ratio
    t2 = t1
    if rise != 0.0:
        middle = air_heat(p, t1 + 0.5 * rise / _TYPICAL_HEAT)
        t2 = air_temperature(p, air_enthalpy(p, t1) + rise, t1 + rise / middle)
    effectiveness = 0.0
    if p.cooler_transfer_units > 0.0:
        units = p.cooler_transfer_units * np.exp(_COOLER_EXPONENT * np.log(p.cooler_flow / flow))
        effectiveness = p.cooler_derating * (1.0 - np.exp(-units))
    t_bp = t2 - effectiveness * (t2 - p.cooler_temperature)
    p_bp = _after_restriction(p.cooler_loss, flow, t2, p2)
    p_im = _after_restriction(p.throttle_loss, flow, t_bp, p_bp)
    return p1, speed_c, flow_c, ratio, flow * rise, p2, t2, effectiveness, p_bp, t_bp, p_im, t_bp


@compiled
def _breathing_factor(p: Any, pressure_ratio: float) -> float:
    """The chosen published back-pressure factor at p_em/p_im [-]; kept above 0.05 in trial states."""
    if p.breathing_form == 0.0:
        return max(_eriksson(pressure_ratio, p.compression_ratio, BREATHING_GAMMA), 0.05)
    return max(_heywood(pressure_ratio, p.compression_ratio, BREATHING_GAMMA), 0.05)


@compiled
def engine_breathing(p: Any, p_im: float, t_im: float, p_em: float) -> Any:
    """Fresh air the engine takes [kg/s] and the volumetric efficiency [-] at this state."""
    efficiency = (
        p.volumetric_efficiency
        * _breathing_factor(p, p_em / p_im)
        / p.breathing_reference
        * np.exp(p.breathing_exponent * np.log(t_im / p.breathing_temperature))
    )
    density = p_im / (p.gas_constant_air * t_im)
    return efficiency * density * p.displacement * p.engine_speed / (4.0 * np.pi), efficiency
