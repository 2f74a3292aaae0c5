"""An invented run of smooth curves, for testing what instruments make of it: no figure of it is about an engine."""

from __future__ import annotations

import numpy as np

from boostwright.logs.made.true_run import Stretch, TrueRun

RPM = 2 * np.pi / 60
AIR = 98.6e3


def made_run(seconds: float = 60.0, step: float = 0.001) -> TrueRun:
    """Key on, idle, a pull from 2400 to 6400 rpm, a lift-off, a second pull, idle."""
    time = np.arange(0.0, seconds, step)
    u = time / seconds
    marks = [0.0, 0.08, 0.1, 0.2, 0.25, 0.45, 0.5, 0.6, 0.64, 0.84, 0.9, 1.0]
    speed = np.interp(
        u, marks, np.array([0, 0, 850, 850, 2400, 6400, 3000, 2600, 2500, 6500, 2500, 900]) * RPM
    )
    wide = ((u > 0.25) & (u < 0.45)) | ((u > 0.64) & (u < 0.84))
    smooth = np.ones(int(0.3 / step)) / int(0.3 / step)
    pedal = np.convolve(wide.astype(float), smooth, mode="same") * 0.98 + 0.02
    boost = np.convolve(
        np.where(wide, 95e3 * np.clip((speed / RPM - 2200) / 1500, 0, 1), 0.0), smooth, mode="same"
    )
    im = AIR + boost - 60e3 * (1 - pedal) * (speed > 1)
    flow = 2.5e-3 / (4 * np.pi) * speed * im / 287 / 310 * 0.9
    car = np.where(speed > 1000 * RPM, speed * 0.062, 0.0)
    channels = {
        "engine_speed": speed,
        "throttle_position": pedal,
        "pedal_position": pedal,
        "vehicle_speed": car,
        "vehicle_speed_roller": car,
        "gear": np.where(car > 1, 3.0, 0.0),
        "pressure_amb": np.full_like(time, AIR),
        "pressure_im": im,
        "boost": im - AIR,
        "pressure_2_static": AIR + boost * 1.08 + 500 * (speed > 1),
        "pressure_bp_static": AIR + boost * 1.01 + 200 * (speed > 1),
        "pressure_em_static": AIR + boost * 1.35 + 9e3 * im / AIR * (speed > 1),
        "pressure_4_static": AIR + 12e3 * (flow / 0.2) ** 2,
        "temperature_amb": np.full_like(time, 291.0),
        "temperature_2": 305 + 95 * boost / 1e5,
        "temperature_bp": 303 + 25 * boost / 1e5,
        "temperature_im": 301 + 22 * boost / 1e5,
        "temperature_coolant": 357 + 5 * u,
        "temperature_oil": 362 + 12 * u,
        "lambda": 1.0 - 0.18 * (pedal - 0.02) / 0.98,
        "lambda_target": 1.0 - 0.18 * (pedal - 0.02) / 0.98,
        "mass_flow_air": flow,
        "mass_flow_exhaust": 1.07 * flow,
        "angle_spark": np.deg2rad(32 - 16 * im / AIR),
        "injector_duty": 0.01 + 0.75 * flow / 0.3,
        "injector_time": 2e-3 + 6e-3 * im / AIR,
        "solenoid_duty": 0.45 * pedal,
        "shaft_speed": (8000 + 110000 * (boost / 1e5) ** 0.6) * RPM * (speed > 1),
        "fuel_pressure": im + 3e5,
        "pressure_oil": AIR + np.where(speed < 1, 0.0, 1.5e5 + 450 * speed),
        "voltage_battery": np.where(speed < 1, 12.3, 13.9),
        "torque_wheel": 300.0 * im / AIR * pedal,
        "power_wheel": 300.0 * im / AIR * pedal * speed,
        "humidity": np.full_like(time, 0.5),
    }
    channels["air_fuel_ratio"] = 14.7 * channels["lambda"]
    channels["egt_reading"] = 700.0 + 450.0 * np.convolve(pedal, smooth, mode="same") + 80.0 * speed / 700.0
    channels["egt_reading_downpipe"] = channels["egt_reading"] - 90.0
    for cylinder in range(1, 6):
        channels[f"egt_reading_{cylinder}"] = channels["egt_reading"] + 8.0 * cylinder
    pulls = (
        Stretch("pull", 0.25 * seconds, 0.45 * seconds, 3, 0.0, 2400 * RPM, 6400 * RPM, True),
        Stretch("pull", 0.64 * seconds, 0.84 * seconds, 3, 0.0, 2500 * RPM, 6500 * RPM, True),
    )
    return TrueRun(time, channels, pulls)
