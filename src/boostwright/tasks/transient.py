"""Transient: what an engine, a turbo, a gate and its control do in time, in a gear, on a roller or on a brake."""

from __future__ import annotations

import time as clock
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, with_settings
from boostwright.cards.card import Card
from boostwright.solve.problem import assemble
from boostwright.solve.transient import Start, columns_of, phase_rows, run_plant, settled_start
from boostwright.solve.transient_doubts import SECOND_TRUTH, TransientDoubts
from boostwright.solve.transient_plant import Plant, grid_speeds, plant_of, shaft_inertia
from boostwright.tasks.known_curve import filling_of_known_curve
from boostwright.tasks.ready import cards_of
from boostwright.tasks.transient_channels import channels_of, extras_of, rest_channels
from boostwright.tasks.transient_request import (
    KINDS,
    Phase,
    SurgeEvent,
    TransientRequest,
    TransientResult,
    check_request,
)

__all__ = [
    "KINDS",
    "SECOND_TRUTH",
    "Phase",
    "SurgeEvent",
    "TransientDoubts",
    "TransientRequest",
    "TransientResult",
    "plant_of_build",
    "run_transient",
    "surge_events",
    "with_plant",
]

Array = NDArray[np.float64]
_RPM = np.pi / 30.0
_APPROACH = 700.0 * _RPM  # rad/s2 at which a brake goes to the speed that a phase begins at
_LIGHT = 0.12  # pedal meanwhile
_NEAR = 1.0 * _RPM
_SURGE_APART = 0.05  # s between two stretches of surge that count as one
_ON_THROTTLE = 0.5
_FRICTIONS = (
    "chen-flynn",
    "sandoval-heywood",
)  # the second truth takes the first that is not the build's own


def plant_of_build(build: Build, request: TransientRequest) -> tuple[Plant, Mapping[str, Card], Build]:
    """The plant that a request runs, the cards it came from, and the build with the request's settings in it.

    Raises BuildError or CardError where build or cards are at fault.
    """
    doubts = request.taken_otherwise
    settings = list(request.settings)
    if doubts.other_friction:
        own = build["cylinder"].text("friction")
        settings.append(f"cylinder.friction={next(name for name in _FRICTIONS if name != own)}")
    if request.controller is not None:
        settings.append(f"transient.controller={request.controller}")
    if settings:
        build = with_settings(build, settings)
    cards = cards_of(build)
    speeds = grid_speeds(build)
    filling = filling_of_known_curve(build, cards, speeds)
    problem = assemble(build, cards, speeds, "spring", filling)
    lean = with_settings(build, [f"fuel.lambda_target={build['transient'].si('part_load_lambda')}"])
    part = assemble(lean, cards, speeds, "spring", filling)
    plant = plant_of(build, cards, problem, part, doubts)
    plant.record["step"], plant.record["substeps"] = request.step, request.substeps
    return plant, cards, build


def run_transient(build: Build, request: TransientRequest) -> TransientResult:
    """Run phases one after the other.

    Everything has settled where a run begins, walls too. Raises BuildError for a request that cannot be run or a build
    that says too little for it, and CardError.
    """
    car, dyno = build["vehicle"], build["dyno"]
    gears = len(car.numbers("gear_ratios")) if car.has("gear_ratios") else 0
    wheels = gears > 0 and car.has("rolling_radius") and car.has("final_drive")
    check_request(
        request,
        gears,
        roller=wheels and dyno.has("roller_inertia") and dyno.has("roller_radius"),
        car=wheels and car.has("mass") and car.has("drag_area"),
    )
    plant, cards, build = plant_of_build(build, request)
    begun = clock.process_time()
    run, start = _Run(build, plant), None
    for phase in request.phases:
        start = run.add(phase, start)
    taken = clock.process_time() - begun
    channels = run.channels()
    seconds = np.asarray(request.step * np.arange(1, channels["engine_speed"].size + 1), dtype=float)
    inertia, words = shaft_inertia(build, plant.problem, cards)
    return TransientResult(
        name=build.name,
        time=seconds,
        phase=np.concatenate(run.numbers),
        channels=channels,
        extras=run.extras(),
        phases=tuple(run.phases),
        surge=surge_events(seconds, channels, plant.problem.compressor.speed_lowest_measured),
        words=(f"shaft inertia {inertia:.3g} kg m2: {words}", f"truth: {request.truth}"),
        processor_time=taken,
        truth=request.truth,
        doubts=request.taken_otherwise,
    )


