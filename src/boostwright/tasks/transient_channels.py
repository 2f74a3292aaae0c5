"""From rows of the kernel to channels by our names, statics and shares put in."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.physics.gas import isentropic
from boostwright.solve.kernel.transient_layout import ANSWERS, DYNAMIC, TOTALS
from boostwright.solve.transient_plant import Plant

__all__ = ["channels_of", "extras_of", "rest_channels"]

Array = NDArray[np.float64]

_OTHERWISE = {
    "time", "phase", "mass_flow_exhaust", "gate_lift", "gate_rate", "chamber_lower", "chamber_upper",
    "temperature_wall_2", "mixture", "gas_constant_exhaust", "exhaust_heat_flow", "port_enthalpy",
    "wheel_torque", "duty_integral",
}  # fmt: skip
"""Columns that are no channel as they stand."""
_SAME = tuple(name for name in ANSWERS if name not in _OTHERWISE)
_LEANEST = 20.0  # lambda that stands for plain air
_AIR, _EXHAUST = 1.4, 1.3  # cp/cv for static pressures, as in a prediction
_AIR_CONSTANT = 287.05


def _static(
    pressure: Array, flow: Array, temperature: Array, constant: Array | float, bore: float, gamma: float
) -> Array:
    area = np.pi / 4.0 * bore**2
    mach = isentropic.mach_number_from_total_pressure(
        np.abs(flow), pressure, temperature, area, constant, gamma
    )
    return np.asarray(pressure * isentropic.pressure_ratio(mach, gamma), dtype=float)


def channels_of(build: Build, plant: Plant, c: dict[str, Array]) -> dict[str, Array]:
    """Channels (n,) in SI of a run's columns."""
    problem, n = plant.problem, c["time"].size
    q = {name: c[name] for name in _SAME}
    ambient = problem.ambient
    q["pressure_amb"], q["temperature_amb"] = np.full(n, ambient.pressure), np.full(n, ambient.temperature)
    q["temperature_1"] = q["temperature_amb"]
    q["boost"] = q["pressure_im"] - ambient.pressure
    q["boost_target"] = q["pressure_im_target"] - ambient.pressure
    q["power"] = q["torque"] * q["engine_speed"]
    overall = _overall_ratio(plant, c)
    q["torque_wheel"] = c["wheel_torque"] * overall
    q["power_wheel"] = np.where(overall > 0.0, c["wheel_torque"] * c["engine_speed"], 0.0)
    q["mass_flow_exhaust"] = q["mass_flow_air"] + q["mass_flow_fuel"]
    q["mass_flow_downpipe"] = c["mass_flow_exhaust"]
    stoichiometric = problem.mixture.lambda_value * problem.mixture.fuel_air_ratio
    mixture = np.maximum(c["mixture"], float(np.mean(stoichiometric)) / _LEANEST)
    q["lambda"] = float(np.mean(stoichiometric)) / mixture
    lever = float(problem.points["gate_lever"][0]) if problem.points["gate_count"][0] > 0.0 else 1.0
    q["gate_lift"] = c["gate_lift"] * lever
    full = float(problem.points["gate_full_lift"][0])
    q["gate_position"] = c["gate_lift"] / full if full > 0.0 else np.zeros(n)
    q["gate_pressure"], q["gate_pressure_upper"] = c["chamber_lower"], c["chamber_upper"]
    q["drive_pressure_ratio"] = q["pressure_em"] / q["pressure_im"]
    _statics(build, c, q)
    return q


def _overall_ratio(plant: Plant, c: dict[str, Array]) -> Array:
    """Engine turns per wheel turn (n,), 0 out of gear."""
    record = plant.record[0]
    ratios = np.concatenate([[0.0], record["gears"]])
    return np.asarray(ratios[c["gear"].astype(int)] * record["final_drive"])


def _statics(build: Build, c: dict[str, Array], q: dict[str, Array]) -> None:
    """Static pressures where a wall tap can stand. Bores: duct at the compressor, throttle at the boost pipe."""
    duct, throttle = build["transient"].si("duct_bore"), build["throttle"].si("bore")
    collector, downpipe = build["exhaust_manifold"].si("collector_bore"), build["exhaust"].si("bore")
    gas = c["gas_constant_exhaust"]
    cold = (
        ("1", "mass_flow_compressor", duct),
        ("2", "mass_flow_compressor", duct),
        ("bp", "mass_flow_throttle", throttle),
    )
    for place, name, bore in cold:
        total, warmth = q[f"pressure_{place}"], q[f"temperature_{place}"]
        q[f"pressure_{place}_static"] = _static(total, q[name], warmth, _AIR_CONSTANT, bore, _AIR)
    for place, flow, bore in (
        ("em", c["mass_flow_turbine"] + c["mass_flow_gate"], collector),
        ("4", c["mass_flow_exhaust"], downpipe),
    ):
        q[f"pressure_{place}_static"] = _static(
            q[f"pressure_{place}"], flow, q[f"temperature_{place}"], gas, bore, _EXHAUST
        )
    gate = build["wastegate"]
    q["pressure_g_static"] = q["pressure_g"].copy()
    if gate.has("branch_bore"):
        each = c["mass_flow_gate"] / gate.si("count")
        q["pressure_g_static"] = _static(
            q["pressure_g"], each, q["temperature_em"], gas, gate.si("branch_bore"), _EXHAUST
        )


def extras_of(c: dict[str, Array]) -> dict[str, Array]:
    """States and running totals by their kernel names."""
    return {name: c[f"state_{name}"] for name in DYNAMIC} | {name: c[name] for name in TOTALS}


_AMBIENT = (
    "pressure_1",
    "pressure_2",
    "pressure_bp",
    "pressure_im",
    "pressure_em",
    "pressure_g",
    "pressure_4",
)


def rest_channels(
    plant: Plant, like: dict[str, Array], walls: dict[str, float], seconds: float, step: float
) -> dict[str, Array]:
    """Channels of an engine that stands still with the key on: ambient pressure, nothing flows.

    like   channels of a run, for their names; walls  temperatures [K] that are not ambient
    """
    n = max(round(seconds / step), 1)
    ambient = plant.problem.ambient
    q = {name: np.zeros(n) for name in like}
    for name in like:
        if name.startswith("pressure_") or name.startswith("gate_pressure"):
            q[name] = np.full(n, ambient.pressure)
        elif name.startswith("temperature_"):
            q[name] = np.full(n, walls.get(name, ambient.temperature))
    q["lambda"] = np.full(n, _LEANEST)
    q["drive_pressure_ratio"] = q["compressor_pressure_ratio"] = np.ones(n)
    return q
