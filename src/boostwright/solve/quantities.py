"""From solved records to named quantities: everything a prediction carries along the speeds, in SI."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.physics.gas import isentropic, mixture
from boostwright.solve.cylinder_quantities import (
    cylinder_quantities,
    cylinder_quantities_beside,
    knock_phasings,
)
from boostwright.solve.kernel.layout import MODES, SOLVED, TARGET
from boostwright.solve.native import line_flows
from boostwright.solve.probe_quantities import probe_quantities
from boostwright.solve.problem import Problem
from boostwright.solve.rods import rod_quantities

__all__ = ["duty_of_share", "in_surge", "judged_quantities", "map_lines", "quantities_of", "steady_points"]

Array = NDArray[np.float64]
States = NDArray[np.void]

_COPIED = (
    "mass_flow_air",
    "mass_flow_fuel",
    "mass_flow_turbine",
    "mass_flow_gate",
    "shaft_speed",
    "pressure_1",
    "pressure_2",
    "temperature_2",
    "pressure_bp",
    "temperature_bp",
    "pressure_im",
    "temperature_im",
    "pressure_em",
    "temperature_port",
    "temperature_em",
    "pressure_g",
    "pressure_4",
    "temperature_4",
    "temperature_turbine_outlet",
    "corrected_speed",
    "corrected_flow",
    "compressor_pressure_ratio",
    "compressor_power",
    "turbine_power",
    "turbine_efficiency",
    "blade_speed_ratio",
    "volumetric_efficiency",
    "trapped_mass",
    "trapped_temperature",
    "trapped_pressure",
    "residual_fraction",
    "angle_half_burned",
    "gross_work",
    "cylinder_wall_heat",
    "port_heat_flow",
    "temperature_opening",
    "pressure_opening",
    "cooler_effectiveness",
    "gate_lift",
    "takeoff_loss",
    "collector_head",
    "signal_share",
)
_JUDGED = (
    "mass_flow_air",
    "mass_flow_fuel",
    "shaft_speed",
    "pressure_im",
    "temperature_im",
    "pressure_em",
    "temperature_port",
    "temperature_em",
    "corrected_speed",
    "corrected_flow",
    "trapped_mass",
    "trapped_temperature",
    "residual_fraction",
    "angle_half_burned",
    "gross_work",
)
_TURBO_ONLY = (
    "shaft_speed",
    "corrected_speed",
    "corrected_flow",
    "compressor_pressure_ratio",
    "compressor_efficiency",
    "compressor_power",
    "turbine_power",
    "turbine_efficiency",
    "turbine_expansion_ratio",
    "blade_speed_ratio",
    "surge_margin",
    "choke_margin",
    "speed_margin",
    "mass_flow_turbine",
    "temperature_turbine_outlet",
)
_GATE_ONLY = (
    "mass_flow_gate",
    "gate_lift",
    "gate_flow_share",
    "takeoff_recovery",
    "takeoff_loss",
    "pressure_g",
    "temperature_g",
    "signal_share",
    "solenoid_duty",
)
_INPUTS = frozenset(
    {
        "engine_speed",
        "pressure_amb",
        "temperature_amb",
        "lambda",
        "air_fuel_ratio",
        "best_phasing",
    }
)
_HEAT_CAPACITY_RATIO = 1.3  # of exhaust gas, for static pressure and velocity in a pipe


def steady_points(problem: Problem, states: States) -> NDArray[np.bool_]:
    """(n,) True where the state is steady: balanced, and not left of the surge line that the card measured."""
    solved = states["outcome"] == SOLVED
    if problem.compressor is None:
        return np.asarray(solved)
    return np.asarray(solved & ~in_surge(problem, states))


def map_lines(problem: Problem, speed: Array) -> tuple[Array, Array, Array]:
    """Flows (n,) [kg/s corrected] of surge line, line end and choke of each point's own map, at corrected speeds (n,)
    [rad/s]."""
    if len(problem.maps) == 1:
        return line_flows(problem.maps[0], speed)
    found = np.empty((3, speed.size))
    index = problem.points["compressor_index"]
    for number in np.unique(index):
        here = np.flatnonzero(index == number)
        found[:, here] = line_flows(problem.maps[number], speed[here])
    return found[0], found[1], found[2]


def in_surge(problem: Problem, states: States) -> NDArray[np.bool_]:
    """(n,) True left of the surge line, at speeds for which the card has one."""
    speed, flow = states["corrected_speed"], states["corrected_flow"]
    line, _, _ = map_lines(problem, speed)
    measured = speed >= problem.compressor.speed_lowest_measured
    return np.asarray(measured & (flow < line) & (flow > 0.0))


def duty_of_share(share: Array, plumbing: str) -> Array:
    """Solenoid duty [-] that gives a signal share (...,) [-], the inverse of ``signal_shares``."""
    return np.asarray((1.0 - share) / 2.0 if plumbing == "both" else 1.0 - share)


def _static_pressure(pressure: Array, flow: Array, temperature: Array, constant: Array, bore: float) -> Array:
    area = np.pi / 4.0 * bore**2
    mach = isentropic.mach_number_from_total_pressure(
        flow, pressure, temperature, area, constant, _HEAT_CAPACITY_RATIO
    )
    return np.asarray(pressure * isentropic.pressure_ratio(mach, _HEAT_CAPACITY_RATIO), dtype=float)


def _heat(problem: Problem, q: dict[str, Array]) -> None:
    """Heat of manifold and cooler, and the mixture."""
    points = problem.points
    q["manifold_heat_flow"] = points["heat_conductance"] * (q["temperature_em"] - q["temperature_amb"])
    heat = mixture.sensible_enthalpy
    air = problem.ambient.coefficients
    q["cooler_heat_flow"] = q["mass_flow_air"] * (
        np.asarray(heat(air, q["temperature_2"])) - np.asarray(heat(air, q["temperature_bp"]))
    )
    q["lambda"] = problem.mixture.lambda_value
    q["air_fuel_ratio"] = problem.mixture.lambda_value * problem.mixture.stoichiometric_ratio


def _map_margins(problem: Problem, q: dict[str, Array]) -> None:
    speed, flow = q["corrected_speed"], q["corrected_flow"]
    surge, _, choke = map_lines(problem, speed)
    flow_or_nan = np.where(flow > 0.0, flow, np.nan)
    q["surge_margin"] = (flow_or_nan - surge) / flow_or_nan
    q["choke_margin"] = (choke - flow) / choke


def _compressor(problem: Problem, q: dict[str, Array], speed_limit: float) -> None:
    q["speed_margin"] = 1.0 - q["shaft_speed"] / speed_limit
    air = problem.ambient.coefficients
    t1, t2, ratio = q["temperature_1"], q["temperature_2"], q["compressor_pressure_ratio"]
    t_ideal = mixture.temperature_from_entropy(
        air, mixture.entropy_function(air, t1) + problem.ambient.gas_constant * np.log(ratio)
    )
    h1 = np.asarray(mixture.sensible_enthalpy(air, t1))
    rise = np.asarray(mixture.sensible_enthalpy(air, t2)) - h1
    ideal = np.asarray(mixture.sensible_enthalpy(air, t_ideal)) - h1
    with np.errstate(divide="ignore", invalid="ignore"):
        # a machine that does not compress has no efficiency: it is a restriction
        q["compressor_efficiency"] = np.where((ratio > 1.0) & (rise > 0.0), ideal / rise, np.nan)


def _hot_side(build: Build, problem: Problem, q: dict[str, Array]) -> None:
    total = q["mass_flow_exhaust"]
    constant = problem.mixture.gas_constant
    collector = build["exhaust_manifold"].si("collector_bore")
    q["pressure_em_static"] = _static_pressure(
        q["pressure_em"], total, q["temperature_em"], constant, collector
    )
    through = q["mass_flow_turbine"] if np.any(problem.points["gate_open_outlet"] == 1.0) else total
    q["pressure_4_static"] = _static_pressure(
        q["pressure_4"], through, q["temperature_4"], constant, build["exhaust"].si("bore")
    )
    q["temperature_g"] = q["temperature_em"]
    q["turbine_expansion_ratio"] = q["pressure_em"] / q["pressure_4"]
    q["gate_flow_share"] = q["mass_flow_gate"] / total
    with np.errstate(divide="ignore", invalid="ignore"):
        gap = q["pressure_em"] - q["pressure_4"]
        q["takeoff_recovery"] = np.where(gap > 100.0, (q["pressure_g"] - q["pressure_4"]) / gap, np.nan)
        boost = q["boost"]
        q["drive_pressure_ratio_gauge"] = np.where(
            np.abs(boost) > 1000.0, (q["pressure_em"] - q["pressure_amb"]) / boost, np.nan
        )


def _judged(build: Build, problem: Problem, states: States) -> dict[str, Array]:
    """What limits and figures of merit read, margins to the map's lines apart."""
    q: dict[str, Array] = {name: np.array(states[name], dtype=float) for name in _JUDGED}
    n = problem.speeds.size
    q["engine_speed"] = problem.speeds.astype(float)
    q["pressure_amb"] = np.full(n, problem.ambient.pressure)
    cylinder_quantities(build, problem, q)
    rod_quantities(build, problem, q)
    q["mass_flow_exhaust"] = q["mass_flow_air"] + q["mass_flow_fuel"]
    q["drive_pressure_ratio"] = q["pressure_em"] / q["pressure_im"]
    probe_quantities(build, problem, q)
    return q


