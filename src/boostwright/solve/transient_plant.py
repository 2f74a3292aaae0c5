"""From a build to what the transient kernel runs: a plant, points over engine speed, curves of friction and duty."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, Section
from boostwright.cards.card import Card
from boostwright.components.driveline import USUAL_LOSS, driveline_losses, has_driveline
from boostwright.components.friction import friction_pressure
from boostwright.components.turbine_pulses import LARGEST_AMPLITUDE
from boostwright.physics.turbo.inertia import shaft_inertia_from_wheels
from boostwright.solve.kernel.layout import SOLVED
from boostwright.solve.kernel.transient_layout import PLANT
from boostwright.solve.problem import Problem
from boostwright.solve.quantities import duty_of_share
from boostwright.solve.run import solve
from boostwright.solve.transient_doubts import TransientDoubts

__all__ = ["Plant", "grid_speeds", "plant_of", "shaft_inertia"]

Array = NDArray[np.float64]
Records = NDArray[np.void]

_GRID = 97
_LOWEST, _HIGHEST = 0.117, 1.048  # of the engine's speed limit, just inside its table of closed cycles
_STEEL_HEAT, _ALUMINIUM_HEAT = 500.0, 900.0  # J/(kg K), handbook values rounded
_GRAVITY = 9.80665
_HOSE_DISCHARGE = 0.6  # of a hose with a nipple at each end: own estimate
_BRANCH_TIME = 1.0e-3  # s, in which the gas in the gate's branch follows: own estimate
_SHUT_ANGLE = np.radians(6.0)  # of a throttle plate that is shut: common practice
_LEAK = 0.004  # of the open area, past a shut plate: own estimate
_RELIEF_DISCHARGE, _RELIEF_SPAN = 0.7, 15e3
_MOTORED = 0.2  # gross work an unfired cycle costs, over p_im times its displacement: own estimate
_CUT_OVER_IDLE = 1.6  # engine speed over idle above which fuel is cut in overrun: common practice
_DEEP_OVER = 1.25  # of the map's lowest line, where the head left of surge falls in full
_LOW_PEAK, _LOW_IM = 4e6, 1e5  # Pa, where the straight lines of friction are taken
_PLUMBING = {"lower": 0.0, "upper": 1.0, "both": 2.0}
_CONTROLLER = {"none": 0.0, "table": 1.0, "closed-loop": 2.0}


@dataclass(frozen=True)
class Plant:
    """What the kernel is given.

    record (1,) of PLANT; grid, part (g,) of POINT at even engine speeds (g,) [rad/s], at full and at part load
    maps, turbines  packed tables; cycles, cycles_part (g, m) rows of the table of closed cycles
    curves (g, 5) friction's three numbers, target [Pa], duty
    problem         the full-load points as the steady solver has them
    """

    record: Records
    grid: Records
    part: Records
    maps: Array
    turbines: Array
    cycles: Array
    cycles_part: Array
    curves: Array
    speeds: Array
    problem: Problem


def grid_speeds(build: Build) -> Array:
    """Engine speeds (g,) [rad/s] at which points are laid, even, over what the engine can run."""
    limit = build["engine"].si("speed_limit")
    return np.linspace(_LOWEST * limit, _HIGHEST * limit, _GRID)


def shaft_inertia(build: Build, problem: Problem, cards: Mapping[str, Card]) -> tuple[float, str]:
    """Inertia [kg m2] of one turbocharger's shaft, and the words for where it is from."""
    section = build["transient"]
    if section.has("shaft_inertia"):
        return section.si("shaft_inertia"), "build, transient.shaft_inertia"
    turbine = problem.turbine.wheel_diameter
    words = "estimate from both wheels' diameters, good to 40 %"
    compressor = build["compressor"]
    if compressor.text("given_as") == "wheel":
        return float(shaft_inertia_from_wheels(compressor.si("exducer_diameter"), turbine)), words
    card = cards.get("compressor")
    if card is not None and card.has("wheel_diameter"):
        return float(shaft_inertia_from_wheels(card.si("wheel_diameter"), turbine)), words
    return float(
        shaft_inertia_from_wheels(1.1 * turbine, turbine)
    ), f"{words}; the compressor's taken as 1.1 times the turbine's"


