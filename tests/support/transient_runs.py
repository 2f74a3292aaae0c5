"""Runs that several tests of the transient model share; each is made once."""

from __future__ import annotations

import functools
from pathlib import Path

import numpy as np

from boostwright.build import Build, read_build
from boostwright.solve.transient_plant import Plant
from boostwright.tasks.transient import (
    Phase,
    TransientRequest,
    TransientResult,
    plant_of_build,
    run_transient,
)

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
RPM = np.pi / 30.0
LIGHT_WALLS = (
    "transient.manifold_mass=0.1 kg",
    "transient.housing_mass=0.1 kg",
    "transient.housing_conductance=60 W/K",
    "transient.cooler_mass=0.1 kg",
)


@functools.cache
def build_of(name: str, *settings: str) -> Build:
    """An example with settings over it."""
    return read_build(EXAMPLES / name, settings)


@functools.cache
def plant_of_example(name: str, *settings: str) -> Plant:
    """The plant of an example."""
    request = TransientRequest((Phase("idle", 1.0, 0.0),))
    return plant_of_build(build_of(name, *settings), request)[0]


@functools.cache
def run_of(
    name: str,
    phases: tuple[Phase, ...],
    controller: str | None = None,
    settings: tuple[str, ...] = (),
    step: float = 1e-3,
    substeps: int = 2,
) -> TransientResult:
    """A run of an example."""
    request = TransientRequest(phases, controller=controller, step=step, substeps=substeps)
    return run_transient(build_of(name, *settings), request)


def sweep(
    name: str, low: float, high: float, ramp: float, controller: str, settings: tuple[str, ...] = ()
) -> TransientResult:
    """Full load between two engine speeds on a brake at a ramp, all in rpm and rpm/s."""
    phase = Phase(
        "brake", (high - low) / ramp + 1.0, 1.0, end_speed=high * RPM, ramp=ramp * RPM, speed=low * RPM
    )
    return run_of(name, (phase,), controller, settings)
