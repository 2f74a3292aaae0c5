"""A stand-in for the transient model: a scenario driven by plain kinematics and smooth curves, quick and wrong.

For tests of what instruments and checks do with a run; no figure of it is about an engine.
"""

from __future__ import annotations

import numpy as np
from scipy.ndimage import gaussian_filter1d

from boostwright.build import Build
from boostwright.logs.made.response import first_order
from boostwright.logs.made.true_run import TrueRun
from boostwright.tasks.simulate_complete import car_of, complete_run
from boostwright.tasks.simulate_scenes import Scene, scenes_of

RPM = np.pi / 30.0


def stand_in_run(build: Build, scenario: str, seed: int, step: float = 0.005) -> TrueRun:
    """A run of a scenario of a build."""
    car = car_of(build)
    scenes = scenes_of(scenario, car, seed)
    air = build["ambient"].si("pressure")
    ratios = build["vehicle"].numbers("gear_ratios")
    final = build["vehicle"].si("final_drive")
    radius = build["vehicle"].si("rolling_radius")
    speeds, pedals, gears, phases = [], [], [], []
    speed = 0.0
    for index, scene in enumerate(scenes):
        line = _speeds(scene, speed, car.idle, step)
        speed = float(line[-1])
        speeds.append(line)
        ends = scene.pedal if isinstance(scene.pedal, tuple) else (scene.pedal, scene.pedal)
        pedals.append(np.linspace(*ends, line.size))
        gears.append(np.full(line.size, scene.gear))
        phases.append(np.full(line.size, index))
    n = np.concatenate(speeds)
    n = np.where(n > 20.0, gaussian_filter1d(n, 0.05 / step), n)
    pedal = np.concatenate(pedals)
    gear = np.concatenate(gears).astype(float)
    time = np.arange(n.size) * step
    throttle = first_order(0.02 + 0.98 * pedal, step, 0.05)
    wanted = 90e3 * np.clip((n / RPM - 1800.0) / 1500.0, 0.0, 1.0) * np.clip((throttle - 0.5) / 0.4, 0.0, 1.0)
    boost = first_order(wanted, step, 0.4)
    turning = n > 20.0
    im = air + np.where(turning, boost - 62e3 * np.clip(1.0 - throttle / 0.6, 0.0, 1.0), 0.0)
    displacement = 0.0025
    flow = np.where(turning, displacement / (4 * np.pi) * n * im / 287.0 / 305.0 * 0.9, 0.0)
    value = np.where(throttle > 0.6, 0.84, 1.0)
    em = air + turning * (boost * 1.3 + 14e3 * (flow / 0.1) ** 2)
    gas = first_order(
        np.where(
            turning, 700.0 + 520.0 * throttle * np.minimum(n / 600.0, 1.0), build["ambient"].si("temperature")
        ),
        step,
        0.3,
    )
    over = np.concatenate([[0.0], ratios])[gear.astype(int)] * final
    channels = {
        "engine_speed": n,
        "pedal_position": pedal,
        "throttle_position": throttle,
        "gear": gear,
        "vehicle_speed": np.where(gear > 0, n / np.where(over > 0, over, 1.0) * radius, 0.0),
        "pressure_amb": np.full(n.size, air),
        "pressure_im": im,
        "pressure_2_static": air + turning * (boost * 1.06 + 400.0),
        "pressure_bp_static": air + turning * (boost * 1.01 + 200.0),
        "pressure_em": em,
        "pressure_em_static": em,
        "pressure_4_static": air + 12e3 * (flow / 0.2) ** 2,
        "temperature_em": gas,
        "temperature_4": build["ambient"].si("temperature")
        + 0.9 * (gas - build["ambient"].si("temperature")),
        "temperature_2": first_order(300.0 + 95.0 * boost / 1e5, step, 1.0),
        "temperature_bp": first_order(300.0 + 25.0 * boost / 1e5, step, 2.0),
        "temperature_im": first_order(300.0 + 22.0 * boost / 1e5, step, 3.0),
        "lambda": first_order(value, step, 0.05),
        "mass_flow_air": flow,
        "mass_flow_fuel": flow / 14.6 / value,
        "torque": 180.0 * im / air * throttle,
        "torque_wheel": 150.0 * im / air * throttle,
        "power_wheel": 150.0 * im / air * throttle * n,
        "angle_spark": np.deg2rad(34.0 - 16.0 * im / air),
        "solenoid_duty": 0.45 * (throttle > 0.7),
        "shaft_speed": turning * (10e3 + 1.0e5 * np.sqrt(np.maximum(boost, 0.0) / 1e5)) * RPM,
    }
    facts = {"scenario": scenario, "truth": "stand-in of smooth curves"}
    return complete_run(build, scenes, time, channels, np.concatenate(phases), seed, facts)


def _speeds(scene: Scene, start: float, idle: float, step: float) -> np.ndarray:
    """Engine speed [rad/s] through a scene, from where the one before ended."""
    if scene.means == "key-on":
        return np.zeros(round(scene.duration / step))
    if scene.means == "idle":
        count = round(scene.duration / step)
        settled = idle + (start - idle) * np.exp(-np.arange(count) * step / 0.6)
        return settled + 2.0 * np.sin(np.arange(count) * step * 3.0)
    if scene.means == "hold":
        count = round(scene.duration / step)
        return scene.speed + (start - scene.speed) * np.exp(-np.arange(count) * step / 0.4)
    if scene.means == "gear-change":
        return np.linspace(start, 0.7 * start, round(scene.duration / step))
    rate = _rate(scene)
    ends = scene.end_speed if scene.end_speed > 0.0 else start + rate * scene.duration
    lasts = scene.duration
    if rate * (ends - start) > 0.0:
        lasts = min(lasts, (ends - start) / rate)
    elif rate < 0.0:
        lasts = 0.5
    count = max(3, round(lasts / step))
    return np.maximum(start + rate * np.arange(count) * step, idle)


def _rate(scene: Scene) -> float:
    """Rise of speed [rad/s2]."""
    if scene.means == "brake":
        return scene.ramp
    pedal = scene.pedal if isinstance(scene.pedal, float) else sum(scene.pedal) / 2.0
    per_gear = 900.0 / scene.gear**1.3 * RPM
    return per_gear * (pedal - 0.15) if pedal > 0.0 else -0.5 * per_gear
