"""Threshold, time to boost, overshoot and lift-off: figures of a build in time, each by a stated definition."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.solve.threshold import stated_boost
from boostwright.tasks.transient import Phase, TransientRequest, TransientResult, run_transient

__all__ = [
    "LiftOff",
    "Threshold",
    "TimeToBoost",
    "boost_overshoot",
    "lift_off",
    "pull_threshold",
    "time_to_boost",
]

Array = NDArray[np.float64]
_RPM = np.pi / 30.0
_FIRST = 1500.0 * _RPM
_TOP = 0.97  # of the engine's speed limit, where a pull ends
_LIGHT = 0.15  # pedal before a pull
_LONGEST = 60.0  # s
_SHARE = 0.9
_WAIT = 12.0  # s that a tip-in is given


@dataclass(frozen=True)
class Threshold:
    """Engine speed [rad/s] at which boost passes ``boost`` [Pa gauge] in a pull, NaN where it does not.

    definition  in words; run: the pull itself
    """

    speed: float
    boost: float
    definition: str
    run: TransientResult


@dataclass(frozen=True)
class TimeToBoost:
    """Time [s] from the pedal's step to ``share`` of ``boost`` [Pa gauge], NaN where it is not reached in 12 s.

    overshoot  [Pa] of intake manifold pressure over the target afterwards, NaN where there is no target
    definition in words; run: the tip-in itself
    """

    time: float
    boost: float
    share: float
    overshoot: float
    definition: str
    run: TransientResult


@dataclass(frozen=True)
class LiftOff:
    """What lift-off does to the compressor.

    surge        True where flow went left of the surge line or back
    deceleration [rad/s2] the largest of the shaft; shaft_speed_left [-] share of its speed left after half a second
    definition   in words; run: pull and lift-off
    """

    surge: bool
    reversed_flow: bool
    deceleration: float
    shaft_speed_left: float
    definition: str
    run: TransientResult


def _crossing(x: Array, y: Array, level: float) -> float:
    """Where y first rises through a level, straight between samples; NaN where it does not."""
    above = np.flatnonzero(y >= level)
    if above.size == 0:
        return float("nan")
    i = int(above[0])
    if i == 0:
        return float(x[0])
    share = (level - y[i - 1]) / (y[i] - y[i - 1])
    return float(x[i - 1] + share * (x[i] - x[i - 1]))


def pull_threshold(
    build: Build,
    *,
    kind: str = "brake",
    ramp: float | None = None,
    gear: int = 3,
    boost: float | None = None,
    start: float = _FIRST,
    controller: str | None = None,
    settings: Sequence[str] = (),
) -> Threshold:
    """Threshold in a pull: engine speed at which boost first passes a level.

    kind    'brake' with a ramp [rad/s2] (None: dyno.ramp_rate), 'road' or 'roller' in a gear
    boost   [Pa gauge]; None takes that of the steady threshold: the gate's spring rating, else 50 kPa
    start   [rad/s] at which the pedal goes down, everything settled at a light pedal before
    """
    level = stated_boost(build) if boost is None else boost
    rate = build["dyno"].si("ramp_rate") if ramp is None else ramp
    top = _TOP * build["engine"].si("speed_limit")
    pull = Phase(
        kind,
        min((top - start) / rate + 1.0, 600.0) if kind == "brake" else _LONGEST,
        1.0,
        gear,
        top,
        rate if kind == "brake" else 0.0,
    )
    run = run_transient(
        build,
        TransientRequest(
            (Phase("hold", 0.5, _LIGHT, gear, speed=start), pull),
            controller=controller,
            settings=tuple(settings),
        ),
    )
    here = run.phase == 1
    found = _crossing(run["engine_speed"][here], run["boost"][here], level)
    how = f"a brake at {rate / _RPM:.0f} rpm/s" if kind == "brake" else f"gear {gear}, {kind}"
    words = (
        f"engine speed at which boost first passes {level / 1e3:.0f} kPa, pedal down at {start / _RPM:.0f} rpm from "
        f"{100 * _LIGHT:.0f} % with everything settled, on {how}"
    )
    return Threshold(found, level, words, run)


def time_to_boost(
    build: Build,
    speed: float,
    *,
    pedal: float = 0.2,
    share: float = _SHARE,
    controller: str | None = None,
    settings: Sequence[str] = (),
) -> TimeToBoost:
    """Time from the pedal's step at a held engine speed [rad/s] to a share of the boost target.

    pedal  before the step, everything settled there; the target is the build's at this speed. Where it has none, the
           boost after 12 s counts
    """
    run = run_transient(
        build,
        TransientRequest(
            (Phase("hold", 0.2, pedal, speed=speed), Phase("hold", _WAIT, 1.0)),
            controller=controller,
            settings=tuple(settings),
        ),
    )
    after = run.phase == 1
    time = run.time[after] - run.time[after][0] + (run.time[1] - run.time[0])
    boost = run["boost"][after]
    has_target = build["boost_control"].has("target") and controller != "none"
    wanted = float(run["boost_target"][after][0]) if has_target else float(boost[-1])
    found = _crossing(time, boost, share * wanted)
    over = float("nan")
    if has_target and np.isfinite(found):
        over = max(float(boost.max()) - wanted, 0.0)
    words = (
        f"from the pedal's step {100 * pedal:.0f} % to 100 % at {speed / _RPM:.0f} rpm, held, to {100 * share:.0f} % "
        f"of {wanted / 1e3:.0f} kPa of boost ({'the target' if has_target else f'what is there after {_WAIT:.0f} s'})"
    )
    return TimeToBoost(found, wanted, share, over, words, run)


def boost_overshoot(run: TransientResult, phase: int) -> float:
    """Largest excess [Pa] of intake manifold pressure over its target in a phase once it was reached, else 0."""
    here = run.phase == phase
    over = run["pressure_im"][here] - run["pressure_im_target"][here]
    reached = np.flatnonzero(over >= 0.0)
    return float(over[reached[0] :].max()) if reached.size else 0.0


def lift_off(
    build: Build, speed: float, *, gear: int = 3, controller: str | None = None, settings: Sequence[str] = ()
) -> LiftOff:
    """Lift-off from full load at an engine speed [rad/s], held there by a brake for two seconds before and after."""
    run = run_transient(
        build,
        TransientRequest(
            (Phase("hold", 2.0, 1.0, gear, speed=speed), Phase("hold", 2.0, 0.0, gear)),
            controller=controller,
            settings=tuple(settings),
        ),
    )
    after = run.phase == 1
    begins = float(run.time[after][0])
    events = [event for event in run.surge if event.stop >= begins]
    shaft = run["shaft_speed"][after]
    half = min(round(0.5 / (run.time[1] - run.time[0])), shaft.size - 1)
    words = f"pedal up from full load at {speed / _RPM:.0f} rpm, engine held at that speed by a brake"
    return LiftOff(
        surge=bool(events),
        reversed_flow=any(event.reversed_flow for event in events),
        deceleration=float(max(-run["shaft_acceleration"][after].min(), 0.0)),
        shaft_speed_left=float(shaft[half] / shaft[0]),
        definition=words,
        run=run,
    )
