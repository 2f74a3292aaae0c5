"""Which stretch of a simulated run is what, and which of them is a pull: said from what really happened."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.made.true_run import Stretch
from boostwright.logs.pulls.rules import PullRules
from boostwright.tasks.simulate_scenes import Scene

__all__ = ["FULL_THROTTLE", "LEAST_RISE", "stretches_of"]

Array = NDArray[np.float64]

FULL_THROTTLE = 0.9
"""Opening of the throttle from which it counts as full; common practice."""

LEAST_RISE = PullRules().least_rise
"""Rise of engine speed [rad/s] that makes a pull: the rule of the search, so that truth and search ask for the same."""

_SMOOTH = 0.2  # s over which a rise of speed is looked for


def stretches_of(
    scenes: Sequence[Scene], phase: NDArray[np.int64], time: Array, channels: Mapping[str, Array]
) -> tuple[Stretch, ...]:
    """The stretches of a run in order of time.

    scenes    what was done
    phase     (n,) the scene each moment belongs to
    channels  with throttle_position and engine_speed, (n,) SI
    A pull is the part of its scene in which the throttle is open and speed rises.
    """
    found = []
    for index, scene in enumerate(scenes):
        here = np.flatnonzero(phase == index)
        if here.size < 2:
            continue
        start, stop = int(here[0]), int(here[-1])
        if scene.kind == "pull":
            found += _pull(scene, start, stop, time, channels)
        else:
            found.append(_stretch(scene, start, stop, time, channels, False, scene.why_not))
    return tuple(found)


def _pull(scene: Scene, start: int, stop: int, time: Array, channels: Mapping[str, Array]) -> list[Stretch]:
    """The pull in its scene, and what of the scene comes before it."""
    throttle = channels["throttle_position"][start : stop + 1]
    speed = channels["engine_speed"][start : stop + 1]
    window = max(1, round(_SMOOTH / float(time[1] - time[0])))
    later = speed[np.minimum(np.arange(speed.size) + window, speed.size - 1)]
    open_and_rising = np.flatnonzero((throttle >= FULL_THROTTLE) & (later > speed))
    if open_and_rising.size < 2:
        return [_stretch(scene, start, stop, time, channels, False, "speed never rose at full throttle")]
    first = start + int(open_and_rising[0])
    # speed falls on for a moment after the throttle is open
    first += int(np.argmin(channels["engine_speed"][first : first + window]))
    last = start + int(np.flatnonzero(throttle >= FULL_THROTTLE)[-1])
    last = first + int(np.argmax(channels["engine_speed"][first : last + 1]))
    rise = channels["engine_speed"][last] - channels["engine_speed"][first]
    why = scene.why_not
    if not why and rise < LEAST_RISE:
        why = f"speed rose by {rise * 30.0 / np.pi:.0f} rpm only"
    made = _stretch(scene, first, last, time, channels, not why, why)
    before = [_stretch(scene, start, first, time, channels, False, "the throttle opens", "tip-in")]
    return before * (first > start) + [made]


def _stretch(
    scene: Scene,
    start: int,
    stop: int,
    time: Array,
    channels: Mapping[str, Array],
    pull: bool,
    why: str,
    kind: str = "",
) -> Stretch:
    speed = channels["engine_speed"]
    lasts = float(time[stop] - time[start])
    ramp = float(speed[stop] - speed[start]) / lasts if lasts > 0.0 else 0.0
    return Stretch(
        kind or scene.kind,
        float(time[start]),
        float(time[stop]),
        scene.gear,
        ramp,
        float(speed[start]),
        float(speed[stop]),
        pull,
        why,
    )
