"""What really happens in a simulated run: the scenario driven through the transient model."""

from __future__ import annotations

from dataclasses import asdict

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.logs.made.faults import SimulationError
from boostwright.logs.made.true_run import TrueRun
from boostwright.tasks.simulate_complete import NEEDED, car_of, complete_run
from boostwright.tasks.simulate_scenes import ON_THE_ROAD, Scene, scenes_of
from boostwright.tasks.transient import Phase, TransientRequest, run_transient

__all__ = ["true_run"]

_LEFT_OUT = (
    "turbine_efficiency",
    "blade_speed_ratio",
)  # without a value at rest, and no instrument shows them


def true_run(build: Build, scenario: str, seed: int, truth: str) -> TrueRun:
    """A scenario driven through the transient model. Raises BuildError or CardError where the build cannot."""
    car = car_of(build)
    if scenario in ON_THE_ROAD and not car.drives:
        raise SimulationError.of(
            "--scenario",
            "needs the car, of which the build says too little.",
            f"give [vehicle] {', '.join(NEEDED)}; or choose dyno-day",
            scenario,
        )
    scenes = scenes_of(scenario, car, seed)
    phases = tuple(_phase(scene) for scene in scenes)
    result = run_transient(build, TransientRequest(phases, truth=truth))
    scene = _scene_of(phases, result.phases)[result.phase]
    channels = {name: result.channels[name] for name in result.channels if name not in _LEFT_OUT}
    for name in ("torque_wheel", "power_wheel"):
        channels[name] = np.nan_to_num(channels[name])  # a dyno shows nothing out of gear
    facts: dict[str, float | str] = {"scenario": scenario, "truth": truth}
    if truth != "model":
        facts |= {f"second_truth.{name}": value for name, value in asdict(result.doubts).items()}
    return complete_run(build, scenes, result.time, channels, scene, seed, facts)


def _scene_of(asked: tuple[Phase, ...], run: tuple[Phase, ...]) -> NDArray[np.int64]:
    """The scene of each phase as it was run; an approach to a speed belongs to the scene that it leads to."""
    found, scene = [], 0
    for phase in run:
        found.append(scene)
        if phase is asked[scene]:
            scene = min(scene + 1, len(asked) - 1)
    return np.array(found, dtype=np.int64)


def _phase(scene: Scene) -> Phase:
    """A scene as the transient model takes it."""
    return Phase(
        scene.means,
        duration=scene.duration,
        pedal=scene.pedal,
        gear=scene.gear,
        speed=scene.speed,
        end_speed=scene.end_speed,
        ramp=scene.ramp,
        slope=scene.slope,
    )