def judged_quantities(build: Build, problem: Problem, states: States) -> dict[str, Array]:
    """Those of ``quantities_of`` that the program's own limits and figures of merit read, of points with a turbo.

    A limit of the user's can be on any quantity, and cylinders told apart read more: they need ``quantities_of``.
    """
    q = _judged(build, problem, states)
    if build["limits"].has("latest_phasing"):
        knock_phasings(build["spark"], problem, q, early=False)
    _map_margins(problem, q)
    _only_where(q, steady_points(problem, states))
    return q


def _only_where(q: dict[str, Array], steady: NDArray[np.bool_]) -> None:
    """NaN where the point is not steady."""
    lost = np.flatnonzero(~steady)
    if lost.size:
        for name, values in q.items():
            if name not in _INPUTS:
                values[lost] = np.nan


def quantities_of(build: Build, problem: Problem, states: States, speed_limit: float) -> dict[str, Array]:
    """Every quantity by name, (n,) in SI; NaN where the point is not steady or the quantity has no meaning there.

    speed_limit  limiting shaft speed [rad/s]
    """
    mode = MODES[int(problem.points["mode"][0])]
    q = _judged(build, problem, states)
    q |= {name: np.array(states[name], dtype=float) for name in _COPIED if name not in q}
    n = problem.speeds.size
    q["temperature_amb"] = np.full(n, problem.ambient.temperature)
    q["temperature_1"] = q["temperature_amb"].copy()
    q["boost"] = q["pressure_im"] - q["pressure_amb"]
    q["gate_lift"] *= np.where(problem.points["gate_count"] > 0.0, problem.points["gate_lever"], 1.0)
    cylinder_quantities_beside(build, problem, q)
    _heat(problem, q)
    _hot_side(build, problem, q)
    held = states["mode_held"] == TARGET
    duty = duty_of_share(q["signal_share"], build["boost_control"].text("plumbing"))
    asked = np.where(held, duty, build["boost_control"].si("fixed_duty"))
    q["solenoid_duty"] = np.where(held | (mode == "spring"), asked, np.nan)
    absent: tuple[str, ...] = ()
    if mode == "no-turbo":
        absent = _TURBO_ONLY + _GATE_ONLY
        for name in ("compressor_efficiency", "surge_margin", "choke_margin", "speed_margin"):
            q[name] = np.full(n, np.nan)
    else:
        _map_margins(problem, q)
        _compressor(problem, q, speed_limit)
        if np.all(problem.points["gate_count"] == 0.0):
            absent = _GATE_ONLY
    for name in absent:
        q[name] = np.full(n, np.nan)
    _only_where(q, steady_points(problem, states) if mode != "no-turbo" else states["outcome"] == SOLVED)
    return q