def plant_of(
    build: Build, cards: Mapping[str, Card], problem: Problem, part: Problem, doubts: TransientDoubts
) -> Plant:
    """The plant of a build: ``problem`` and ``part`` are its points at ``grid_speeds`` at full and at part load."""
    problem, part = _doubted(problem, doubts), _doubted(part, doubts)
    section, engine = build["transient"], build["engine"]
    record = np.zeros(1, PLANT)
    inertia, _words = shaft_inertia(build, problem, cards)
    lowest = problem.compressor.speed_lowest_measured
    fields = {
        "step": 1e-3,
        "substeps": 2.0,
        "shaft_inertia": inertia * build["compressor"].si("count"),
        "duct_ratio": np.pi / 4.0 * section.si("duct_bore") ** 2 / section.si("duct_length"),
        "zero_flow_head": section.si("zero_flow_head"),
        "deep_from": lowest,
        "deep_to": _DEEP_OVER * lowest,
        "compressor_flow_scale": doubts.compressor_flow,
        "compressor_head_scale": doubts.compressor_pressure,
        "compressor_work_scale": doubts.compressor_pressure / doubts.compressor_efficiency,
        "volume_bp": section.si("boost_pipe_volume"),
        "volume_im": section.si("plenum_volume"),
        "volume_em": section.si("exhaust_manifold_volume"),
        "volume_4": section.si("downpipe_volume"),
        **_walls(build, doubts),
        **_actuator(build, doubts),
        **_throttle_and_relief(section),
        **_car(build, problem),
        "motored_work": _MOTORED,
        "engine_inertia": build["vehicle"].si("engine_inertia"),
        "idle_speed": max(build["vehicle"].si("idle_speed"), 1.02 * _LOWEST * engine.si("speed_limit")),
        "grid_from": problem.speeds[0],
        "grid_step": problem.speeds[1] - problem.speeds[0],
        "grid_count": float(problem.speeds.size),
    }
    fields["cut_speed"] = _CUT_OVER_IDLE * fields["idle_speed"]
    for name, value in fields.items():
        record[name] = value
    return Plant(
        record=record,
        grid=problem.points,
        part=part.points,
        maps=np.ascontiguousarray(problem.maps),
        turbines=np.ascontiguousarray(problem.turbines),
        cycles=np.ascontiguousarray(problem.rows),
        cycles_part=np.ascontiguousarray(part.rows),
        curves=_curves(build, problem, doubts),
        speeds=problem.speeds,
        problem=problem,
    )


def _doubted(problem: Problem, doubts: TransientDoubts) -> Problem:
    """The points with what the second truth takes otherwise."""
    if doubts.pulses != 1.0:
        problem = problem.with_pulses(np.minimum(doubts.pulses * problem.pulse_amplitude, LARGEST_AMPLITUDE))
    points = problem.points.copy()
    points["mode"] = 1  # the actuator under its signal; the kernel asks for no other
    points["turbine_flow_scale"] *= doubts.turbine_flow
    points["turbine_efficiency_scale"] *= doubts.turbine_efficiency
    points["head_area"] *= doubts.head_area
    points["back_area"] *= doubts.head_area
    return replace(problem, points=np.ascontiguousarray(points))


def _walls(build: Build, doubts: TransientDoubts) -> dict[str, float]:
    """Walls of manifold, housing and cooler. Two zones share conductance and mass where the second truth asks it."""
    section = build["transient"]
    share = section.si("manifold_gas_share")
    whole = build["exhaust_manifold"].si("heat_conductance")
    capacity = _STEEL_HEAT * section.si("manifold_mass")
    first = 1.0 - doubts.second_zone_conductance
    light = 1.0 - doubts.second_zone_mass
    return {
        "wall_inside_1": first * whole / share,
        "wall_outside_1": first * whole / (1.0 - share),
        "wall_capacity_1": light * capacity,
        "wall_inside_2": (1.0 - first) * whole / share,
        "wall_outside_2": (1.0 - first) * whole / (1.0 - share),
        "wall_capacity_2": max(1.0 - light, 1e-3) * capacity,
        "housing_conductance": section.si("housing_conductance"),
        "housing_capacity": _STEEL_HEAT * section.si("housing_mass"),
        "cooler_air_share": section.si("cooler_air_share"),
        "core_capacity": _ALUMINIUM_HEAT * section.si("cooler_mass"),
    }


def _actuator(build: Build, doubts: TransientDoubts) -> dict[str, float]:
    section, control, gate = build["transient"], build["boost_control"], build["wastegate"]
    mass = section.si("moving_mass")
    stiffness = gate.si("spring_rate") if gate.has("spring_rate") else 1.0
    name = section.text("controller")
    if name != "none" and not control.has("target"):
        name = "none"
    return {
        "chamber_area": doubts.hose_area * _HOSE_DISCHARGE * np.pi / 4.0 * section.si("hose_bore") ** 2,
        "chamber_volume": section.si("chamber_volume"),
        "moving_mass": mass,
        "damping": 2.0 * section.si("damping_ratio") * float(np.sqrt(stiffness * mass)),
        "head_law": 1.0 if doubts.head_force_early else 0.0,
        "branch_time": _BRANCH_TIME,
        "plumbing": _PLUMBING[control.text("plumbing")],
        "hose_lost": 1.0 if control.text("signal_hose") == "lost" else 0.0,
        "controller": _CONTROLLER[name],
        "gain": section.si("controller_gain") / 10e3,
        "reset_time": section.si("controller_reset_time"),
        "fixed_duty": control.si("fixed_duty"),
    }