class _Run:
    """Phases that were run, put together."""

    def __init__(self, build: Build, plant: Plant) -> None:
        self._build, self._plant = build, plant
        self.phases: list[Phase] = []
        self.numbers: list[NDArray[np.int64]] = []
        self._parts: list[dict[str, Array] | Phase] = []
        self._extras: list[dict[str, Array]] = []
        self._walls: dict[str, float] = {}
        self._on_road = True

    def add(self, phase: Phase, start: Start | None) -> Start | None:
        """Run one phase from where the last one ended; None where the engine stands still."""
        if phase.kind == "key-on":
            self._keep(phase, phase)
            return None
        if start is None:
            idle = float(self._plant.record["idle_speed"][0])
            start = settled_start(self._plant, phase.kind, phase.speed or idle, phase.pedals[0], phase.gear)
            self._turn_wheels(phase, start)
        elif phase.kind in ("hold", "brake") and phase.speed > 0.0:
            away = phase.speed - start.slow[0]
            if abs(away) > _NEAR:
                ramp = float(np.sign(away)) * _APPROACH
                there = Phase(
                    "brake",
                    abs(away) / _APPROACH + 1.0,
                    min(_LIGHT, phase.pedals[0]),
                    phase.gear,
                    phase.speed,
                    ramp,
                )
                self._one(there, start)
        self._one(phase, start)
        return start

    def _turn_wheels(self, phase: Phase, start: Start) -> None:
        """Road speed to the engine's in gear."""
        record = self._plant.record[0]
        if 1 <= phase.gear <= int(record["gear_count"]):
            ratio = record["gears"][phase.gear - 1] * record["final_drive"]
            start.slow[1] = start.slow[0] * record["rolling_radius"] / ratio

    def _one(self, phase: Phase, start: Start) -> None:
        low, high = phase.pedals
        if phase.kind in ("road", "roller"):
            self._on_road = phase.kind == "road"
        row = (
            phase.kind,
            phase.duration,
            low,
            high,
            phase.gear,
            phase.end_speed,
            phase.ramp,
            phase.slope,
            float(self._on_road),
        )
        c = columns_of(run_plant(self._plant, phase_rows([row]), start))
        self._walls = {
            name: float(c[name][-1])
            for name in ("temperature_wall", "temperature_housing", "temperature_core")
        }
        self._keep(phase, channels_of(self._build, self._plant, c), extras_of(c))

    def _keep(
        self, phase: Phase, part: dict[str, Array] | Phase, extras: dict[str, Array] | None = None
    ) -> None:
        self.phases.append(phase)
        self._parts.append(part)
        step = float(self._plant.record["step"][0])
        count = max(round(phase.duration / step), 1) if isinstance(part, Phase) else part["engine_speed"].size
        self.numbers.append(np.full(count, len(self.phases) - 1))
        if extras is not None:
            self._extras.append(extras)

    def channels(self) -> dict[str, Array]:
        """All channels, stretches of standing still put in."""
        like = next((part for part in self._parts if not isinstance(part, Phase)), None)
        if like is None:  # nothing but key-on: the names come from a moment of idling
            other = _Run(self._build, self._plant)
            other.add(Phase("idle", 0.01, 0.0), None)
            like = other.channels()
        step = float(self._plant.record["step"][0])
        parts = [
            rest_channels(self._plant, like, self._walls if i else {}, part.duration, step)
            if isinstance(part, Phase)
            else part
            for i, part in enumerate(self._parts)
        ]
        return {name: np.concatenate([part[name] for part in parts]) for name in like}

    def extras(self) -> dict[str, Array]:
        """States and totals of the stretches with a running engine."""
        if not self._extras:
            return {}
        return {name: np.concatenate([part[name] for part in self._extras]) for name in self._extras[0]}


def surge_events(time: Array, q: Mapping[str, Array], lowest: float) -> tuple[SurgeEvent, ...]:
    """Stretches with flow left of the surge line, at corrected speeds [rad/s] from ``lowest`` on, or backwards."""
    inside = ((q["corrected_flow"] < q["surge_flow"]) & (q["corrected_speed"] >= lowest)) | (
        q["mass_flow_compressor"] < 0.0
    )
    inside &= q["engine_speed"] > 0.0
    at = np.flatnonzero(inside)
    if at.size == 0:
        return ()
    step = time[1] - time[0] if time.size > 1 else 1.0
    breaks = np.flatnonzero(np.diff(at) * step > _SURGE_APART) + 1
    found = []
    for group in np.split(at, breaks):
        whole = slice(group[0], group[-1] + 1)
        found.append(
            SurgeEvent(
                start=float(time[group[0]]),
                stop=float(time[group[-1]]),
                reversed_flow=bool((q["mass_flow_compressor"][whole] < 0.0).any()),
                throttle_open=bool(q["throttle_position"][group[0]] > _ON_THROTTLE),
                deceleration=float(max(-q["shaft_acceleration"][whole].min(), 0.0)),
            )
        )
    return tuple(found)


def with_plant(plant: Plant, **values: float) -> Plant:
    """The plant with some numbers of its record changed, for studies and tests."""
    record = plant.record.copy()
    for name, value in values.items():
        record[name] = value
    return replace(plant, record=record)
