"""A run of the model made whole: the channels that it does not give, slip of the wheels, and its stretches."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.components.fuel_blend import fuel_card
from boostwright.logs.made.readings import stream
from boostwright.logs.made.true_run import TrueRun
from boostwright.physics.gas.standard_atmosphere import pressure_altitude
from boostwright.tasks.simulate_extra import extra_channels, slipped
from boostwright.tasks.simulate_scenes import Car, Scene
from boostwright.tasks.simulate_stretches import stretches_of

__all__ = ["NEEDED", "car_of", "complete_run", "highest_flow"]

Array = NDArray[np.float64]

_USUAL_RAMP = 350.0 * np.pi / 30.0  # rad/s2, common practice for a load dyno
NEEDED = ("mass", "drag_area", "rolling_radius", "gear_ratios", "final_drive")
"""Keys of [vehicle] without which no car can drive."""
_COLD = 0.25  # share of dyno days that begin with a cold engine


def highest_flow(run: TrueRun) -> float:
    """Highest mass flow of exhaust in a run [kg/s], to two digits: where lags and delays of its kit are stated."""
    highest = float(np.max(run.channels["mass_flow_exhaust"]))
    return float(f"{max(highest, 1e-3):.2g}")


def car_of(build: Build) -> Car:
    """What a scenario has to know of the car."""
    dyno, vehicle, engine = build["dyno"], build["vehicle"], build["engine"]
    kind = dyno.text("kind") if dyno.has("kind") else "roller"
    geared = all(vehicle.has(key) for key in ("gear_ratios", "final_drive", "rolling_radius"))
    ratios = tuple(vehicle.numbers("gear_ratios")) if geared else ()
    drives = kind != "engine" and all(vehicle.has(key) for key in NEEDED)
    if kind == "roller" and not (drives and dyno.has("roller_inertia") and dyno.has("roller_radius")):
        kind = "hub"  # a roller's inertia is not known: a brake takes its place
    ramp = dyno.si("ramp_rate") if dyno.has("ramp_rate") else _USUAL_RAMP
    highest = 0.96 * engine.si("speed_limit")
    return Car(kind, ratios, vehicle.si("idle_speed"), highest, ramp, drives)


def complete_run(
    build: Build,
    scenes: tuple[Scene, ...],
    time: Array,
    channels: Mapping[str, Array],
    phase: NDArray[np.int64],
    seed: int,
    facts: Mapping[str, float | str],
) -> TrueRun:
    """A run with all its channels and stretches.

    phase  (n,) the scene each moment belongs to
    """
    whole = dict(channels)
    cold = facts.get("scenario") == "dyno-day" and stream(seed, "start").random() < _COLD
    whole |= extra_channels(build, fuel_card(build), time, channels, seed, cold)
    whole |= _way(scenes, phase, time, whole)
    stretches = stretches_of(scenes, phase, time, whole)
    for index, scene in enumerate(scenes):
        here = np.flatnonzero(phase == index)
        if scene.slip > 0.0 and here.size:
            slipped(whole, float(time[here[0]]), float(time[here[-1]]), time, scene.slip)
    return TrueRun(time, whole, stretches, {**facts, "start": "cold" if cold else "warm"})


def _way(
    scenes: tuple[Scene, ...], phase: NDArray[np.int64], time: Array, channels: Mapping[str, Array]
) -> dict[str, Array]:
    """Slope and height of the road (n,). The engine's air stays that of the start: a run climbs some hundred metres."""
    slope = np.array([scene.slope for scene in scenes])[phase]
    climb = slope * channels["vehicle_speed"]
    climbed = np.concatenate(([0.0], np.cumsum(0.5 * (climb[1:] + climb[:-1]) * np.diff(time))))
    start = float(pressure_altitude(channels["pressure_amb"][0]))
    return {"road_slope": slope, "altitude": start + climbed}