def _throttle_and_relief(section: Section) -> dict[str, float]:
    valve = section.text("relief_valve")
    area = 0.0
    if valve != "none":
        area = _RELIEF_DISCHARGE * np.pi / 4.0 * section.si("relief_valve_bore") ** 2
    return {
        "throttle_time": section.si("throttle_time"),
        "throttle_shut": float(_SHUT_ANGLE),
        "throttle_leak": _LEAK,
        "relief_area": area,
        "relief_from": section.si("relief_valve_opening") if area else 1.0,
        "relief_span": _RELIEF_SPAN,
        "relief_time": section.si("relief_valve_time") if area else 1.0,
        "relief_recirculates": 1.0 if valve == "recirculation" else 0.0,
    }


def _car(build: Build, problem: Problem) -> dict[str, float | Array]:
    car, dyno = build["vehicle"], build["dyno"]
    share, drag = driveline_losses(build["driveline"])
    if not has_driveline(build["driveline"]):
        share = USUAL_LOSS
    gears = np.zeros(12)
    ratios = car.numbers("gear_ratios") if car.has("gear_ratios") else ()
    gears[: len(ratios)] = ratios[:12]
    radius = car.si("rolling_radius") if car.has("rolling_radius") else 0.3
    turning = car.si("wheel_inertia") / radius**2
    mass = car.si("mass") if car.has("mass") else 0.0
    roller = 0.0
    if dyno.has("roller_inertia") and dyno.has("roller_radius"):
        roller = dyno.si("roller_inertia") / dyno.si("roller_radius") ** 2
    ambient = problem.ambient
    density = ambient.pressure / (ambient.gas_constant * ambient.temperature)
    return {
        "loss_share": share,
        "drag_torque": drag,
        "final_drive": car.si("final_drive") if car.has("final_drive") else 1.0,
        "gears": gears,
        "gear_count": float(len(ratios)),
        "rolling_radius": radius,
        "mass_road": mass + turning,
        "mass_roller": roller + 0.5 * turning,
        "weight": mass * _GRAVITY,
        "rolling_resistance": car.si("rolling_resistance"),
        "drag_factor": 0.5 * density * (car.si("drag_area") if car.has("drag_area") else 0.0),
        "clutch_torque": car.si("clutch_torque"),
    }


def _curves(build: Build, problem: Problem, doubts: TransientDoubts) -> Array:
    """Friction at two peak pressures and two manifold pressures, all relations being straight in both; target; duty."""
    motor, speeds = problem.engine, problem.speeds
    none = np.zeros_like(speeds)

    def friction(peak: float, p_im: float) -> Array:
        return doubts.friction * friction_pressure(
            build, none + peak, none + p_im, motor.mean_piston_speed, speeds
        )

    one = friction(_LOW_PEAK, _LOW_IM)
    by_peak = (friction(2.0 * _LOW_PEAK, _LOW_IM) - one) / _LOW_PEAK
    by_im = (friction(_LOW_PEAK, 2.0 * _LOW_IM) - one) / _LOW_IM
    base = one - by_peak * _LOW_PEAK - by_im * _LOW_IM
    target = problem.points["target_pressure"] + none
    return np.ascontiguousarray(np.stack([base, by_peak, by_im, target, _duties(build, problem)], axis=-1))


def _duties(build: Build, problem: Problem) -> Array:
    """Duty (g,) [-] that holds the target in steady state; the most there is where the gate stays shut."""
    control = build["boost_control"]
    if not control.has("target") or build["wastegate"].text("kind") == "none":
        return np.zeros(problem.speeds.shape)
    states = solve(problem.at_mode("target"))
    duty = duty_of_share(states["signal_share"], control.text("plumbing"))
    shut = (states["outcome"] != SOLVED) | (states["gate_lift"] <= 0.0)
    duty = np.where(shut, np.nan, duty)
    known = np.isfinite(duty)
    if not known.any():
        return np.zeros(problem.speeds.shape)
    return np.clip(np.interp(problem.speeds, problem.speeds[known], duty[known]), 0.0, 1.0)
