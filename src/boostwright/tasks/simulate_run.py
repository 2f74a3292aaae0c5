"""What really happens in a simulated run: the scenario driven through the transient model."""

from __future__ import annotations

import numpy as np

from boostwright.build import Build
from boostwright.logs.made.true_run import TrueRun
from boostwright.tasks.simulate_complete import car_of, complete_run
from boostwright.tasks.simulate_scenes import Scene, scenes_of
from boostwright.tasks.transient import Phase, TransientRequest, run_transient

__all__ = ["true_run"]


def true_run(build: Build, scenario: str, seed: int, truth: str) -> TrueRun:
    """A scenario driven through the transient model. Raises BuildError or CardError where the build cannot."""
    scenes = scenes_of(scenario, car_of(build), seed)
    request = TransientRequest(tuple(_phase(scene) for scene in scenes), truth=truth)
    result = run_transient(build, request)
    phase = np.asarray(result.phase, dtype=np.int64)
    facts = {"scenario": scenario, "truth": truth}
    return complete_run(build, scenes, result.time, result.channels, phase, seed, facts)


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
    )
