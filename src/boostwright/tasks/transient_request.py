"""What is asked of a transient run, and what it answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from boostwright.errors import BuildError, Fault
from boostwright.solve.transient import LOADS
from boostwright.solve.transient_doubts import AS_MODELLED, SECOND_TRUTH, TransientDoubts

__all__ = ["KINDS", "Phase", "SurgeEvent", "TransientRequest", "TransientResult", "check_request"]

Array = NDArray[np.float64]

KINDS = ("key-on", *LOADS)
"""key-on: engine off, everything at rest. idle: out of gear, held at idle speed. hold: a brake holds the engine.
brake: a hub or engine brake lets it rise at ``ramp``. road: the car in ``gear``. roller: an inertia roller in ``gear``.
gear-change: clutch open; it slips and closes in the phase that follows."""

_IN_GEAR = ("road", "roller")


@dataclass(frozen=True)
class Phase:
    """One stretch of a run.

    kind       one of KINDS
    duration   [s] at most; a phase ends earlier at ``end_speed``
    pedal      [-] one number, or from and to along the phase. In gear with the pedal up: lift-off, fuel cut
    gear       1 the first; needed on road and roller, and for a road speed on a brake
    end_speed  [rad/s] of the engine, 0 for none
    ramp       [rad/s2] of a brake; 0 holds
    speed      [rad/s] of the engine to begin at: for a first phase, and for hold and brake, which go there first
    slope      rise over way of the road
    """

    kind: str
    duration: float
    pedal: float | tuple[float, float] = 1.0
    gear: int = 0
    end_speed: float = 0.0
    ramp: float = 0.0
    speed: float = 0.0
    slope: float = 0.0

    @property
    def pedals(self) -> tuple[float, float]:
        """Pedal at the start and at the end [-]."""
        return self.pedal if isinstance(self.pedal, tuple) else (self.pedal, self.pedal)


@dataclass(frozen=True)
class TransientRequest:
    """A run.

    phases      in their order
    controller  'none', 'table', 'closed-loop'; None the build's
    step        [s] between rows
    substeps    of the integrator in a step
    truth       'model', or 'second': the same plant with other relations and numbers in it (SECOND_TRUTH)
    doubts      what stands for the second truth, or is changed in the model
    settings    'key=value' laid over the build for this run
    """

    phases: tuple[Phase, ...]
    controller: str | None = None
    step: float = 1e-3
    substeps: int = 2
    truth: str = "model"
    doubts: TransientDoubts | None = None
    settings: tuple[str, ...] = ()

    @property
    def taken_otherwise(self) -> TransientDoubts:
        """What is taken otherwise than the build says."""
        if self.doubts is not None:
            return self.doubts
        return SECOND_TRUTH if self.truth == "second" else AS_MODELLED


@dataclass(frozen=True)
class SurgeEvent:
    """Flow left of the surge line, or backwards.

    start, stop   [s]
    reversed_flow True where air came back through the compressor
    throttle_open True where it happened on the throttle, not on lift-off
    deceleration  [rad/s2] the largest of the shaft in it
    """

    start: float
    stop: float
    reversed_flow: bool
    throttle_open: bool
    deceleration: float


@dataclass(frozen=True)
class TransientResult:
    """A run in SI: true, instantaneous values. ``time`` (n,) [s] at a fixed step; ``phase`` (n,) number of the phase.

    channels     by our channel and station names, (n,); pressures are total but for names that end in _static
    extras       what no instrument shows: states and running totals of mass and energy, by their kernel names
    phases       as they were run, approaches to a speed put in
    surge        stretches of surge
    words        what it rests on, for people
    processor_time  [s] that the run took, the plant made ready and the kernel compiled before
    """

    name: str
    time: Array
    phase: NDArray[np.int64]
    channels: Mapping[str, Array]
    extras: Mapping[str, Array]
    phases: tuple[Phase, ...]
    surge: tuple[SurgeEvent, ...] = ()
    words: tuple[str, ...] = ()
    processor_time: float = 0.0
    truth: str = "model"
    doubts: TransientDoubts = field(default_factory=TransientDoubts)

    def __getitem__(self, name: str) -> Array:
        """A channel by its name (n,)."""
        return self.channels[name]


def check_request(request: TransientRequest, gears: int, roller: bool, car: bool) -> None:
    """Refuse what cannot be run. Raises BuildError with every fault: which phase, what is wrong, what would mend it."""
    found: list[Fault] = []

    def say(number: int, key: str, value: object, message: str, remedy: str) -> None:
        found.append(Fault(f"phase {number}", key, str(value), message, "", remedy))

    if not request.phases:
        say(0, "phases", "", "there is nothing to run.", "Give at least one Phase.")
    if request.truth not in ("model", "second"):
        say(0, "truth", request.truth, "is no truth.", "Write model or second.")
    if not 1e-5 <= request.step <= 0.05:
        say(0, "step", request.step, "is no step between rows.", "Take 0.00001 to 0.05 s.")
    for number, phase in enumerate(request.phases, start=1):
        if phase.kind not in KINDS:
            say(number, "kind", phase.kind, "is no kind of phase.", "One of: " + ", ".join(KINDS))
            continue
        if not 0.0 < phase.duration < 3600.0:
            say(number, "duration", phase.duration, "is no duration in seconds.", "Take up to an hour.")
        if any(not 0.0 <= pedal <= 1.0 for pedal in phase.pedals):
            say(number, "pedal", phase.pedal, "is no share of the pedal's way.", "Take 0 to 1.")
        if phase.kind in _IN_GEAR and not 1 <= phase.gear <= gears:
            remedy = (
                f"[vehicle] gear_ratios has {gears}: take 1 to {gears}."
                if gears
                else "Give [vehicle] gear_ratios."
            )
            say(number, "gear", phase.gear, "is no gear of this car.", remedy)
        if phase.kind == "road" and not car:
            remedy = "Give [vehicle] mass, drag_area, rolling_radius, gear_ratios and final_drive."
            say(number, "kind", phase.kind, "needs the car, of which the build says too little.", remedy)
        if phase.kind == "roller" and not roller:
            remedy = "Give [dyno] roller_inertia and roller_radius, and the car's gears and tyres."
            say(number, "kind", phase.kind, "needs a roller, of which the build says too little.", remedy)
        first = number == 1 or request.phases[number - 2].kind == "key-on"
        if first and phase.kind not in ("key-on", "idle") and phase.speed <= 0.0:
            say(
                number,
                "speed",
                phase.speed,
                "is missing: nothing says how fast the engine turns.",
                "Give speed.",
            )
    if found:
        raise BuildError(found)
